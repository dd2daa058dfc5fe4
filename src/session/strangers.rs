//! Several pools in one message that no record knows: each under its heading, "smith pool: ph 7.2. jones pool: ph 7.8".

use super::turn::{Session, moved};
use crate::advice::Answer;
use crate::clock::Moment;
use crate::facts::{FactId, Value};
use crate::language::{Headed, PoolNames, headed};
use std::collections::BTreeMap;

impl Session<'_> {
    /// Answers what a message tells under headings of each pool by itself; `None` if it tells of one pool, or if the
    /// record knows the pools that it names.
    pub(super) fn of_strangers(&mut self, message: &str, at: Moment) -> Option<Answer> {
        let mut pools = headed(message, self.base.knowledge());
        let known = self.settings.pools.as_ref().map(PoolNames::names).unwrap_or_default();
        let is_known = |pool: &Headed| known.iter().any(|name| same(name, &pool.name));
        if pools.len() < 2 || pools.iter().all(is_known) || self.called_any(&pools, message) {
            return None;
        }
        let apart = pools.iter().all(|pool| pool.sure) || self.disagree(&pools, message, at);
        let last = if apart { pools.pop() } else { None }?;
        let others = pools.iter().map(|pool| self.of_stranger(pool, message, at)).collect();
        let answer = self.of_stranger(&last, message, at);
        Some(Answer { others, ..answer })
    }

    fn of_stranger(&mut self, pool: &Headed, message: &str, at: Moment) -> Answer {
        let known = self.settings.pools.as_ref().map(PoolNames::names).unwrap_or_default();
        let name = known.iter().find(|name| same(name, &pool.name));
        let name = name.map_or_else(|| pool.name.clone(), |name| (*name).to_owned());
        // From now on messages may call it so.
        let names: Vec<String> = known.iter().map(|name| (*name).to_owned()).collect();
        let names = names.iter().map(String::as_str).chain([name.as_str()]);
        self.settings.pools = Some(PoolNames::new(names));
        self.turn_to(name);
        let answer = self.answer(pool.span.of(message), at);
        moved(answer, message, pool.span.start)
    }

    /// Whether the record knows one of the pools by a part of its name.
    fn called_any(&self, pools: &[Headed], message: &str) -> bool {
        let mut names =
            pools.iter().map(|pool| format!("{}: {}", pool.name, pool.span.of(message)));
        names.any(|text| self.pool_called(&text, None).is_some())
    }

    /// Whether one thing is told with different values, so that it cannot be of one pool.
    fn disagree(&self, pools: &[Headed], message: &str, at: Moment) -> bool {
        let mut told: BTreeMap<FactId, Value> = BTreeMap::new();
        for pool in pools {
            for fact in self.read_about(pool.span.of(message), at, None).facts {
                if *told.entry(fact.id).or_insert(fact.value) != fact.value {
                    return true;
                }
            }
        }
        false
    }
}

/// Whether two names are the same but for capitals.
fn same(a: &str, b: &str) -> bool {
    a.to_lowercase() == b.to_lowercase()
}
