//! Why an action is called for, and why another is not, in plain words with the numbers in them.

use super::answer::Advised;
use crate::engine::{Justification, NodeId, Obstacle, State, Truth};
use crate::facts::{FactId, Origin};
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

/// Why an action is not called for: what keeps each rule that would call it.
#[must_use]
pub fn explain_not(state: &State<'_>, id: &str, units: System) -> Option<Advised> {
    let knowledge = state.network().knowledge();
    let action = knowledge.action(id)?;
    let mut told = Advised { heading: "why not".to_owned(), lines: Vec::new(), cites: Vec::new() };
    let nodes = state.network().order().iter().copied();
    for node in nodes.filter(|node| calls(state, *node, id) && !state.has_fired(*node)).take(4) {
        let Some(rule) = state.network().rule(node) else { continue };
        let obstacles = state.obstacles(node);
        let said: Vec<String> =
            obstacles.iter().map(|obstacle| say_obstacle(state, obstacle, units)).collect();
        told.lines.push(format!("{}: {}.", rule.title, said.join("; ")));
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
    let shown = say(state, ground.fact, units);
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

/// A fact with its value in words: `air temperature 19 °F`, `pump stopped`.
fn say(state: &State<'_>, fact: FactId, units: System) -> String {
    let words = &state.network().knowledge().vocabulary;
    let (Some(def), Some(value)) = (words.get(fact), state.memory().value(fact)) else {
        return words.get(fact).map(|def| format!("{} unknown", def.title)).unwrap_or_default();
    };
    match value {
        crate::facts::Value::Flag(_) => def.show(value, units),
        _ => format!("{} {}", def.title, def.show(value, units)),
    }
}

fn say_obstacle(state: &State<'_>, obstacle: &Obstacle, units: System) -> String {
    let facts: Vec<String> = obstacle.facts.iter().map(|id| say(state, *id, units)).collect();
    let facts = facts.join(", ");
    match (obstacle.exception, obstacle.truth) {
        (true, _) => format!("does not apply here, because `{}` ({facts})", obstacle.said),
        (false, Truth::Unknown) => format!("it is not known whether `{}` ({facts})", obstacle.said),
        (false, _) => format!("it is not so that `{}` ({facts})", obstacle.said),
    }
}
