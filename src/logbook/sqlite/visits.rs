//! Visits: kept whole, read back, put right.

use super::super::fault::told;
use super::super::record::{Added, Correction, Held, Latest, NewVisit, Reading, Stretch, Visit};
use super::super::stamp::pack;
use super::Sqlite;
use super::pools::row_of;
use super::rows::{
    additions, columns, corrections, fact_row, held, moment, readings, settled, words,
};
use crate::clock::Moment;
use crate::problem::{Code, Problem};
use rusqlite::{Connection, Error, OptionalExtension, Row, params};
use std::collections::BTreeMap;

/// Seconds of a stretch, its ends included.
pub(super) fn seconds(stretch: Stretch) -> (i64, i64) {
    let from = stretch.from.map_or(i64::MIN, |at| pack(at).0);
    let to = stretch.to.map_or(i64::MAX, |at| pack(at).0);
    (from, to)
}

/// An id for a visit: the pool's, the local day and time, and a number if it is not the first of its minute.
fn key_for(connection: &Connection, pool: &str, at: Moment) -> Result<String, Error> {
    let base = format!("{pool}.{}", at.time().format("%Y%m%d-%H%M"));
    let mut key = base.clone();
    let mut next = 2;
    let mut find = connection.prepare_cached("SELECT 1 FROM visit WHERE key = ?1")?;
    while find.exists([&key])? {
        key = format!("{base}-{next}");
        next += 1;
    }
    Ok(key)
}

pub(super) fn insert_reading(
    connection: &Connection,
    visit: i64,
    reading: &Reading,
) -> Result<(), Error> {
    let fact = fact_row(connection, &reading.fact)?;
    let (number, word) = columns(Some(&reading.value));
    connection
        .prepare_cached(
            "INSERT INTO reading (visit, fact, number, word, given, method)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
        )?
        .execute(params![visit, fact, number, word, reading.given, reading.method])
        .map(|_| ())
}

