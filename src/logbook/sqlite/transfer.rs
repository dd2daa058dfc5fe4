//! Everything in: all records of a file, or none.

use super::super::fault::told;
use super::super::record::{Held, Imported, PoolRecord, ProfileEntry, Record, Visit};
use super::Sqlite;
use super::pools::row_of;
use super::rows::{pool_row, settled};
use crate::problem::{Code, Problem};
use rusqlite::Connection;
use std::collections::{BTreeMap, BTreeSet};

/// What an import has seen so far.
#[derive(Debug, Default)]
pub(super) struct Taken {
    /// What it did.
    pub told: Imported,
    /// Profile entries that were there before, by pool.
    profiles: BTreeMap<String, Vec<ProfileEntry>>,
    /// Pools that came with this import: nothing of theirs can be there already.
    new_pools: BTreeSet<String>,
}

impl Sqlite {
    pub(super) fn take(
        &self,
        connection: &Connection,
        record: &Record,
        taken: &mut Taken,
    ) -> Result<(), Problem> {
        let known = match record {
            Record::Pool(pool) => return take_pool(connection, pool, taken),
            Record::Visit(visit) => return self.take_visit(connection, visit, taken),
            Record::Profile { pool, entry } => {
                let row = row_of(connection, pool)?;
                let known = self.knows(pool, entry, taken)?;
                if !known {
                    Self::insert_profile(connection, row, entry)?;
                }
                known
            }
            Record::Postponed(one) => {
                let known = self.all_postponed()?.contains(one);
                if !known {
                    Self::insert_postponed(connection, one)?;
                }
                known
            }
            Record::Blackout(one) => {
                let known = self.all_blackouts()?.contains(one);
                if !known {
                    Self::insert_blackout(connection, one)?;
                }
                known
            }
            Record::Practice(one) => {
                let known = self.all_practice(Some(&one.who))?.contains(one);
                if !known {
                    Self::insert_practice(connection, one)?;
                }
                known
            }
        };
        if known {
            taken.told.known += 1;
        } else {
            taken.told.others += 1;
        }
        Ok(())
    }

    fn knows(&self, pool: &str, entry: &ProfileEntry, taken: &mut Taken) -> Result<bool, Problem> {
        if taken.new_pools.contains(pool) {
            return Ok(false);
        }
        if !taken.profiles.contains_key(pool) {
            taken.profiles.insert(pool.to_owned(), self.history_of(pool)?);
        }
        Ok(taken.profiles.get(pool).is_some_and(|held| held.contains(entry)))
    }

    fn take_visit(
        &self,
        connection: &Connection,
        visit: &Visit,
        taken: &mut Taken,
    ) -> Result<(), Problem> {
        let row = row_of(connection, &visit.pool)?;
        match self.visit_called(&visit.id)? {
            Some(held) if same(&held, visit) => {
                taken.told.known += 1;
                Ok(())
            }
            Some(_) => {
                let message = format!("the log holds another visit `{}`", visit.id);
                Err(Problem::error(Code::Conflict, None, message)
                    .help("nothing was taken in; give that visit of the file another id"))
            }
            None => {
                taken.told.visits += 1;
                let done = Self::insert_visit(connection, row, visit);
                done.map(|_| ()).map_err(|error| told(&error))
            }
        }
    }
}

fn take_pool(connection: &Connection, pool: &PoolRecord, taken: &mut Taken) -> Result<(), Problem> {
    if pool_row(connection, &pool.id).map_err(|error| told(&error))?.is_some() {
        taken.told.known += 1;
        return Ok(());
    }
    Sqlite::insert_pool(connection, pool)?;
    taken.new_pools.insert(pool.id.clone());
    taken.told.pools += 1;
    Ok(())
}

/// Whether two visits say the same, in whatever order their tasks and readings stand.
fn same(a: &Visit, b: &Visit) -> bool {
    let sorted = |visit: &Visit| {
        let mut visit = visit.clone();
        visit.readings.sort_by(|a, b| a.fact.cmp(&b.fact));
        visit.tasks.sort();
        visit.tasks.dedup();
        for reading in &mut visit.readings {
            if let Held::Number(n) = &mut reading.value {
                *n = settled(*n);
            }
        }
        for one in &mut visit.additions {
            one.amount = settled(one.amount);
            one.percent = one.percent.map(settled);
        }
        visit
    };
    sorted(a) == sorted(b)
}
