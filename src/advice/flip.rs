//! What would have to be different: the smallest change of facts by which an action is called for, or no longer.
//!
//! A search over the values at which rules change their mind: for each fact that the action can hang on, the
//! nearest value on either side that turns it round, found on a grid of the rules' thresholds and narrowed to the last
//! digit that is shown. Single changes come first; only if none does it are pairs of them tried.

use super::order::{called, done, never};
use super::question::thresholds;
use crate::engine::State;
use crate::facts::{ChoiceSet, FactId, Origin, Value};
use crate::knowledge::{Bringer, DEED, FactDef, Kind, Urgency};
use crate::units::{System, convert, display_unit};
use std::collections::BTreeSet;

/// A fact that would have to be otherwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// Which fact.
    pub fact: FactId,
    /// What it is now.
    pub from: Option<Value>,
    /// What it would have to be.
    pub to: Value,
    /// How great the change is: of a number the share of its usual span; more for what is unknown, and for what
    /// does not change by itself.
    pub size: f64,
}

/// A step of so many digits at most lies between two points of the grid.
const GRID: i64 = 12;
/// Pairs are tried among so many of the facts, with so many values each.
const PAIRED: usize = 6;
const VALUES: usize = 16;
/// A yes that becomes a no, one word that becomes another.
const TURNED: f64 = 0.3;
/// What nobody has said yet is further away than what is known.
const UNKNOWN: f64 = 1.0;
/// A pool's surface or its heater does not change overnight.
const LASTING: f64 = 2.0;

/// Whether an action is called for and not done.
#[must_use]
pub fn calls_for(state: &State<'_>, id: &str) -> bool {
    called(state).iter().any(|one| one.action.id == id && !done(state, one))
}

/// Changes that turn some actions round, smallest first: of each fact the smallest, each by itself enough. If one of them
/// is called for none must be, and nothing else may come in for today; if none is, the first must be. If no single
/// change of what is known does it, the smallest pair that was found stands among them. Empty if nothing does.
#[must_use]
pub fn smallest_changes(state: &State<'_>, ids: &[&str], units: System) -> Vec<Vec<Change>> {
    let wanted = !ids.iter().any(|id| calls_for(state, id));
    let does = |supposed: &State<'_>| {
        if wanted {
            ids.first().is_some_and(|id| calls_for(supposed, id))
        } else {
            !ids.iter().any(|id| calls_for(supposed, id)) && !brings_more(state, supposed)
        }
    };
    let facts: BTreeSet<FactId> = ids.iter().flat_map(|id| changeable(state, id)).collect();
    let facts: Vec<FactId> = facts.into_iter().collect();
    let mut single: Vec<Change> =
        facts.iter().filter_map(|fact| one_fact(state, *fact, units, &does)).collect();
    single.sort_by(|a, b| a.size.total_cmp(&b.size).then(a.fact.cmp(&b.fact)));
    let near = single.first().is_some_and(|change| change.size < UNKNOWN);
    let pair = if near { None } else { pair(state, &facts, units, &does) };
    let mut sets: Vec<Vec<Change>> = single.into_iter().map(|change| vec![change]).collect();
    // Two readings that move a little are nearer than one thing that nobody has said.
    let size = |set: &[Change]| set.iter().map(|change| change.size).sum::<f64>();
    if let Some(pair) = pair {
        let at = sets.iter().position(|set| size(set) > size(&pair)).unwrap_or(sets.len());
        sets.insert(at, pair);
    }
    // What nobody has said is offered only where nothing that is known would do.
    if sets.iter().any(|set| set.iter().all(|change| change.from.is_some())) {
        sets.retain(|set| set.iter().all(|change| change.from.is_some()));
    }
    sets
}

/// Whether a supposed state calls today for something that the present one does not. Such a change is no way out: a
/// stopped pump in the cold ends "keep it running", and nobody is to be told so.
#[must_use]
pub fn brings_more(now: &State<'_>, supposed: &State<'_>) -> bool {
    let before = called(now);
    let known = |id: &str| before.iter().any(|one| one.action.id == id);
    let today = called(supposed).into_iter().filter(|one| one.urgency <= Urgency::Today);
    today.into_iter().any(|one| !known(&one.action.id))
}

fn with(state: &State<'_>, changes: &[Change], does: &dyn Fn(&State<'_>) -> bool) -> bool {
    let mut supposed = state.clone();
    for change in changes {
        supposed.state(change.fact, change.to, Origin::Assumed);
    }
    supposed.run();
    does(&supposed)
}

