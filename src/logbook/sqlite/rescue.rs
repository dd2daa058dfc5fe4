//! What can be saved of a damaged file is saved into a new one; the damaged one is only read.

use super::super::fault::told;
use super::super::record::{Blackout, Held, PoolRecord, Postponement, Reading, Record, Visit};
use super::super::store::Store;
use super::{Sqlite, practice, rows, visits};
use crate::problem::{Code, Problem};
use rusqlite::{Connection, Error, OpenFlags, Row};
use std::collections::BTreeMap;
use std::path::Path;

/// What was saved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Rescued {
    /// Pools.
    pub pools: usize,
    /// Visits.
    pub visits: usize,
    /// Readings, additions and tasks of these visits.
    pub parts: usize,
    /// Tables that could not be read to their end.
    pub torn: usize,
}

/// Saves what can be read of a damaged log into a new file, which must not be there yet.
///
/// # Errors
/// A problem if nothing can be read, or the new file cannot be made.
pub fn rescue(damaged: &Path, to: &Path) -> Result<Rescued, Problem> {
    if to.exists() {
        let message = format!("`{}` is there already", to.display());
        return Err(Problem::error(Code::File, None, message)
            .help("what is saved goes into a new file: give another name"));
    }
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let from = Connection::open_with_flags(damaged, flags).map_err(|error| told(&error))?;
    let mut wreck = Wreck { from, saved: Rescued::default() };
    let records = wreck.gather();
    if records.is_empty() {
        let message = format!("nothing can be read of `{}`", damaged.display());
        return Err(Problem::error(Code::File, None, message)
            .help("it was not touched; go back to the last `brumal log backup`"));
    }
    let store = Sqlite::open(to)?;
    store.import(&records)?;
    Ok(wreck.saved)
}

struct Wreck {
    from: Connection,
    saved: Rescued,
}

impl Wreck {
    /// The rows of a table that can be read: from its beginning, and from its end where the way from the beginning is
    /// torn. `by` names the columns of its order.
    fn salvage<T>(
        &mut self,
        columns: &str,
        table: &str,
        by: &[&str],
        read: &dyn Fn(&Row<'_>) -> Result<T, Error>,
    ) -> Vec<T> {
        let from = &self.from;
        let scan = |direction: &str| -> (Vec<T>, bool) {
            let mut found = Vec::new();
            let by: Vec<String> = by.iter().map(|key| format!("{key} {direction}")).collect();
            let query = format!("SELECT {columns} FROM {table} ORDER BY {}", by.join(", "));
            let Ok(mut rows) = from.prepare(&query) else { return (found, false) };
            let Ok(mut rows) = rows.query([]) else { return (found, false) };
            loop {
                match rows.next() {
                    Ok(Some(row)) => found.extend(read(row)),
                    Ok(None) => return (found, true),
                    Err(_) => return (found, false),
                }
            }
        };
        let (mut found, whole) = scan("ASC");
        if !whole {
            let (mut back, _) = scan("DESC");
            back.reverse();
            found.extend(back);
            self.saved.torn += 1;
        }
        found
    }

    fn gather(&mut self) -> Vec<Record> {
        let columns = "key, name, added, added_offset, retired, retired_offset, id";
        let pool = |row: &Row<'_>| Ok((row.get::<_, i64>(6)?, rows::pool(row)?));
        let pools = self.salvage(columns, "pool NOT INDEXED", &["id"], &pool);
        let pools: BTreeMap<i64, PoolRecord> = pools.into_iter().collect();
        let columns = format!("{}, p.id, p.pool", rows::PROFILE);
        let entry = |row: &Row<'_>| {
            Ok((row.get::<_, i64>(8)?, (row.get::<_, i64>(9)?, rows::profile(row)?)))
        };
        let profile = self.salvage(&columns, "profile p NOT INDEXED", &["p.id"], &entry);
        let profile: BTreeMap<_, _> = profile.into_iter().collect();
        let mut visits = self.visits(&pools);
        self.readings(&mut visits);
        self.others(&mut visits);
        self.saved.pools = pools.len();
        self.saved.visits = visits.len();
        let mut records: Vec<Record> = pools.values().cloned().map(Record::Pool).collect();
        records.extend(profile.into_values().filter_map(|(pool, entry)| {
            Some(Record::Profile { pool: pools.get(&pool)?.id.clone(), entry })
        }));
        records.extend(visits.into_values().map(Record::Visit));
        records.extend(self.dates(&pools));
        let practised = |row: &Row<'_>| Ok((row.get::<_, i64>(8)?, practice::practised(row)?));
        let columns = format!("{}, id", practice::COLUMNS);
        let found = self.salvage(&columns, "practice NOT INDEXED", &["id"], &practised);
        let found: BTreeMap<_, _> = found.into_iter().collect();
        records.extend(found.into_values().map(Record::Practice));
        records
    }

    fn visits(&mut self, pools: &BTreeMap<i64, PoolRecord>) -> BTreeMap<i64, Visit> {
        let named = |row: &Row<'_>| Ok((row.get::<_, i64>(7)?, visits::bare(row)?));
        let columns = "id, key, '', at, at_offset, who, note, pool";
        let found = self.salvage(columns, "visit NOT INDEXED", &["id"], &named);
        let of_pool = found.into_iter().filter_map(|(pool, (id, mut visit))| {
            visit.pool.clone_from(&pools.get(&pool)?.id);
            Some((id, visit))
        });
        of_pool.collect()
    }

