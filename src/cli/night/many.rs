//! A round of any size: planned twice, first for the order and then to be told, so that only one small
//! batch of plans is held at a time. Two workers share each batch.

use super::super::round::RoundPool;
use crate::clock::Moment;
use crate::knowledge::{Knowledge, Urgency};
use crate::plan::{NightPlan, Planner, StatedFacts};
use crate::weather::{Hour, Site};
use std::io;

/// Plans of one worker held at a time.
const BATCH: usize = 512;

/// The pools and the hours ahead of them.
#[derive(Debug)]
pub(super) struct Round<'k> {
    /// The knowledge.
    pub(super) knowledge: &'k Knowledge,
    /// The hours ahead.
    pub(super) hours: Vec<Hour>,
    /// Where the sun stands by.
    pub(super) place: Site,
    /// The clock to plan by.
    pub(super) at: Moment,
    /// The pools.
    pub(super) pools: &'k [RoundPool],
}

/// A pool's place in the order: worst first, then least time in hand, then by name.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rank {
    /// How soon something has to be done.
    pub(super) urgency: Urgency,
    in_hand_h: f64,
    pool: usize,
}

impl<'k> Round<'k> {
    /// The pools in the order in which they are told.
    pub(super) fn worst_first(&self) -> Vec<Rank> {
        let rank = |planner: &mut Planner<'k>, at: usize| {
            let plan = self.plan(planner, at)?;
            let in_hand_h = plan.in_hand_h().unwrap_or(f64::INFINITY);
            Some(Rank { urgency: plan.urgency, in_hand_h, pool: at })
        };
        let work = |from: usize, to: usize| {
            let mut planner = self.planner();
            (from..to).filter_map(|at| rank(&mut planner, at)).collect::<Vec<_>>()
        };
        let middle = self.pools.len() / 2;
        let mut order = if self.pools.len() < BATCH {
            work(0, self.pools.len())
        } else {
            let (mut order, more) = both(|| work(0, middle), || work(middle, self.pools.len()));
            order.extend(more);
            order
        };
        let name = |rank: &Rank| self.pools.get(rank.pool).map_or("", |pool| pool.name.as_str());
        order.sort_by(|a, b| {
            (a.urgency.cmp(&b.urgency))
                .then(a.in_hand_h.total_cmp(&b.in_hand_h))
                .then_with(|| name(a).cmp(name(b)))
        });
        order
    }

    /// Hands on each plan in that order.
    pub(super) fn each(
        &self,
        order: &[Rank],
        tell: &mut dyn FnMut(&NightPlan<'k>) -> io::Result<()>,
    ) -> io::Result<()> {
        let mut planners = (self.planner(), self.planner());
        for batch in order.chunks(2 * BATCH) {
            let (first, second) = batch.split_at(batch.len().min(BATCH));
            let plans = |planner: &mut Planner<'k>, share: &[Rank]| {
                share.iter().filter_map(|rank| self.plan(planner, rank.pool)).collect::<Vec<_>>()
            };
            let (one, two) = (&mut planners.0, &mut planners.1);
            let (done, more) = if second.is_empty() {
                (plans(one, first), Vec::new())
            } else {
                both(|| plans(one, first), || plans(two, second))
            };
            for plan in done.iter().chain(&more) {
                tell(plan)?;
            }
        }
        Ok(())
    }

    fn planner(&self) -> Planner<'k> {
        Planner::new(self.knowledge, self.hours.clone(), self.at, Some(self.place))
    }

    fn plan(&self, planner: &mut Planner<'k>, at: usize) -> Option<NightPlan<'k>> {
        let pool = self.pools.get(at)?;
        let words = &self.knowledge.vocabulary;
        Some(planner.plan(&pool.name, &StatedFacts { words, facts: &pool.facts }))
    }
}

/// Two pieces of work side by side.
fn both<T, U: Send>(first: impl FnOnce() -> T, second: impl FnOnce() -> U + Send) -> (T, U) {
    std::thread::scope(|scope| {
        let other = scope.spawn(second);
        let first = first();
        match other.join() {
            Ok(second) => (first, second),
            // A fault of the program is no reason to leave half of the pools out.
            Err(fault) => std::panic::resume_unwind(fault),
        }
    })
}
