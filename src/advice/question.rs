//! The one question most worth asking: the unknown fact whose possible answers would change the most
//! urgent actions.
//!
//! A cheap look at the rules that wait for a fact, or could be stopped by one, picks a few candidates;
//! for these each possible answer is tried on a copy of the working memory.

use super::answer::AnswerQuestion;
use crate::engine::{NodeId, State, Truth};
use crate::facts::{ChoiceSet, FactId, Origin, Value};
use crate::knowledge::{Bringer, Comparison, Condition, Expr, FactDef, Kind, Urgency};
use std::collections::BTreeMap;

/// How many candidates are tried out.
const TRIED: usize = 4;
/// How many answers to one question are tried out.
const ANSWERS: usize = 4;

const fn weight(urgency: Urgency) -> u32 {
    match urgency {
        Urgency::Now => 1000,
        Urgency::Today => 200,
        Urgency::Week => 40,
        Urgency::Routine => 8,
        Urgency::Info => 1,
    }
}

/// The question most worth asking, if any answer would change what to do.
#[must_use]
pub fn question(state: &State<'_>, not_known: &[FactId]) -> Option<AnswerQuestion> {
    let so = |condition: &Condition| state.holds(condition) == Truth::True;
    if state.network().knowledge().questions.silent_when.iter().any(so) {
        return None;
    }
    let mut wanted = wanted(state);
    wanted.retain(|id, _| !not_known.contains(id) && in_place(state, *id));
    let tried: Vec<FactId> = candidates(state)
        .into_iter()
        .filter(|id| !not_known.contains(id) && can_be_asked(state, *id))
        .take(TRIED)
        .collect();
    // Raw against raw: what is done already or promoted by order must not look like a change.
    let now = calls(state);
    let mut best: Option<(u32, FactId)> = None;
    let of_wish = wanted.keys().copied().filter(|id| !tried.contains(id)).collect::<Vec<_>>();
    for id in tried.iter().copied().chain(of_wish) {
        let Some(def) = state.network().knowledge().vocabulary.get(id) else { continue };
        let asked_for = wanted.get(&id).copied().unwrap_or(0);
        let value = asked_for.max(change(state, id, def, &now));
        if value > best.map_or(0, |(value, _)| value) {
            best = Some((value, id));
        }
    }
    let (_, fact) = best?;
    let def = state.network().knowledge().vocabulary.get(fact)?;
    Some(AnswerQuestion {
        fact,
        name: def.name.clone(),
        text: def.ask.clone(),
        why: def.why.clone(),
    })
}

/// Facts that fired rules want to know, with the weight of their wish.
fn wanted(state: &State<'_>) -> BTreeMap<FactId, u32> {
    let mut wanted = BTreeMap::new();
    for rule in state.fired().filter_map(|node| state.network().rule(node)) {
        for id in rule.ask.iter().filter(|id| state.memory().value(**id).is_none()) {
            let value = wanted.entry(*id).or_insert(0);
            *value = weight(rule.ask_urgency).max(*value);
        }
    }
    wanted
}

/// Unknown facts that rules wait for or could be stopped by, most promising first.
fn candidates(state: &State<'_>) -> Vec<FactId> {
    let mut scores: BTreeMap<FactId, u32> = BTreeMap::new();
    let mut facts: Vec<FactId> = Vec::new();
    for node in concerned(state) {
        let Some(rule) = state.network().rule(node) else { continue };
        if rule.call.is_empty() && rule.cautions.is_empty() && rule.conclude.is_empty() {
            continue;
        }
        if state.has_fired(node) {
            state.could_stop(node, &mut facts);
        } else {
            state.waits_for(node, &mut facts);
        }
        facts.sort_unstable();
        facts.dedup();
        if !state.has_fired(node) && facts.len() > 2 {
            continue;
        }
        let Ok(share) = u32::try_from(facts.len()) else { continue };
        let worth = weight(rule.urgency).max(if rule.conclude.is_empty() {
            0
        } else {
            weight(Urgency::Week)
        });
        for id in &facts {
            *scores.entry(*id).or_insert(0) += worth / (share * share).max(1);
        }
    }
    let mut order: Vec<(FactId, u32)> =
        scores.into_iter().filter(|(_, score)| *score > 0).collect();
    order.sort_by_key(|(id, score)| (std::cmp::Reverse(*score), *id));
    order.into_iter().map(|(id, _)| id).collect()
}

/// The nodes that look at something known, in their order: no other waits for one more fact.
fn concerned(state: &State<'_>) -> Vec<NodeId> {
    let known = state.memory().known();
    let mut nodes: Vec<NodeId> =
        known.flat_map(|(id, _, _)| state.network().watchers(id)).copied().collect();
    nodes.extend(state.fired());
    nodes.sort_unstable();
    nodes.dedup();
    nodes
}

