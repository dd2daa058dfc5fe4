//! Pools and their profiles.

use super::super::fault::{missing, told};
use super::super::record::{NewPool, PoolRecord, ProfileEntry};
use super::super::stamp::pack;
use super::Sqlite;
use super::rows::{PROFILE, columns, pool, pool_row, profile};
use crate::clock::Moment;
use crate::problem::{Code, Problem};
use rusqlite::{Connection, Error, ErrorCode, params};
use std::collections::BTreeMap;

/// A pool's name may be this long.
const LONGEST_NAME: usize = 120;

/// The row of a pool, or that it is missing.
pub(super) fn row_of(connection: &Connection, key: &str) -> Result<i64, Problem> {
    let row = pool_row(connection, key).map_err(|error| told(&error))?;
    row.ok_or_else(|| missing("pool", key))
}

/// Words that can be kept as a name: one line, not empty, not endless.
fn check_name(name: &str) -> Result<(), Problem> {
    let why = if name.trim().is_empty() || name.trim() != name {
        "a pool needs a name without blanks around it"
    } else if name.chars().count() > LONGEST_NAME {
        "this name is too long"
    } else if name.chars().any(char::is_control) {
        "a name has no control characters or line ends"
    } else {
        return Ok(());
    };
    Err(Problem::error(Code::Value, None, why)
        .help("give it a name of one line, such as `Quarry Lane 9`"))
}

/// An id made of a name: letters and digits, joined by hyphens.
fn key_of(name: &str) -> String {
    let words = super::super::find::parts_of(name);
    if words.is_empty() { "pool".to_owned() } else { words.join("-") }
}

fn taken(name: &str, error: &Error) -> Problem {
    if error.sqlite_error_code() != Some(ErrorCode::ConstraintViolation) {
        return told(error);
    }
    Problem::error(Code::Duplicate, None, format!("there is a pool `{name}` already"))
        .help("`brumal pool show` tells what is known of it; give this one another name")
}

impl Sqlite {
    pub(super) fn all_pools(&self) -> Result<Vec<PoolRecord>, Problem> {
        self.look(|connection| {
            let mut rows = connection.prepare_cached(
                "SELECT key, name, added, added_offset, retired, retired_offset FROM pool
                 ORDER BY name COLLATE NOCASE, key",
            )?;
            rows.query_map([], pool)?.collect()
        })
    }

    pub(super) fn insert_pool(connection: &Connection, pool: &PoolRecord) -> Result<i64, Problem> {
        check_name(&pool.name)?;
        let (added, added_offset) = pack(pool.added);
        let retired = pool.retired.map(pack);
        let insert = || {
            connection
                .prepare_cached(
                    "INSERT INTO pool (key, name, added, added_offset, retired, retired_offset)
                     VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                )?
                .insert(params![
                    pool.id,
                    pool.name,
                    added,
                    added_offset,
                    retired.map(|r| r.0),
                    retired.map(|r| r.1)
                ])
        };
        insert().map_err(|error| taken(&pool.name, &error))
    }

    pub(super) fn insert_profile(
        connection: &Connection,
        pool: i64,
        entry: &ProfileEntry,
    ) -> Result<(), Problem> {
        let (since, offset) = pack(entry.since);
        let (number, word) = columns(entry.value.as_ref());
        let insert = || {
            connection
                .prepare_cached(
                    "INSERT INTO profile (pool, name, number, word, given, since, since_offset, who, why)
                     VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
                )?
                .execute(params![
                    pool, entry.name, number, word, entry.given, since, offset, entry.who, entry.why
                ])
        };
        insert().map(|_| ()).map_err(|error| told(&error))
    }

    pub(super) fn new_pool(&self, pool: &NewPool) -> Result<PoolRecord, Problem> {
        self.change(|connection| {
            let base = key_of(&pool.name);
            let mut id = base.clone();
            let mut next = 2;
            while pool_row(connection, &id).map_err(|error| told(&error))?.is_some() {
                id = format!("{base}-{next}");
                next += 1;
            }
            let record =
                PoolRecord { id, name: pool.name.clone(), added: pool.added, retired: None };
            let row = Self::insert_pool(connection, &record)?;
            for entry in &pool.profile {
                Self::insert_profile(connection, row, entry)?;
            }
            Ok(record)
        })
    }

    pub(super) fn set_name(&self, key: &str, name: &str) -> Result<(), Problem> {
        check_name(name)?;
        self.change(|connection| {
            let row = row_of(connection, key)?;
            let update = "UPDATE pool SET name = ?2 WHERE id = ?1";
            let done = connection.execute(update, params![row, name]);
            done.map(|_| ()).map_err(|error| taken(name, &error))
        })
    }

    pub(super) fn set_retired(&self, key: &str, at: Option<Moment>) -> Result<(), Problem> {
        self.change(|connection| {
            let row = row_of(connection, key)?;
            let at = at.map(pack);
            let done = connection.execute(
                "UPDATE pool SET retired = ?2, retired_offset = ?3 WHERE id = ?1",
                params![row, at.map(|a| a.0), at.map(|a| a.1)],
            );
            done.map(|_| ()).map_err(|error| told(&error))
        })
    }

    pub(super) fn put_profile(&self, key: &str, entries: &[ProfileEntry]) -> Result<(), Problem> {
        self.change(|connection| {
            let row = row_of(connection, key)?;
            entries.iter().try_for_each(|entry| Self::insert_profile(connection, row, entry))
        })
    }

    pub(super) fn history_of(&self, key: &str) -> Result<Vec<ProfileEntry>, Problem> {
        let row = row_of(&self.connection, key)?;
        self.look(|connection| {
            let query =
                format!("SELECT {PROFILE} FROM profile p WHERE p.pool = ?1 ORDER BY p.since, p.id");
            let mut rows = connection.prepare_cached(&query)?;
            rows.query_map([row], profile)?.collect()
        })
    }

    pub(super) fn all_profiles(&self, at: Moment) -> Result<Vec<(String, ProfileEntry)>, Problem> {
        let found: Vec<(String, ProfileEntry)> = self.look(|connection| {
            let query = format!(
                "SELECT {PROFILE}, o.key FROM profile p JOIN pool o ON o.id = p.pool
                 WHERE p.since <= ?1 ORDER BY p.since, p.id"
            );
            let mut rows = connection.prepare_cached(&query)?;
            rows.query_map([pack(at).0], |row| Ok((row.get(8)?, profile(row)?)))?.collect()
        })?;
        let mut held = BTreeMap::new();
        for (pool, entry) in found {
            held.insert((pool, entry.name.clone()), entry);
        }
        let holds = held.into_iter().filter(|(_, entry)| entry.value.is_some());
        Ok(holds.map(|((pool, _), entry)| (pool, entry)).collect())
    }
}