/// The facts that people state and that the action can hang on; never those by which people are in danger: nobody
/// is told that an accident would save the trouble.
fn changeable(state: &State<'_>, id: &str) -> Vec<FactId> {
    let network = state.network();
    let knowledge = network.knowledge();
    let mut seen: BTreeSet<FactId> = BTreeSet::new();
    let mut open: Vec<FactId> = Vec::new();
    let Some(action) = knowledge.action(id) else { return Vec::new() };
    let bars = |other: &str| knowledge.action(other).is_some_and(|other| never(other, action));
    for node in network.order() {
        let concerned = network
            .rule(*node)
            .is_some_and(|rule| rule.call.iter().any(|call| call.id == id || bars(&call.id)));
        if concerned {
            open.extend(network.looks_at(*node));
        }
    }
    for condition in &action.done_when {
        condition.facts(&mut |fact, _| open.push(fact));
    }
    let mut barred: BTreeSet<FactId> = BTreeSet::new();
    for condition in &knowledge.questions.silent_when {
        condition.facts(&mut |fact, _| {
            barred.insert(fact);
            let above = network.brought_by(fact).iter().flat_map(|node| network.looks_at(*node));
            barred.extend(above);
        });
    }
    while let Some(fact) = open.pop() {
        if barred.contains(&fact) || !seen.insert(fact) {
            continue;
        }
        for node in network.brought_by(fact) {
            open.extend(network.looks_at(*node));
        }
    }
    let said = |fact: &FactId| {
        let def = knowledge.vocabulary.get(*fact);
        def.is_some_and(|def| def.bringer == Bringer::People && def.name != DEED)
    };
    seen.into_iter().filter(said).collect()
}