    fn readings(&mut self, visits: &mut BTreeMap<i64, Visit>) {
        let name = |row: &Row<'_>| Ok((row.get::<_, i64>(0)?, row.get::<_, String>(1)?));
        let facts = self.salvage("id, name", "fact NOT INDEXED", &["id"], &name);
        let facts: BTreeMap<i64, String> = facts.into_iter().collect();
        let reading = |row: &Row<'_>| {
            let one = Reading {
                fact: facts.get(&row.get(1)?).cloned().unwrap_or_default(),
                value: rows::held(row, 2)?.unwrap_or(Held::Word(String::new())),
                given: row.get(4)?,
                method: row.get(5)?,
            };
            Ok((row.get::<_, i64>(0)?, one))
        };
        let columns = "visit, fact, number, word, given, method";
        for (visit, one) in self.salvage(columns, "reading", &["visit", "fact"], &reading) {
            let Some(visit) = visits.get_mut(&visit) else { continue };
            let known = visit.readings.iter().any(|held| held.fact == one.fact);
            if !known && !one.fact.is_empty() {
                visit.readings.push(one);
                self.saved.parts += 1;
            }
        }
        self.corrections(visits, &facts);
    }

    fn corrections(&mut self, visits: &mut BTreeMap<i64, Visit>, facts: &BTreeMap<i64, String>) {
        let correction = |row: &Row<'_>| {
            let name = facts.get(&row.get(2)?).cloned().unwrap_or_default();
            let one = rows::correction(row, name, 3)?;
            Ok((row.get::<_, i64>(0)?, (row.get::<_, i64>(1)?, one)))
        };
        // Before version 4 only readings were corrected.
        let early = self.from.prepare("SELECT part FROM correction").is_err();
        let last = if early { rows::EARLY_CORRECTION } else { rows::CORRECTION };
        let columns = format!("id, visit, fact, {last}");
        let found = self.salvage(&columns, "correction NOT INDEXED", &["id"], &correction);
        let found: BTreeMap<_, _> = found.into_iter().collect();
        for (visit, one) in found.into_values() {
            if let Some(visit) = visits.get_mut(&visit) {
                visit.corrections.push(one);
                self.saved.parts += 1;
            }
        }
    }

    /// What was put off, and days off.
    fn dates(&mut self, pools: &BTreeMap<i64, PoolRecord>) -> Vec<Record> {
        let key = |row: i64| pools.get(&row).map(|pool| pool.id.clone());
        let postponed = |row: &Row<'_>| {
            let one = Postponement {
                pool: key(row.get(1)?).unwrap_or_default(),
                task: row.get(2)?,
                until: rows::moment(row, 3)?,
                who: row.get(5)?,
                why: row.get(6)?,
            };
            Ok((row.get::<_, i64>(0)?, one))
        };
        let columns = "id, pool, task, until, until_offset, who, why";
        let found = self.salvage(columns, "postponed", &["id"], &postponed);
        let postponed: BTreeMap<_, _> = found.into_iter().collect();
        let blackout = |row: &Row<'_>| {
            let pool: Option<i64> = row.get(1)?;
            let one = Blackout {
                pool: pool.and_then(key),
                from: rows::moment(row, 2)?,
                to: rows::moment(row, 4)?,
                why: row.get(6)?,
            };
            // Days off of a pool that is lost are not those of all.
            Ok((
                row.get::<_, i64>(0)?,
                Some(one).filter(|one| pool.is_none() || one.pool.is_some()),
            ))
        };
        let columns = "id, pool, begins, begins_offset, ends, ends_offset, why";
        let found = self.salvage(columns, "blackout", &["id"], &blackout);
        let blackouts: BTreeMap<_, _> = found.into_iter().collect();
        let postponed = postponed.into_values().filter(|one| !one.pool.is_empty());
        let blackouts = blackouts.into_values().flatten();
        postponed.map(Record::Postponed).chain(blackouts.map(Record::Blackout)).collect()
    }

    fn others(&mut self, visits: &mut BTreeMap<i64, Visit>) {
        let added =
            |row: &Row<'_>| Ok(((row.get::<_, i64>(5)?, row.get::<_, i64>(6)?), rows::added(row)?));
        let columns = "product, percent, amount, unit, given, visit, place";
        let additions = self.salvage(columns, "addition", &["visit", "place"], &added);
        let additions: BTreeMap<_, _> = additions.into_iter().collect();
        for ((visit, _), one) in additions {
            if let Some(visit) = visits.get_mut(&visit) {
                visit.additions.push(one);
                self.saved.parts += 1;
            }
        }
        let photo = |row: &Row<'_>| {
            Ok(((row.get::<_, i64>(0)?, row.get::<_, i64>(1)?), row.get::<_, String>(2)?))
        };
        let photos = self.salvage("visit, place, file", "photo", &["visit", "place"], &photo);
        let photos: BTreeMap<_, _> = photos.into_iter().collect();
        for ((visit, _), file) in photos {
            if let Some(visit) = visits.get_mut(&visit) {
                visit.photos.push(file);
            }
        }
        let task = |row: &Row<'_>| Ok((row.get::<_, i64>(0)?, row.get::<_, String>(1)?));
        for (visit, task) in self.salvage("visit, task", "done", &["visit", "task"], &task) {
            let Some(visit) = visits.get_mut(&visit) else { continue };
            if !visit.tasks.contains(&task) {
                visit.tasks.push(task);
                self.saved.parts += 1;
            }
        }
    }
}
