//! Looks for one situation in which rules fire together, derived facts followed back to the rules behind them.
//!
//! A search by trial: each derived fact that must be known is brought by one of the rules that conclude it,
//! whose own conditions are joined; what other rules surely conclude then must not contradict. The first
//! situation that holds together ends the search.

use super::domain::Domain;
use super::worlds::{Want, World, as_choices, concludes, entails, meet, own};
use crate::facts::FactId;
use crate::knowledge::{Bringer, Concluded, Knowledge, Rule};
use std::cell::Cell;
use std::collections::BTreeMap;

/// After so many trials the rest is taken for possible.
const TRIALS: u32 = 4000;
/// Conclusions of conclusions are followed so far at a time.
const ROUNDS: usize = 4;

/// The rule base made ready for searching.
pub(super) struct Search<'k> {
    knowledge: &'k Knowledge,
    /// For each rule, the situations in which its own conditions hold.
    own: Vec<Vec<World>>,
    /// For each derived fact, the rules that conclude it.
    bringers: BTreeMap<FactId, Vec<usize>>,
    /// Rules whose conclusions nobody disputes, with those conclusions.
    sure: Vec<(&'k Rule, Vec<(FactId, Domain)>)>,
}

impl<'k> Search<'k> {
    pub fn new(knowledge: &'k Knowledge) -> Self {
        let contested = super::contested(knowledge);
        let mut bringers: BTreeMap<FactId, Vec<usize>> = BTreeMap::new();
        let mut sure = Vec::new();
        for (at, rule) in knowledge.rules.iter().enumerate() {
            let mut undisputed = Vec::new();
            for conclusion in &rule.conclude {
                bringers.entry(conclusion.fact).or_default().push(at);
                if let Concluded::Value(value) = &conclusion.value
                    && !contested.contains(&conclusion.fact)
                {
                    undisputed.push((conclusion.fact, Domain::of(as_choices(*value))));
                }
            }
            if !undisputed.is_empty() {
                sure.push((rule, undisputed));
            }
        }
        let own = knowledge.rules.iter().map(|rule| own(rule, knowledge)).collect();
        Self { knowledge, own, bringers, sure }
    }

    fn own(&self, rule: usize) -> &[World] {
        self.own.get(rule).map_or(&[], Vec::as_slice)
    }

    /// A situation in which a rule fires, if there is one.
    pub fn alone(&self, rule: usize) -> Option<World> {
        self.first(self.own(rule).iter().cloned())
    }

    /// A situation in which both rules fire, if there is one.
    pub fn together(&self, a: usize, b: usize) -> Option<World> {
        self.first(
            self.own(a).iter().flat_map(|one| self.own(b).iter().filter_map(|two| meet(one, two))),
        )
    }

    fn first(&self, mut worlds: impl Iterator<Item = World>) -> Option<World> {
        let trials = Cell::new(TRIALS);
        worlds.find_map(|world| self.ground(world, Vec::new(), &trials))
    }

    /// Brings every derived fact that must be known by some rule; `None` if that cannot be.
    fn ground(&self, world: World, done: Vec<FactId>, trials: &Cell<u32>) -> Option<World> {
        let (world, done) = self.saturate(world, done)?;
        let Some(left) = trials.get().checked_sub(1) else { return Some(world) };
        trials.set(left);
        let open = world
            .iter()
            .find(|(id, domain)| !domain.unknown && self.is_derived(**id) && !done.contains(id));
        let Some((id, domain)) = open else { return Some(world) };
        let ways = self.bringers.get(id).into_iter().flatten();
        let ways = ways.filter(|at| {
            self.knowledge.rules.get(**at).is_some_and(|rule| concludes(rule, *id, domain))
        });
        ways.flat_map(|at| self.own(*at)).find_map(|own| {
            let mut done = done.clone();
            done.push(*id);
            self.ground(meet(&world, own)?, done, trials)
        })
    }

    fn is_derived(&self, id: FactId) -> bool {
        self.knowledge.vocabulary.get(id).is_some_and(|def| def.bringer == Bringer::Rules)
    }

    /// Adds what rules surely conclude; `None` if that contradicts the situation.
    fn saturate(&self, mut world: World, mut done: Vec<FactId>) -> Option<(World, Vec<FactId>)> {
        for _ in 0..ROUNDS {
            let mut changed = false;
            for (rule, conclusions) in &self.sure {
                if !self.surely_fires(rule, &world) {
                    continue;
                }
                for (id, concluded) in conclusions {
                    let before = world.get(id).copied().unwrap_or(Domain::ANY);
                    let after = before.and(*concluded);
                    if after.is_empty() {
                        return None;
                    }
                    if !done.contains(id) {
                        done.push(*id);
                    }
                    if after != before {
                        changed = true;
                        world.insert(*id, after);
                    }
                }
            }
            if !changed {
                break;
            }
        }
        Some((world, done))
    }

    fn surely_fires(&self, rule: &Rule, world: &World) -> bool {
        rule.when.iter().all(|part| entails(world, part, Want::True, self.knowledge))
            && rule.unless.iter().all(|part| entails(world, part, Want::NotTrue, self.knowledge))
    }
}
