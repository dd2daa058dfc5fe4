//! Why an action is called for, and why another is not, in plain words with the numbers in them.

use super::answer::Advised;
use super::plain::{plain, said_now, title};
use crate::engine::{Justification, NodeId, Obstacle, State, Truth};
use crate::facts::{FactId, Origin};
use crate::knowledge::{Bringer, Concluded};
use crate::units::System;

/// Why an action is called for: each rule that calls it, with its grounds.
#[must_use]
pub fn explain_action(state: &State<'_>, id: &str, units: System) -> Option<Advised> {
    let callers: Vec<NodeId> = state.fired().filter(|node| calls(state, *node, id)).collect();
    if callers.is_empty() {
        return None;
    }
    let mut told = Advised { heading: "why".to_owned(), lines: Vec::new(), cites: Vec::new() };
    for node in callers {
        tell_rule(state, node, units, &mut told);
    }
    if let Some(action) = state.network().knowledge().action(id) {
        add_cites(&mut told, action.cites.iter().map(|citation| citation.to.0.clone()));
    }
    Some(told)
}

/// Why a rule holds.
#[must_use]
pub fn explain_rule(state: &State<'_>, node: NodeId, units: System) -> Advised {
    let mut told = Advised { heading: "why".to_owned(), lines: Vec::new(), cites: Vec::new() };
    tell_rule(state, node, units, &mut told);
    told
}

/// So many rules that would call for it are told.
const CALLERS: usize = 3;

/// Why an action is not called for: what keeps each rule that would call it.
#[must_use]
pub fn explain_not(state: &State<'_>, id: &str, units: System) -> Option<Advised> {
    let knowledge = state.network().knowledge();
    let action = knowledge.action(id)?;
    let mut told = Advised { heading: "why not".to_owned(), lines: Vec::new(), cites: Vec::new() };
    let nodes = state.network().order().iter().copied();
    let mut callers: Vec<(NodeId, Vec<Obstacle>)> = nodes
        .filter(|node| {
            calls(state, *node, id) && !state.has_fired(*node) && !is_leave(state, *node)
        })
        .map(|node| (node, state.obstacles(node)))
        .collect();
    // The rule that lacks least is the one that was meant.
    callers.sort_by_key(|(_, obstacles)| obstacles.len());
    for (node, obstacles) in callers.into_iter().take(CALLERS) {
        let Some(rule) = state.network().rule(node) else { continue };
        let said: Vec<String> =
            obstacles.iter().flat_map(|one| say_obstacle(state, one, DEEP, units)).collect();
        told.lines.push(format!("It is called for when: {}.", rule.title.trim_end_matches('.')));
        told.lines.extend(said.into_iter().map(|one| format!("  {one}.")));
        add_cites(&mut told, rule.cites.iter().map(|citation| citation.to.0.clone()));
    }
    add_cites(&mut told, action.cites.iter().map(|citation| citation.to.0.clone()));
    Some(told)
}

fn calls(state: &State<'_>, node: NodeId, id: &str) -> bool {
    state.network().rule(node).is_some_and(|rule| rule.call.iter().any(|call| call.id == id))
}

fn add_cites(told: &mut Advised, cites: impl Iterator<Item = String>) {
    for cite in cites {
        if !told.cites.contains(&cite) {
            told.cites.push(cite);
        }
    }
}

fn tell_rule(state: &State<'_>, node: NodeId, units: System, told: &mut Advised) {
    let Some(rule) = state.network().rule(node) else { return };
    told.lines.push(format!("{}. ({})", rule.title.trim_end_matches('.'), rule.source));
    for fact in state.because(node) {
        if let Some(ground) = state.justify(fact) {
            tell_ground(state, &ground, 1, units, &mut told.lines);
        }
    }
    add_cites(told, rule.cites.iter().map(|citation| citation.to.0.clone()));
}