/// The smallest change of one fact that does it.
fn one_fact(
    state: &State<'_>,
    fact: FactId,
    units: System,
    does: &dyn Fn(&State<'_>) -> bool,
) -> Option<Change> {
    let def = state.network().knowledge().vocabulary.get(fact)?;
    let change = |to: Value| sized(state, fact, def, to);
    let tries = |to: Value| with(state, &[change(to)], does);
    match &def.kind {
        Kind::Number { .. } => {
            let scale = Scale::of(def, units)?;
            let found = scale.nearest(state, fact, &tries)?;
            Some(change(found))
        }
        _ => discrete(def)
            .into_iter()
            .filter(|value| state.memory().value(fact) != Some(*value))
            .find(|value| tries(*value))
            .map(change),
    }
}

/// A change with its size.
fn sized(state: &State<'_>, fact: FactId, def: &FactDef, to: Value) -> Change {
    let from = state.memory().value(fact);
    let step = match (from.and_then(Value::number), to.number(), def.plausible.or(def.possible)) {
        (Some(a), Some(b), Some((low, high))) => (a - b).abs() / (high - low).max(1e-9),
        _ => TURNED,
    };
    let unknown = if from.is_none() { UNKNOWN } else { 0.0 };
    let lasting = if def.fresh_h.is_none() { LASTING } else { 0.0 };
    Change { fact, from, to, size: step + unknown + lasting }
}

/// Every word that a fact can be.
fn discrete(def: &FactDef) -> Vec<Value> {
    match &def.kind {
        Kind::YesNo { .. } => vec![Value::Flag(true), Value::Flag(false)],
        Kind::OneOf(values) => {
            (0..values.len()).filter_map(|n| u8::try_from(n).ok()).map(Value::Choice).collect()
        }
        Kind::SeveralOf(values) => {
            (0..values.len()).map(|n| Value::Choices(ChoiceSet::one(n))).collect()
        }
        Kind::Number { .. } => Vec::new(),
    }
}

/// The numbers of a fact as they are shown, in whole steps of the last digit.
struct Scale {
    canonical: crate::units::UnitId,
    shown: crate::units::UnitId,
    steps_per_unit: f64,
    low: i64,
    high: i64,
}

impl Scale {
    fn of(def: &FactDef, units: System) -> Option<Self> {
        let Kind::Number { unit: canonical, decimals } = def.kind else { return None };
        let shown = display_unit(canonical, units);
        let (low, high) = def.plausible.or(def.possible)?;
        let mut scale = Self {
            canonical,
            shown,
            steps_per_unit: 10_f64.powi(i32::from(decimals)),
            low: 0,
            high: 0,
        };
        scale.low = scale.step(low)?;
        scale.high = scale.step(high)?;
        Some(scale)
    }

    /// The step nearest to a canonical value.
    fn step(&self, canonical: f64) -> Option<i64> {
        let shown = convert(canonical, self.canonical, self.shown)? * self.steps_per_unit;
        whole(shown.round())
    }

    fn value(&self, step: i64) -> Option<Value> {
        let shown = f64::from(i32::try_from(step).ok()?) / self.steps_per_unit;
        convert(shown, self.shown, self.canonical).map(Value::Number)
    }

    /// The steps at which rules may change their mind, with those beside them and an even grid between.
    fn points(&self, state: &State<'_>, fact: FactId) -> BTreeSet<i64> {
        let mut edges = Vec::new();
        for rule in state.network().order().iter().filter_map(|node| state.network().rule(*node)) {
            for condition in rule.when.iter().chain(&rule.unless) {
                thresholds(condition, fact, &mut edges);
            }
        }
        if let Some(range) = state.network().range(fact, state.memory()) {
            edges.extend(range.edges.iter().filter(|edge| edge.is_finite()));
        }
        let near = edges.into_iter().filter_map(|edge| self.step(edge));
        let mut points: BTreeSet<i64> = near.flat_map(|at| [at - 1, at, at + 1]).collect();
        let wide = ((self.high - self.low) / GRID).max(1);
        let even = (0..=GRID).map(|n| self.low + n * wide);
        points.extend(even.chain([self.low, self.high]));
        points.retain(|at| (self.low..=self.high).contains(at));
        points
    }

    /// The value nearest to the present one that does it.
    fn nearest(
        &self,
        state: &State<'_>,
        fact: FactId,
        tries: &dyn Fn(Value) -> bool,
    ) -> Option<Value> {
        let points = self.points(state, fact);
        let tried = |at: i64| self.value(at).is_some_and(tries);
        let now = state.memory().value(fact).and_then(Value::number).and_then(|n| self.step(n));
        let from = now.unwrap_or(i64::midpoint(self.low, self.high));
        let below = points.range(..from).rev().copied().collect::<Vec<_>>();
        let above = points.range(from + i64::from(now.is_some())..).copied().collect::<Vec<_>>();
        let found = [below, above].into_iter().filter_map(|side| {
            let at = side.iter().position(|at| tried(*at))?;
            let last = at.checked_sub(1).and_then(|before| side.get(before)).copied();
            Some(narrow(last.unwrap_or(from), *side.get(at)?, &tried))
        });
        found.min_by_key(|at| at.abs_diff(from)).and_then(|at| self.value(at))
    }
}

/// The step nearest to `out` that does it, between one that does not and one that does.
fn narrow(mut out: i64, mut found: i64, tried: &dyn Fn(i64) -> bool) -> i64 {
    while out.abs_diff(found) > 1 {
        let middle = i64::midpoint(out, found);
        if tried(middle) {
            found = middle;
        } else {
            out = middle;
        }
    }
    found
}

fn whole(number: f64) -> Option<i64> {
    let text = format!("{number:.0}");
    text.parse().ok()
}

/// The smallest pair of changes that does it, among the facts that are known and can change.
fn pair(
    state: &State<'_>,
    facts: &[FactId],
    units: System,
    does: &dyn Fn(&State<'_>) -> bool,
) -> Option<Vec<Change>> {
    let words = &state.network().knowledge().vocabulary;
    let mut open: Vec<Vec<Change>> = facts
        .iter()
        .filter_map(|fact| {
            let def = words.get(*fact)?;
            let values = match Scale::of(def, units) {
                Some(scale) => {
                    let points = scale.points(state, *fact);
                    let now = state.memory().value(*fact).and_then(Value::number);
                    let now = now.and_then(|n| scale.step(n))?;
                    let below = points.range(..now).rev().take(VALUES);
                    let above = points.range(now + 1..).take(VALUES);
                    below.chain(above).filter_map(|at| scale.value(*at)).collect::<Vec<_>>()
                }
                None => discrete(def),
            };
            let now = state.memory().value(*fact);
            now?;
            let others = values.into_iter().filter(|value| now != Some(*value));
            Some(others.map(|to| sized(state, *fact, def, to)).collect::<Vec<_>>())
        })
        .filter(|changes| !changes.is_empty())
        .collect();
    open.sort_by(|a, b| least(a).total_cmp(&least(b)));
    open.truncate(PAIRED);
    let mut best: Option<(f64, Vec<Change>)> = None;
    for (at, first) in open.iter().enumerate() {
        for second in open.iter().skip(at + 1) {
            for a in first {
                for b in second {
                    let size = a.size + b.size;
                    let smaller = best.as_ref().is_none_or(|(held, _)| size < *held);
                    if smaller && with(state, &[*a, *b], does) {
                        best = Some((size, vec![*a, *b]));
                    }
                }
            }
        }
    }
    best.map(|(_, changes)| changes)
}

fn least(changes: &[Change]) -> f64 {
    changes.iter().map(|change| change.size).fold(f64::INFINITY, f64::min)
}