fn can_be_asked(state: &State<'_>, id: FactId) -> bool {
    let def = state.network().knowledge().vocabulary.get(id);
    def.is_some_and(|def| def.bringer == Bringer::People && !def.ask.is_empty())
        && in_place(state, id)
}

/// Whether the question makes sense as things stand: nobody is asked for the plugs of a pump that runs.
fn in_place(state: &State<'_>, id: FactId) -> bool {
    let so = |condition: &Condition| state.holds(condition) == Truth::True;
    let asked = &state.network().knowledge().questions.asked;
    let mut of_fact = asked.iter().filter(|one| one.fact == id);
    of_fact.all(|one| one.when.iter().all(so) && !one.unless.iter().any(so))
}

type Outcome<'n> = BTreeMap<&'n str, Urgency>;

/// By how much the answers to a question would change what is to be done, on average.
fn change(state: &State<'_>, id: FactId, def: &FactDef, now: &Outcome<'_>) -> u32 {
    let answers = answers(state, id, def);
    let Ok(count) = u32::try_from(answers.len()) else { return 0 };
    let mut total = 0;
    for value in answers {
        let mut supposed = state.clone();
        supposed.state(id, value, Origin::Assumed);
        supposed.run();
        // What fires as before calls as before.
        if !supposed.fired_alike(state) {
            total += difference(now, &calls(&supposed));
        }
    }
    total / count.max(1)
}

/// What the fired rules call for, without order.
fn calls<'n>(state: &State<'n>) -> Outcome<'n> {
    let mut calls = Outcome::new();
    for rule in state.fired().filter_map(|node| state.network().rule(node)) {
        for id in &rule.call {
            let urgency = calls.entry(id.id.as_str()).or_insert(rule.urgency);
            *urgency = rule.urgency.min(*urgency);
        }
    }
    calls
}

fn difference(a: &Outcome<'_>, b: &Outcome<'_>) -> u32 {
    let gone =
        a.iter().filter(|(id, _)| !b.contains_key(**id)).map(|(_, urgency)| weight(*urgency));
    let come = b.iter().map(|(id, urgency)| match a.get(id) {
        None => weight(*urgency),
        Some(before) => weight(*urgency).abs_diff(weight(*before)),
    });
    gone.sum::<u32>() + come.sum::<u32>()
}

/// Answers that somebody may give: every word, or numbers on either side of the rules' thresholds.
fn answers(state: &State<'_>, id: FactId, def: &FactDef) -> Vec<Value> {
    match &def.kind {
        Kind::YesNo { .. } => vec![Value::Flag(true), Value::Flag(false)],
        Kind::OneOf(values) => (0..values.len())
            .filter_map(|n| u8::try_from(n).ok())
            .map(Value::Choice)
            .take(ANSWERS + 1)
            .collect(),
        Kind::SeveralOf(values) => {
            (0..values.len()).map(|n| Value::Choices(ChoiceSet::one(n))).take(ANSWERS).collect()
        }
        Kind::Number { .. } => numbers(state, id, def),
    }
}

fn numbers(state: &State<'_>, id: FactId, def: &FactDef) -> Vec<Value> {
    let mut edges: Vec<f64> = Vec::new();
    for node in state.network().watchers(id) {
        let Some(rule) = state.network().rule(*node) else { continue };
        for condition in rule.when.iter().chain(&rule.unless) {
            thresholds(condition, id, &mut edges);
        }
    }
    if let Some(range) = state.network().range(id, state.memory()) {
        edges.extend(range.edges.iter().filter(|edge| edge.is_finite()));
    }
    edges.sort_by(f64::total_cmp);
    edges.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    let (low, high) = def.plausible.or(def.possible).unwrap_or((0.0, 100.0));
    edges.retain(|edge| *edge > low && *edge < high);
    let mut bounds = vec![low];
    bounds.extend(edges);
    bounds.push(high);
    let middles: Vec<f64> =
        bounds.windows(2).filter_map(|w| Some((w.first()? + w.last()?) / 2.0)).collect();
    let step = middles.len().div_ceil(ANSWERS).max(1);
    middles.into_iter().step_by(step).map(Value::Number).collect()
}

/// Adds the numbers, in the canonical unit, that a condition compares a fact with.
pub(super) fn thresholds(condition: &Condition, fact: FactId, edges: &mut Vec<f64>) {
    match condition {
        Condition::All(parts) | Condition::Any(parts) => {
            for part in parts {
                thresholds(part, fact, edges);
            }
        }
        Condition::Not(part) => thresholds(part, fact, edges),
        Condition::Compare(a, sign, b) if !matches!(sign, Comparison::Unequal) => {
            if let (Expr::Fact { id, factor, offset }, Expr::Number(n))
            | (Expr::Number(n), Expr::Fact { id, factor, offset }) = (a, b)
                && *id == fact
            {
                edges.push((n - offset) / factor);
            }
        }
        _ => {}
    }
}