fn tell_ground(
    state: &State<'_>,
    ground: &Justification,
    depth: usize,
    units: System,
    lines: &mut Vec<String>,
) {
    let words = &state.network().knowledge().vocabulary;
    let Some(def) = words.get(ground.fact) else { return };
    let shown = said_now(state, ground.fact, units);
    let from = match (&ground.by, ground.origin) {
        (Some((node, _)), _) => match state.network().rule(*node) {
            Some(rule) => format!("because: {}", rule.title),
            None => "computed".to_owned(),
        },
        (None, Origin::Message) => "you said so".to_owned(),
        (None, Origin::Earlier) => "you said so before".to_owned(),
        (None, Origin::Logbook { age_h }) => format!("from the log, {age_h:.0} h ago"),
        (None, Origin::Profile) => format!("from the pool's profile, {}", def.title),
        (None, Origin::Assumed) => "taken for granted".to_owned(),
        (None, Origin::Derived(_)) => "concluded".to_owned(),
    };
    let indent = "  ".repeat(depth);
    let line = format!("{indent}{shown} ({from})");
    if !lines.contains(&line) {
        lines.push(line);
    }
    for below in ground.by.iter().flat_map(|(_, below)| below) {
        tell_ground(state, below, depth + 1, units, lines);
    }
}

/// Whether a rule answers a question for leave: nobody asked for that.
fn is_leave(state: &State<'_>, node: NodeId) -> bool {
    state.network().rule(node).is_some_and(|rule| rule.verdict.is_some())
}

/// So many conclusions are gone behind for what somebody can see or measure.
const DEEP: usize = 3;

/// What keeps a rule from holding: what it needs, in plain words, and how things stand. Of what rules would have to
/// conclude first, what keeps the nearest of them.
fn say_obstacle(state: &State<'_>, obstacle: &Obstacle, deep: usize, units: System) -> Vec<String> {
    if !obstacle.exception
        && let Some(below) = deep.checked_sub(1)
        && let Some(nearer) = behind(state, obstacle)
    {
        return nearer.iter().flat_map(|one| say_obstacle(state, one, below, units)).collect();
    }
    vec![say_plainly(state, obstacle, units)]
}

/// What keeps the nearest rule that would conclude what is missing; none if it is no conclusion.
fn behind(state: &State<'_>, obstacle: &Obstacle) -> Option<Vec<Obstacle>> {
    let [fact] = obstacle.facts.as_slice() else { return None };
    if state.memory().value(*fact).is_some() {
        return None;
    }
    let words = &state.network().knowledge().vocabulary;
    words.get(*fact).filter(|def| def.bringer == Bringer::Rules)?;
    let mut supposed = state.clone();
    let would = |node: &&NodeId| {
        let Some(rule) = state.network().rule(**node) else { return false };
        rule.conclude.iter().any(|conclusion| {
            let Concluded::Value(value) = conclusion.value else { return false };
            supposed.retract(*fact);
            supposed.state(*fact, value, Origin::Assumed);
            conclusion.fact == *fact && supposed.holds(&obstacle.condition) == Truth::True
        })
    };
    let mut would = would;
    let bringers = state.network().brought_by(*fact).iter().filter(|node| would(node));
    let nearest = bringers.map(|node| state.obstacles(*node)).min_by_key(Vec::len)?;
    (!nearest.is_empty()).then_some(nearest)
}

fn say_plainly(state: &State<'_>, obstacle: &Obstacle, units: System) -> String {
    let wanted = plain(state, &obstacle.condition, units);
    if obstacle.exception {
        return format!("not while {wanted}");
    }
    let mut facts = obstacle.facts.clone();
    facts.sort_unstable();
    facts.dedup();
    let (known, unknown): (Vec<FactId>, Vec<FactId>) =
        facts.into_iter().partition(|id| state.memory().value(*id).is_some());
    let now: Vec<String> = known.iter().map(|id| said_now(state, *id, units)).collect();
    let missing: Vec<String> = unknown.iter().map(|id| title(state, *id)).collect();
    let stands = match (obstacle.truth, now.is_empty(), missing.is_empty()) {
        (Truth::Unknown, _, false) => format!("; not known yet: {}", missing.join(", ")),
        (_, false, _) => format!("; as things stand: {}", now.join(", ")),
        _ => String::new(),
    };
    format!("it needs {wanted}{stands}")
}
