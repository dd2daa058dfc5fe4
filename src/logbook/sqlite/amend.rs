//! A visit put right or added to afterwards: what was there is never lost.

use super::super::fault::{missing, told};
use super::super::record::{Account, Added, Amendment, Correction, Held, NewVisit, Part, Reading};
use super::Sqlite;
use super::rows::{added, fact_row, held};
use super::visits::{insert_addition, insert_correction, insert_reading};
use crate::problem::{Code, Problem};
use rusqlite::{Connection, Error, OptionalExtension, Row, params};

/// What an old task says in its correction.
const DONE: &str = "done";

fn visit_row(connection: &Connection, key: &str) -> Result<i64, Problem> {
    let find = "SELECT id FROM visit WHERE key = ?1";
    let row = connection.query_row(find, [key], |row| row.get(0)).optional();
    row.map_err(|error| told(&error))?.ok_or_else(|| missing("visit", key))
}

fn correction(part: Part, name: &str, by: &Account) -> Correction {
    Correction {
        part,
        fact: name.to_owned(),
        old: None,
        unit: String::new(),
        percent: None,
        given: String::new(),
        at: by.at,
        who: by.who.clone(),
        why: by.why.clone(),
    }
}

impl Sqlite {
    pub(super) fn put_right(
        &self,
        amendments: &[(String, Amendment)],
        by: &Account,
    ) -> Result<(), Problem> {
        self.change(|connection| {
            for (key, amendment) in amendments {
                let visit = visit_row(connection, key)?;
                let old = match amendment {
                    Amendment::Reading { fact, new } => {
                        reading(connection, visit, fact, new.as_ref(), by).map(Some)
                    }
                    Amendment::Addition { product, place, new } => {
                        addition(connection, visit, (product, *place), new.as_ref(), by)
                    }
                    Amendment::Task { task, done } => {
                        self::task(connection, visit, task, *done, by).map(Some)
                    }
                };
                let old = old.map_err(|error| told(&error))?.ok_or_else(|| changed(key))?;
                insert_correction(connection, visit, &old).map_err(|error| told(&error))?;
            }
            Ok(())
        })
    }

    pub(super) fn keep_more(&self, key: &str, more: &NewVisit) -> Result<(), Problem> {
        self.change(|connection| {
            let visit = visit_row(connection, key)?;
            insert_more(connection, visit, more).map_err(|error| told(&error))
        })
    }
}

fn insert_more(connection: &Connection, visit: i64, more: &NewVisit) -> Result<(), Error> {
    let known = "SELECT 1 FROM reading WHERE visit = ?1 AND fact = ?2";
    for one in &more.readings {
        let fact = fact_row(connection, &one.fact)?;
        if !connection.prepare_cached(known)?.exists(params![visit, fact])? {
            insert_reading(connection, visit, one)?;
        }
    }
    for (place, one) in (next_place(connection, "addition", visit)?..).zip(&more.additions) {
        insert_addition(connection, visit, place, one)?;
    }
    for task in &more.tasks {
        connection
            .prepare_cached("INSERT OR IGNORE INTO done (visit, task) VALUES (?1, ?2)")?
            .execute(params![visit, task])?;
    }
    for (place, file) in (next_place(connection, "photo", visit)?..).zip(&more.photos) {
        connection
            .prepare_cached("INSERT INTO photo (visit, place, file) VALUES (?1, ?2, ?3)")?
            .execute(params![visit, place, file])?;
    }
    let note = "UPDATE visit SET note = CASE note WHEN '' THEN ?2 ELSE note || '; ' || ?2 END
                WHERE id = ?1 AND ?2 <> ''";
    connection.execute(note, params![visit, more.note]).map(|_| ())
}

fn next_place(connection: &Connection, table: &str, visit: i64) -> Result<i64, Error> {
    let next = format!("SELECT coalesce(max(place), -1) + 1 FROM {table} WHERE visit = ?1");
    connection.query_row(&next, [visit], |row| row.get(0))
}

fn reading(
    connection: &Connection,
    visit: i64,
    name: &str,
    new: Option<&Reading>,
    by: &Account,
) -> Result<Correction, Error> {
    let fact = fact_row(connection, name)?;
    let old: Option<(Option<Held>, String)> = connection
        .query_row(
            "SELECT number, word, given FROM reading WHERE visit = ?1 AND fact = ?2",
            params![visit, fact],
            |row| Ok((held(row, 0)?, row.get(2)?)),
        )
        .optional()?;
    let (old, given) = old.unwrap_or_default();
    let delete = "DELETE FROM reading WHERE visit = ?1 AND fact = ?2";
    connection.execute(delete, params![visit, fact])?;
    if let Some(new) = new {
        insert_reading(connection, visit, new)?;
    }
    Ok(Correction { old, given, ..correction(Part::Reading, name, by) })
}

/// `None` if another addition stands in that place.
fn addition(
    connection: &Connection,
    visit: i64,
    (product, nth): (&str, Option<usize>),
    new: Option<&Added>,
    by: &Account,
) -> Result<Option<Correction>, Error> {
    let mut note = correction(Part::Addition, product, by);
    let place = match nth {
        None => next_place(connection, "addition", visit)?,
        Some(nth) => {
            let find = "SELECT product, percent, amount, unit, given, place FROM addition
                        WHERE visit = ?1 ORDER BY place LIMIT 1 OFFSET ?2";
            let nth = i64::try_from(nth).unwrap_or(i64::MAX);
            let row = |row: &Row<'_>| Ok((added(row)?, row.get::<_, i64>(5)?));
            let found = connection.query_row(find, params![visit, nth], row).optional()?;
            let Some((old, place)) = found.filter(|(old, _)| old.product == product) else {
                return Ok(None);
            };
            note.old = Some(Held::Number(old.amount));
            (note.unit, note.percent, note.given) = (old.unit, old.percent, old.given);
            let delete = "DELETE FROM addition WHERE visit = ?1 AND place = ?2";
            connection.execute(delete, params![visit, place])?;
            place
        }
    };
    if let Some(new) = new {
        insert_addition(connection, visit, place, new)?;
    }
    Ok(Some(note))
}

fn changed(visit: &str) -> Problem {
    let message = format!("the visit `{visit}` was changed meanwhile");
    Problem::error(Code::Conflict, None, message).help("look at it again, and say it once more")
}

fn task(
    connection: &Connection,
    visit: i64,
    task: &str,
    done: bool,
    by: &Account,
) -> Result<Correction, Error> {
    let find = "SELECT 1 FROM done WHERE visit = ?1 AND task = ?2";
    let was = connection.prepare_cached(find)?.exists(params![visit, task])?;
    let change = if done {
        "INSERT OR IGNORE INTO done (visit, task) VALUES (?1, ?2)"
    } else {
        "DELETE FROM done WHERE visit = ?1 AND task = ?2"
    };
    connection.execute(change, params![visit, task])?;
    let old = was.then(|| Held::Word(DONE.to_owned()));
    Ok(Correction { old, ..correction(Part::Task, task, by) })
}
