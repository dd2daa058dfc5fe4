//! What a record must be able to do, whatever keeps it.

use super::record::{
    Account, Amendment, Blackout, Imported, Latest, NewPool, NewVisit, PoolRecord, Postponement,
    Practice, ProfileEntry, Record, Stretch, Visit,
};
use crate::clock::Moment;
use crate::problem::Problem;
use std::path::Path;

/// A record of pools and visits. Every change is kept whole or not at all, and is safe when the call returns.
///
/// Every call may fail with a problem that says what happened to the record, and what to do.
#[expect(clippy::missing_errors_doc, reason = "all fail alike, as said above")]
pub trait Store: std::fmt::Debug {
    /// Every pool, retired ones too, by name.
    fn pools(&self) -> Result<Vec<PoolRecord>, Problem>;

    /// Takes a pool on; a name that is taken is refused.
    fn add_pool(&self, pool: &NewPool) -> Result<PoolRecord, Problem>;

    /// Gives a pool another name.
    fn rename_pool(&self, pool: &str, name: &str) -> Result<(), Problem>;

    /// Gives a pool up, or takes it back (`None`). Its record stays.
    fn retire_pool(&self, pool: &str, at: Option<Moment>) -> Result<(), Problem>;

    /// Adds to a pool's profile; earlier entries stay true for their time.
    fn add_profile(&self, pool: &str, entries: &[ProfileEntry]) -> Result<(), Problem>;

    /// Everything that was ever known of a pool, oldest first.
    fn profile_history(&self, pool: &str) -> Result<Vec<ProfileEntry>, Problem>;

    /// What was true of a pool at a moment, by name.
    fn profile(&self, pool: &str, at: Moment) -> Result<Vec<ProfileEntry>, Problem> {
        let mut held: std::collections::BTreeMap<String, ProfileEntry> = Default::default();
        for entry in self.profile_history(pool)? {
            if entry.since <= at {
                held.insert(entry.name.clone(), entry);
            }
        }
        Ok(held.into_values().filter(|entry| entry.value.is_some()).collect())
    }

    /// Keeps a visit. Gives back its id.
    fn add_visit(&self, pool: &str, visit: &NewVisit) -> Result<String, Problem>;

    /// The visits of a pool in a stretch of time, newest first, at most so many.
    fn visits(&self, pool: &str, stretch: Stretch, most: usize) -> Result<Vec<Visit>, Problem>;

    /// One visit.
    fn visit(&self, id: &str) -> Result<Visit, Problem>;

    /// Adds to a visit what was told of it later: a reading only where there is none of its fact.
    fn add_to_visit(&self, visit: &str, more: &NewVisit) -> Result<(), Problem>;

    /// Puts parts of visits right, all or none; what was there is kept with the account.
    fn correct(&self, amendments: &[(String, Amendment)], by: &Account) -> Result<(), Problem>;

    /// The latest value of each fact that was read at a pool within a stretch of time, by name.
    fn latest(&self, pool: &str, stretch: Stretch) -> Result<Vec<Latest>, Problem>;

    /// For one pool or all: the last time each task was done within a stretch: pool, task, when.
    fn done(
        &self,
        pool: Option<&str>,
        stretch: Stretch,
    ) -> Result<Vec<(String, String, Moment)>, Problem>;

    /// For each pool the latest number of one fact within a stretch: pool, value, when.
    fn latest_of(
        &self,
        fact: &str,
        stretch: Stretch,
    ) -> Result<Vec<(String, f64, Moment)>, Problem>;

    /// Every profile entry that holds at a moment, with its pool.
    fn profiles(&self, at: Moment) -> Result<Vec<(String, ProfileEntry)>, Problem>;

    /// Puts a task off.
    fn postpone(&self, postponement: &Postponement) -> Result<(), Problem>;

    /// What is put off, the latest for each pool and task.
    fn postponements(&self) -> Result<Vec<Postponement>, Problem>;

    /// Notes days on which nothing is planned.
    fn add_blackout(&self, blackout: &Blackout) -> Result<(), Problem>;

    /// Days on which nothing is planned.
    fn blackouts(&self) -> Result<Vec<Blackout>, Problem>;

    /// Keeps a go at a drill.
    fn add_practice(&self, practice: &Practice) -> Result<(), Problem>;

    /// The goes at drills of one person or of all, oldest first.
    fn practice(&self, who: Option<&str>) -> Result<Vec<Practice>, Problem>;

    /// Hands out everything, in an order in which it can be taken in again.
    fn export(&self, each: &mut dyn FnMut(&Record) -> Result<(), Problem>) -> Result<(), Problem>;

    /// Takes records in: all of them or none. What is there already is left alone and counted.
    fn import(&self, records: &[Record]) -> Result<Imported, Problem>;

    /// Writes a copy while the record stays in use; the file must not be there yet.
    fn backup(&self, to: &Path) -> Result<(), Problem>;
}
