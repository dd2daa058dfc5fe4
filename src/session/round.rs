//! The round: what the record says of every pool, and what is due by it.

use super::base::Base;
use crate::clock::Moment;
use crate::logbook::{Held, PoolRecord, Store, Stretch};
use crate::plan::{DuePool, PoolDue, due};
use crate::problem::Problem;
use std::collections::BTreeMap;

/// No interval is longer.
const LONGEST_H: f64 = 24.0 * 400.0;

/// What is due within so many days, for one pool or all that are looked after.
///
/// # Errors
/// The record's.
pub fn round(
    base: &Base,
    store: &dyn Store,
    only: Option<&PoolRecord>,
    at: Moment,
    ahead_days: i64,
) -> Result<Vec<PoolDue>, Problem> {
    let wanted =
        |pool: &PoolRecord| pool.retired.is_none() && only.is_none_or(|only| only.id == pool.id);
    let mut pools: BTreeMap<String, DuePool> = store
        .pools()?
        .into_iter()
        .filter(wanted)
        .map(|pool| {
            let since = Some(pool.added.date());
            let made =
                DuePool { id: pool.id.clone(), name: pool.name, since, ..DuePool::default() };
            (pool.id, made)
        })
        .collect();
    let stretch = Stretch { from: Some(at.plus_hours(-LONGEST_H)), to: Some(at) };
    for (pool, entry) in store.profiles(at)? {
        let Some(pool) = pools.get_mut(&pool) else { continue };
        match (entry.name.as_str(), entry.value) {
            ("place.latitude", Some(Held::Number(n))) => {
                pool.place = Some((n, pool.place.map_or(0.0, |p| p.1)));
            }
            ("place.longitude", Some(Held::Number(n))) => {
                pool.place = Some((pool.place.map_or(0.0, |p| p.0), n));
            }
            (_, Some(Held::Word(word))) => {
                pool.profile.insert(entry.name, word);
            }
            _ => {}
        }
    }
    for (pool, task, when) in store.done(only.map(|pool| pool.id.as_str()), stretch)? {
        if let Some(pool) = pools.get_mut(&pool) {
            pool.done.insert(task, when);
        }
    }
    for (pool, water, when) in store.latest_of("water.temperature", stretch)? {
        if let Some(pool) = pools.get_mut(&pool) {
            pool.water_c = Some((water, when));
        }
    }
    for one in store.postponements()? {
        if let Some(pool) = pools.get_mut(&one.pool) {
            pool.postponed.insert(one.task, (one.until, one.why));
        }
    }
    for one in store.blackouts()? {
        let days = (one.from.date(), one.to.date());
        for pool in
            pools.values_mut().filter(|pool| one.pool.as_ref().is_none_or(|id| *id == pool.id))
        {
            pool.blackouts.push(days);
        }
    }
    let pools: Vec<DuePool> = pools.into_values().collect();
    Ok(due(&base.knowledge().work, &pools, at, ahead_days))
}
