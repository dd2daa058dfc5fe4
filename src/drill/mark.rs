//! Marks: what was right, what was missing, what came too late, and how well the skill sits.

use super::amount::amount;
use super::clause::Plan;
use super::ear::Ear;
use super::reading::{Done, Harm, when};
use super::right::{NeededAmount, Right};
use crate::facts::FactId;
use crate::knowledge::Knowledge;
use crate::language::said as measured;
use crate::units::{Dimension, System, base_value, count, find_unit};

/// How well it went, in four steps.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grade {
    /// Not yet.
    Again,
    /// Passed, with gaps.
    Hard,
    /// Good.
    Good,
    /// Nothing to add.
    Easy,
}

impl Grade {
    /// All, in order.
    pub const ALL: [(&'static str, Self); 4] =
        [("again", Self::Again), ("hard", Self::Hard), ("good", Self::Good), ("easy", Self::Easy)];

    /// Its name.
    #[must_use]
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(_, one)| *one == self).map_or("", |(name, _)| name)
    }
}

/// An amount as it was said.
#[derive(Debug, Clone, PartialEq)]
pub struct SaidAmount {
    /// What was needed.
    pub needed: NeededAmount,
    /// What was said, in the product's own measure (L or kg); `None` for nothing.
    pub said: Option<f64>,
    /// The same as it is measured out.
    pub told: String,
    /// Whether it lies within the tolerance.
    pub right: bool,
}

/// The marks of one answer. Places are those in [`Right::needed`].
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// What was done, and in time.
    pub right: Vec<usize>,
    /// What was done, too late: each with what was done before it and had to wait.
    pub late: Vec<(usize, Option<usize>)>,
    /// What was left out.
    pub missing: Vec<usize>,
    /// Whether the urgent thing came first.
    pub first: bool,
    /// Questions that mattered and were asked.
    pub asked: Vec<FactId>,
    /// Questions that mattered and were not.
    pub unasked: Vec<FactId>,
    /// Amounts.
    pub amounts: Vec<SaidAmount>,
    /// Hours as they were said, and whether they lie in the band.
    pub hours: Option<(Option<f64>, bool)>,
    /// The dangerous step that ended the case.
    pub harm: Option<Harm>,
    /// Points, as a share of all.
    pub share: f64,
    /// How well it went.
    pub grade: Grade,
}

impl Mark {
    /// Whether it was passed.
    #[must_use]
    pub fn passed(&self) -> bool {
        self.grade > Grade::Again
    }
}

/// A question that mattered counts so much of an action.
const QUESTION: f64 = 0.5;
/// What came too late counts so much of what came in time.
const LATE: f64 = 0.5;
/// Below this share the case is not passed.
const PASS: f64 = 0.7;

/// Marks an answer. `said` is all that was typed that does not ask, `asked` the facts that were asked for.
#[must_use]
pub(super) fn mark(
    right: &Right<'_>,
    plan: &Plan,
    said: &str,
    asked: &[FactId],
    harm: Option<Harm>,
    (knowledge, ear, units): (&Knowledge, &Ear<'_>, System),
) -> Mark {
    let when = when(plan, &right.needed, ear);
    let (in_time, late, missing, first) = sorted(right, &when);
    let amounts: Vec<SaidAmount> =
        right.amounts.iter().map(|needed| amount(needed, said, knowledge, units)).collect();
    let hours = right.hours.map(|band| {
        let said = hours(said, knowledge);
        // The very edge is within, whatever a conversion rounds.
        let slack = 1e-9 * band.high;
        let within = |hours: f64| hours >= band.low - slack && hours <= band.high + slack;
        (said, said.is_some_and(within))
    });
    let (known, unasked): (Vec<FactId>, Vec<FactId>) =
        right.mattered.iter().partition(|fact| asked.contains(fact));
    let points = count(in_time.len())
        + LATE * count(late.len())
        + count(amounts.iter().filter(|amount| amount.right).count())
        + if hours.is_some_and(|(_, right)| right) { 1.0 } else { 0.0 }
        + QUESTION * count(known.len());
    let all = count(right.needed.len() + amounts.len())
        + if hours.is_some() { 1.0 } else { 0.0 }
        + QUESTION * count(right.mattered.len());
    let share = if all > 0.0 { points / all } else { 0.0 };
    let numbers = amounts.iter().all(|amount| amount.right) && hours.is_none_or(|(_, right)| right);
    let passed = harm.is_none() && first && numbers && share >= PASS;
    let share = if harm.is_some() { 0.0 } else { share };
    let grade = match share {
        _ if !passed => Grade::Again,
        share if share > 0.999 => Grade::Easy,
        share if share >= 0.85 => Grade::Good,
        _ => Grade::Hard,
    };
    Mark {
        right: in_time,
        late,
        missing,
        first,
        asked: known,
        unasked,
        amounts,
        hours,
        harm,
        share,
        grade,
    }
}

type Sorted = (Vec<usize>, Vec<(usize, Option<usize>)>, Vec<usize>, bool);

/// What was done in time, what too late, what was left out, and whether the urgent thing came first.
fn sorted(right: &Right<'_>, when: &[Option<Done>]) -> Sorted {
    let at = |place: usize| when.get(place).copied().flatten().map(|done| done.order);
    let plainly = |place: usize| when.get(place).copied().flatten().filter(|done| done.plainly);
    let mut in_time = Vec::new();
    let mut late = Vec::new();
    let mut missing = Vec::new();
    for place in 0..right.needed.len() {
        let Some(own) = at(place) else {
            missing.push(place);
            continue;
        };
        let mut waiting = right
            .order
            .iter()
            .filter(|(first, later)| *first == place && !right.timed.contains(later));
        let hasty = waiting
            .find(|(_, later)| plainly(*later).is_some_and(|other| other.order < own - 1e-9));
        match hasty {
            Some((_, later)) => late.push((place, Some(*later))),
            None => in_time.push(place),
        }
    }
    let begun = (0..when.len()).filter(|place| !right.timed.contains(place));
    let earliest = begun.filter_map(plainly).map(|done| done.order).fold(f64::INFINITY, f64::min);
    let led = |place: &usize| at(*place).is_some_and(|own| own <= earliest + 1e-9);
    let first = right.firsts.is_empty() || right.firsts.iter().any(led);
    if !first {
        // The urgent thing was done after something else, though nothing had to wait for it.
        let after: Vec<usize> =
            in_time.iter().copied().filter(|place| right.firsts.contains(place)).collect();
        in_time.retain(|place| !after.contains(place));
        late.extend(after.into_iter().map(|place| (place, None)));
    }
    (in_time, late, missing, first)
}

/// The hours that were said: "about 2 hours", "90 min", "an hour and a half", "2-3 h" (their middle).
#[must_use]
fn hours(said: &str, knowledge: &Knowledge) -> Option<f64> {
    let hour = base_value(1.0, find_unit("h")?);
    let all = measured(said, &knowledge.lexicon);
    let time = all.iter().find(|one| one.dimension() == Dimension::Time)?;
    Some(base_value(time.value(), time.unit) / hour)
}
