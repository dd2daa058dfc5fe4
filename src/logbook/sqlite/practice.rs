//! Goes at drills.

use super::super::fault::told;
use super::super::record::Practice;
use super::super::stamp::pack;
use super::Sqlite;
use super::rows::moment;
use crate::problem::Problem;
use rusqlite::{Connection, Row, params};

/// The columns of a go, in the order in which [`practised`] reads them.
pub(super) const COLUMNS: &str = "who, skill, scenario, seed, at, at_offset, grade, share";

/// A go from a row that begins with [`COLUMNS`].
pub(super) fn practised(row: &Row<'_>) -> Result<Practice, rusqlite::Error> {
    Ok(Practice {
        who: row.get(0)?,
        skill: row.get(1)?,
        scenario: row.get(2)?,
        seed: row.get(3)?,
        at: moment(row, 4)?,
        grade: row.get(6)?,
        share: row.get(7)?,
    })
}

impl Sqlite {
    pub(super) fn insert_practice(connection: &Connection, one: &Practice) -> Result<(), Problem> {
        let (at, offset) = pack(one.at);
        connection
            .execute(
                "INSERT INTO practice (who, skill, scenario, seed, at, at_offset, grade, share)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
                params![
                    one.who,
                    one.skill,
                    one.scenario,
                    one.seed,
                    at,
                    offset,
                    one.grade,
                    one.share
                ],
            )
            .map(|_| ())
            .map_err(|error| told(&error))
    }

    pub(super) fn all_practice(&self, who: Option<&str>) -> Result<Vec<Practice>, Problem> {
        self.look(|connection| {
            let query = format!(
                "SELECT {COLUMNS} FROM practice WHERE ?1 IS NULL OR who = ?1 ORDER BY at, id"
            );
            let mut rows = connection.prepare_cached(&query)?;
            rows.query_map([who], practised)?.collect()
        })
    }
}