pub(super) fn insert_addition(
    connection: &Connection,
    visit: i64,
    place: i64,
    one: &Added,
) -> Result<(), Error> {
    connection
        .prepare_cached(
            "INSERT INTO addition (visit, place, product, percent, amount, unit, given)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        )?
        .execute(params![
            visit,
            place,
            one.product,
            one.percent.map(settled),
            settled(one.amount),
            one.unit,
            one.given
        ])
        .map(|_| ())
}

pub(super) fn insert_correction(
    connection: &Connection,
    visit: i64,
    one: &Correction,
) -> Result<(), Error> {
    let fact = fact_row(connection, &one.fact)?;
    let (number, word) = columns(one.old.as_ref());
    let (at, offset) = pack(one.at);
    connection
        .prepare_cached(
            "INSERT INTO correction
               (visit, fact, number, word, given, at, at_offset, who, why, part, unit, percent)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
        )?
        .execute(params![
            visit,
            fact,
            number,
            word,
            one.given,
            at,
            offset,
            one.who,
            one.why,
            one.part.name(),
            one.unit,
            one.percent.map(settled)
        ])
        .map(|_| ())
}

const BARE: &str = "SELECT v.id, v.key, p.key, v.at, v.at_offset, v.who, v.note
    FROM visit v JOIN pool p ON p.id = v.pool";

/// A visit of the columns [`BARE`], without what belongs to it.
pub(super) fn bare(row: &Row<'_>) -> Result<(i64, Visit), Error> {
    let visit = Visit {
        id: row.get(1)?,
        pool: row.get(2)?,
        at: moment(row, 3)?,
        who: row.get(5)?,
        note: row.get(6)?,
        readings: Vec::new(),
        additions: Vec::new(),
        tasks: Vec::new(),
        photos: Vec::new(),
        corrections: Vec::new(),
    };
    Ok((row.get(0)?, visit))
}

/// Fills in what belongs to a visit.
fn whole(connection: &Connection, (row, mut visit): (i64, Visit)) -> Result<Visit, Error> {
    visit.readings = readings(connection, row)?;
    visit.additions = additions(connection, row)?;
    let tasks = "SELECT task FROM done WHERE visit = ?1 ORDER BY task";
    visit.tasks = words(connection, tasks, row)?;
    let photos = "SELECT file FROM photo WHERE visit = ?1 ORDER BY place";
    visit.photos = words(connection, photos, row)?;
    visit.corrections = corrections(connection, row)?;
    Ok(visit)
}

impl Sqlite {
    pub(super) fn keep_visit(&self, pool: &str, visit: &NewVisit) -> Result<String, Problem> {
        if visit.is_empty() {
            return Err(Problem::error(Code::Value, None, "there is nothing to keep")
                .help("tell a reading, an addition or a task, such as `ph 7.4, brushed`"));
        }
        self.change(|connection| {
            let row = row_of(connection, pool)?;
            let id = key_for(connection, pool, visit.at).map_err(|error| told(&error))?;
            let visit = visit.clone();
            let kept = Visit {
                id: id.clone(),
                pool: pool.to_owned(),
                at: visit.at,
                who: visit.who,
                note: visit.note,
                readings: visit.readings,
                additions: visit.additions,
                tasks: visit.tasks,
                photos: visit.photos,
                corrections: Vec::new(),
            };
            Self::insert_visit(connection, row, &kept).map_err(|error| told(&error))?;
            Ok(id)
        })
    }

    pub(super) fn insert_visit(
        connection: &Connection,
        pool: i64,
        visit: &Visit,
    ) -> Result<i64, Error> {
        let (at, offset) = pack(visit.at);
        let row = connection
            .prepare_cached(
                "INSERT INTO visit (key, pool, at, at_offset, who, note)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            )?
            .insert(params![visit.id, pool, at, offset, visit.who, visit.note])?;
        for reading in &visit.readings {
            insert_reading(connection, row, reading)?;
        }
        for (place, one) in (0_i64..).zip(&visit.additions) {
            insert_addition(connection, row, place, one)?;
        }
        for task in &visit.tasks {
            connection
                .prepare_cached("INSERT OR IGNORE INTO done (visit, task) VALUES (?1, ?2)")?
                .execute(params![row, task])?;
        }
        for (place, file) in (0_i64..).zip(&visit.photos) {
            connection
                .prepare_cached("INSERT INTO photo (visit, place, file) VALUES (?1, ?2, ?3)")?
                .execute(params![row, place, file])?;
        }
        for correction in &visit.corrections {
            insert_correction(connection, row, correction)?;
        }
        Ok(row)
    }

    pub(super) fn visits_of(
        &self,
        pool: &str,
        stretch: Stretch,
        most: usize,
    ) -> Result<Vec<Visit>, Problem> {
        let row = row_of(&self.connection, pool)?;
        let (from, to) = seconds(stretch);
        let most = i64::try_from(most).unwrap_or(i64::MAX);
        self.look(|connection| {
            let query = format!(
                "{BARE} WHERE v.pool = ?1 AND v.at BETWEEN ?2 AND ?3
                 ORDER BY v.at DESC, v.id DESC LIMIT ?4"
            );
            let mut rows = connection.prepare_cached(&query)?;
            let found = rows.query_map(params![row, from, to, most], bare)?;
            let found = found.collect::<Result<Vec<_>, _>>()?;
            found.into_iter().map(|one| whole(connection, one)).collect()
        })
    }

    pub(super) fn visit_called(&self, key: &str) -> Result<Option<Visit>, Problem> {
        self.look(|connection| {
            let query = format!("{BARE} WHERE v.key = ?1");
            let found = connection.prepare_cached(&query)?.query_row([key], bare).optional()?;
            found.map(|one| whole(connection, one)).transpose()
        })
    }

    pub(super) fn each_visit(
        &self,
        each: &mut dyn FnMut(Visit) -> Result<(), Problem>,
    ) -> Result<(), Problem> {
        // By pool and time, and not as they were written down: two logs that say the same read the same.
        let query = format!("{BARE} ORDER BY p.key, v.at, v.key");
        let mut rows = self.connection.prepare(&query).map_err(|error| told(&error))?;
        let mut found = rows.query([]).map_err(|error| told(&error))?;
        while let Some(row) = found.next().map_err(|error| told(&error))? {
            let one = bare(row).and_then(|one| whole(&self.connection, one));
            each(one.map_err(|error| told(&error))?)?;
        }
        Ok(())
    }

    pub(super) fn latest_at(&self, pool: &str, stretch: Stretch) -> Result<Vec<Latest>, Problem> {
        let row = row_of(&self.connection, pool)?;
        let (from, to) = seconds(stretch);
        let found: Vec<Latest> = self.look(|connection| {
            let mut rows = connection.prepare_cached(
                "SELECT f.name, r.number, r.word, v.at, v.at_offset
                 FROM visit v CROSS JOIN reading r ON r.visit = v.id JOIN fact f ON f.id = r.fact
                 WHERE v.pool = ?1 AND v.at BETWEEN ?2 AND ?3 ORDER BY v.at DESC, v.id DESC",
            )?;
            let one = |row: &Row<'_>| {
                Ok(Latest {
                    fact: row.get(0)?,
                    value: held(row, 1)?.unwrap_or(Held::Word(String::new())),
                    at: moment(row, 3)?,
                })
            };
            rows.query_map(params![row, from, to], one)?.collect()
        })?;
        let mut latest: BTreeMap<String, Latest> = BTreeMap::new();
        for one in found {
            latest.entry(one.fact.clone()).or_insert(one);
        }
        Ok(latest.into_values().collect())
    }
}
