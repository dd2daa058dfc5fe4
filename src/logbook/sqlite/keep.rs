//! The one interface over the parts of this folder.

use super::super::fault::{missing, told};
use super::super::record::{
    Account, Amendment, Blackout, Imported, Latest, NewPool, NewVisit, PoolRecord, Postponement,
    Practice, ProfileEntry, Record, Stretch, Visit,
};
use super::super::store::Store;
use super::Sqlite;
use super::transfer::Taken;
use crate::clock::Moment;
use crate::problem::Problem;
use std::path::Path;

impl Store for Sqlite {
    fn pools(&self) -> Result<Vec<PoolRecord>, Problem> {
        self.all_pools()
    }

    fn add_pool(&self, pool: &NewPool) -> Result<PoolRecord, Problem> {
        self.new_pool(pool)
    }

    fn rename_pool(&self, pool: &str, name: &str) -> Result<(), Problem> {
        self.set_name(pool, name)
    }

    fn retire_pool(&self, pool: &str, at: Option<Moment>) -> Result<(), Problem> {
        self.set_retired(pool, at)
    }

    fn add_profile(&self, pool: &str, entries: &[ProfileEntry]) -> Result<(), Problem> {
        self.put_profile(pool, entries)
    }

    fn profile_history(&self, pool: &str) -> Result<Vec<ProfileEntry>, Problem> {
        self.history_of(pool)
    }

    fn add_visit(&self, pool: &str, visit: &NewVisit) -> Result<String, Problem> {
        self.keep_visit(pool, visit)
    }

    fn visits(&self, pool: &str, stretch: Stretch, most: usize) -> Result<Vec<Visit>, Problem> {
        self.visits_of(pool, stretch, most)
    }

    fn visit(&self, id: &str) -> Result<Visit, Problem> {
        self.visit_called(id)?.ok_or_else(|| missing("visit", id))
    }

    fn add_to_visit(&self, visit: &str, more: &NewVisit) -> Result<(), Problem> {
        self.keep_more(visit, more)
    }

    fn correct(&self, amendments: &[(String, Amendment)], by: &Account) -> Result<(), Problem> {
        self.put_right(amendments, by)
    }

    fn latest(&self, pool: &str, stretch: Stretch) -> Result<Vec<Latest>, Problem> {
        self.latest_at(pool, stretch)
    }

    fn done(
        &self,
        pool: Option<&str>,
        stretch: Stretch,
    ) -> Result<Vec<(String, String, Moment)>, Problem> {
        self.last_done(pool, stretch)
    }

    fn latest_of(
        &self,
        fact: &str,
        stretch: Stretch,
    ) -> Result<Vec<(String, f64, Moment)>, Problem> {
        self.latest_number(fact, stretch)
    }

    fn profiles(&self, at: Moment) -> Result<Vec<(String, ProfileEntry)>, Problem> {
        self.all_profiles(at)
    }

    fn postpone(&self, postponement: &Postponement) -> Result<(), Problem> {
        self.change(|connection| Self::insert_postponed(connection, postponement))
    }

    fn postponements(&self) -> Result<Vec<Postponement>, Problem> {
        self.all_postponed()
    }

    fn add_blackout(&self, blackout: &Blackout) -> Result<(), Problem> {
        self.change(|connection| Self::insert_blackout(connection, blackout))
    }

    fn blackouts(&self) -> Result<Vec<Blackout>, Problem> {
        self.all_blackouts()
    }

    fn add_practice(&self, practice: &Practice) -> Result<(), Problem> {
        self.change(|connection| Self::insert_practice(connection, practice))
    }

    fn practice(&self, who: Option<&str>) -> Result<Vec<Practice>, Problem> {
        self.all_practice(who)
    }

    fn export(&self, each: &mut dyn FnMut(&Record) -> Result<(), Problem>) -> Result<(), Problem> {
        // One transaction, so that a writer beside it is seen whole or not at all.
        let begun = self.connection.unchecked_transaction().map_err(|error| told(&error))?;
        let mut pools = self.all_pools()?;
        pools.sort_by(|a, b| a.id.cmp(&b.id));
        for pool in &pools {
            each(&Record::Pool(pool.clone()))?;
            for entry in self.history_of(&pool.id)? {
                each(&Record::Profile { pool: pool.id.clone(), entry })?;
            }
        }
        self.each_visit(&mut |visit| each(&Record::Visit(visit)))?;
        for one in self.all_postponed()? {
            each(&Record::Postponed(one))?;
        }
        for one in self.all_blackouts()? {
            each(&Record::Blackout(one))?;
        }
        for one in self.all_practice(None)? {
            each(&Record::Practice(one))?;
        }
        begun.rollback().map_err(|error| told(&error))
    }

    fn import(&self, records: &[Record]) -> Result<Imported, Problem> {
        self.change(|connection| {
            let mut taken = Taken::default();
            for record in records {
                self.take(connection, record, &mut taken)?;
            }
            Ok(taken.told)
        })
    }

    fn backup(&self, to: &Path) -> Result<(), Problem> {
        self.copy(to)
    }
}
