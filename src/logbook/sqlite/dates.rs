//! What is due rests on: when each task was last done, what was put off, days off.

use super::super::fault::told;
use super::super::record::{Blackout, Postponement, Stretch};
use super::super::stamp::pack;
use super::Sqlite;
use super::pools::row_of;
use super::rows::moment;
use super::visits::seconds;
use crate::clock::Moment;
use crate::problem::Problem;
use rusqlite::{Connection, Row, params};

impl Sqlite {
    pub(super) fn last_done(
        &self,
        pool: Option<&str>,
        stretch: Stretch,
    ) -> Result<Vec<(String, String, Moment)>, Problem> {
        let (from, to) = seconds(stretch);
        self.look(|connection| {
            // The bare columns beside max() are those of its row (sqlite.org, "SELECT", section 2.5).
            let mut rows = connection.prepare_cached(
                "SELECT p.key, d.task, max(v.at), v.at_offset
                 FROM pool p CROSS JOIN visit v ON v.pool = p.id CROSS JOIN done d ON d.visit = v.id
                 WHERE (?3 IS NULL OR p.key = ?3) AND v.at BETWEEN ?1 AND ?2 GROUP BY p.id, d.task ORDER BY p.key, d.task",
            )?;
            let one = |row: &Row<'_>| Ok((row.get(0)?, row.get(1)?, moment(row, 2)?));
            rows.query_map(params![from, to, pool], one)?.collect()
        })
    }

    pub(super) fn latest_number(
        &self,
        fact: &str,
        stretch: Stretch,
    ) -> Result<Vec<(String, f64, Moment)>, Problem> {
        let (from, to) = seconds(stretch);
        self.look(|connection| {
            let mut rows = connection.prepare_cached(
                "SELECT p.key, r.number, max(v.at), v.at_offset
                 FROM pool p CROSS JOIN visit v ON v.pool = p.id CROSS JOIN reading r ON r.visit = v.id
                 WHERE v.at BETWEEN ?2 AND ?3 AND r.number IS NOT NULL
                   AND r.fact = (SELECT id FROM fact WHERE name = ?1)
                 GROUP BY p.id ORDER BY p.key",
            )?;
            let one = |row: &Row<'_>| Ok((row.get(0)?, row.get(1)?, moment(row, 2)?));
            rows.query_map(params![fact, from, to], one)?.collect()
        })
    }

    pub(super) fn insert_postponed(
        connection: &Connection,
        one: &Postponement,
    ) -> Result<(), Problem> {
        let row = row_of(connection, &one.pool)?;
        let (until, offset) = pack(one.until);
        connection
            .execute(
                "INSERT INTO postponed (pool, task, until, until_offset, who, why)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                params![row, one.task, until, offset, one.who, one.why],
            )
            .map(|_| ())
            .map_err(|error| told(&error))
    }

    pub(super) fn all_postponed(&self) -> Result<Vec<Postponement>, Problem> {
        self.look(|connection| {
            let mut rows = connection.prepare_cached(
                "SELECT p.key, d.task, d.until, d.until_offset, d.who, d.why
                 FROM postponed d JOIN pool p ON p.id = d.pool ORDER BY d.id",
            )?;
            let one = |row: &Row<'_>| {
                Ok(Postponement {
                    pool: row.get(0)?,
                    task: row.get(1)?,
                    until: moment(row, 2)?,
                    who: row.get(4)?,
                    why: row.get(5)?,
                })
            };
            rows.query_map([], one)?.collect()
        })
    }

    pub(super) fn insert_blackout(connection: &Connection, one: &Blackout) -> Result<(), Problem> {
        let row = one.pool.as_deref().map(|key| row_of(connection, key)).transpose()?;
        let ((begins, begins_offset), (ends, ends_offset)) = (pack(one.from), pack(one.to));
        connection
            .execute(
                "INSERT INTO blackout (pool, begins, begins_offset, ends, ends_offset, why)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                params![row, begins, begins_offset, ends, ends_offset, one.why],
            )
            .map(|_| ())
            .map_err(|error| told(&error))
    }

    pub(super) fn all_blackouts(&self) -> Result<Vec<Blackout>, Problem> {
        self.look(|connection| {
            let mut rows = connection.prepare_cached(
                "SELECT p.key, b.begins, b.begins_offset, b.ends, b.ends_offset, b.why
                 FROM blackout b LEFT JOIN pool p ON p.id = b.pool ORDER BY b.id",
            )?;
            let one = |row: &Row<'_>| {
                Ok(Blackout {
                    pool: row.get(0)?,
                    from: moment(row, 1)?,
                    to: moment(row, 3)?,
                    why: row.get(5)?,
                })
            };
            rows.query_map([], one)?.collect()
        })
    }
}
