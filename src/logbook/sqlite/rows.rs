//! Rows of tables as records.

use super::super::record::{Added, Correction, Held, Part, PoolRecord, ProfileEntry, Reading};
use super::super::stamp::unpack;
use crate::clock::Moment;
use rusqlite::{Connection, Error, OptionalExtension, Row};

/// A number or words of two columns, one of which is empty.
pub(super) fn held(row: &Row<'_>, at: usize) -> Result<Option<Held>, Error> {
    let number: Option<f64> = row.get(at)?;
    let word: Option<String> = row.get(at + 1)?;
    Ok(number.map(Held::Number).or(word.map(Held::Word)))
}

/// A number to twelve digits: far finer than any test, and the same after it was written down and read again.
pub(super) fn settled(number: f64) -> f64 {
    format!("{number:.11e}").parse().unwrap_or(number)
}

/// The two columns of a value.
pub(super) fn columns(value: Option<&Held>) -> (Option<f64>, Option<&str>) {
    match value {
        Some(Held::Number(n)) => (Some(settled(*n)), None),
        Some(Held::Word(word)) => (None, Some(word)),
        None => (None, None),
    }
}

/// A moment of two columns.
pub(super) fn moment(row: &Row<'_>, at: usize) -> Result<Moment, Error> {
    unpack(row.get(at)?, row.get(at + 1)?)
}

/// A pool: key, name, added (2), retired (2).
pub(super) fn pool(row: &Row<'_>) -> Result<PoolRecord, Error> {
    let retired: Option<i64> = row.get(4)?;
    let retired = retired.map(|_| moment(row, 4)).transpose()?;
    Ok(PoolRecord { id: row.get(0)?, name: row.get(1)?, added: moment(row, 2)?, retired })
}

/// The columns of [`profile`].
pub(super) const PROFILE: &str =
    "p.name, p.number, p.word, p.given, p.since, p.since_offset, p.who, p.why";

/// A profile entry of the columns [`PROFILE`].
pub(super) fn profile(row: &Row<'_>) -> Result<ProfileEntry, Error> {
    Ok(ProfileEntry {
        name: row.get(0)?,
        value: held(row, 1)?,
        given: row.get(3)?,
        since: moment(row, 4)?,
        who: row.get(6)?,
        why: row.get(7)?,
    })
}

/// The row number of a pool.
pub(super) fn pool_row(connection: &Connection, key: &str) -> Result<Option<i64>, Error> {
    connection.query_row("SELECT id FROM pool WHERE key = ?1", [key], |row| row.get(0)).optional()
}

/// The row number of a fact's name, made if it is new.
pub(super) fn fact_row(connection: &Connection, name: &str) -> Result<i64, Error> {
    let mut find = connection.prepare_cached("SELECT id FROM fact WHERE name = ?1")?;
    if let Some(row) = find.query_row([name], |row| row.get(0)).optional()? {
        return Ok(row);
    }
    connection.prepare_cached("INSERT INTO fact (name) VALUES (?1)")?.insert([name])
}

/// The readings of a visit, by name.
pub(super) fn readings(connection: &Connection, visit: i64) -> Result<Vec<Reading>, Error> {
    let mut rows = connection.prepare_cached(
        "SELECT f.name, r.number, r.word, r.given, r.method
         FROM reading r JOIN fact f ON f.id = r.fact WHERE r.visit = ?1 ORDER BY f.name",
    )?;
    let found = rows.query_map([visit], |row| {
        Ok(Reading {
            fact: row.get(0)?,
            value: held(row, 1)?.unwrap_or(Held::Word(String::new())),
            given: row.get(3)?,
            method: row.get(4)?,
        })
    })?;
    found.collect()
}

/// What was put in at a visit, in order.
pub(super) fn additions(connection: &Connection, visit: i64) -> Result<Vec<Added>, Error> {
    let mut rows = connection.prepare_cached(
        "SELECT product, percent, amount, unit, given FROM addition WHERE visit = ?1 ORDER BY place",
    )?;
    rows.query_map([visit], added)?.collect()
}

/// An addition: product, percent, amount, unit, given.
pub(super) fn added(row: &Row<'_>) -> Result<Added, Error> {
    Ok(Added {
        product: row.get(0)?,
        percent: row.get(1)?,
        amount: row.get(2)?,
        unit: row.get(3)?,
        given: row.get(4)?,
    })
}

/// One column of words that belong to a visit.
pub(super) fn words(
    connection: &Connection,
    query: &str,
    visit: i64,
) -> Result<Vec<String>, Error> {
    let mut rows = connection.prepare_cached(query)?;
    rows.query_map([visit], |row| row.get(0))?.collect()
}

/// The columns of [`correction`], behind the one of its name.
pub(super) const CORRECTION: &str =
    "number, word, given, at, at_offset, who, why, part, unit, percent";

/// The same before version 4.
pub(super) const EARLY_CORRECTION: &str =
    "number, word, given, at, at_offset, who, why, 'reading', '', NULL";

/// A correction of the columns [`CORRECTION`], the first of which stands at `from`.
pub(super) fn correction(row: &Row<'_>, fact: String, from: usize) -> Result<Correction, Error> {
    Ok(Correction {
        part: Part::named(&row.get::<_, String>(from + 7)?),
        fact,
        old: held(row, from)?,
        given: row.get(from + 2)?,
        at: moment(row, from + 3)?,
        who: row.get(from + 5)?,
        why: row.get(from + 6)?,
        unit: row.get(from + 8)?,
        percent: row.get(from + 9)?,
    })
}

/// What was corrected of a visit, oldest first.
pub(super) fn corrections(connection: &Connection, visit: i64) -> Result<Vec<Correction>, Error> {
    let mut rows = connection.prepare_cached(&format!(
        "SELECT f.name, {CORRECTION} FROM correction c JOIN fact f ON f.id = c.fact
         WHERE c.visit = ?1 ORDER BY c.id"
    ))?;
    let found = rows.query_map([visit], |row| correction(row, row.get(0)?, 1))?;
    found.collect()
}
