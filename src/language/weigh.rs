//! Weighs statements against each other: now before past, later before earlier, doubts last.

use super::contradiction::{contradicts, said_twice};
use super::doubt::{Doubt, doubt};
use super::reading::Message;
use super::statement::Statement;
use crate::facts::{ChoiceSet, Fact, FactId, Origin, Value};
use crate::knowledge::{FactDef, Knowledge};
use crate::units::System;
use std::collections::BTreeMap;

/// The facts that hold of all that was said, in order of place.
#[must_use]
pub fn weigh(
    message: &Message<'_, '_>,
    mut statements: Vec<Statement>,
    knowledge: &Knowledge,
    system: System,
) -> Vec<Fact> {
    statements.sort_by_key(|s| (s.last, s.first));
    let mut best: BTreeMap<(FactId, bool), Statement> = BTreeMap::new();
    for statement in statements {
        let key = (statement.fact, statement.supposed);
        match best.get_mut(&key) {
            None => {
                best.insert(key, statement);
            }
            Some(held) => join(message, held, statement, knowledge),
        }
    }
    let over = |s: &Statement| {
        s.while_so.is_some_and(|(fact, value)| {
            best.get(&(fact, s.supposed)).is_none_or(|held| held.value != value)
        })
    };
    let mut facts: Vec<Fact> = best
        .values()
        .filter(|statement| !over(statement))
        .filter_map(|statement| {
            let def = knowledge.vocabulary.get(statement.fact)?;
            Some(fact(message, statement, def, system))
        })
        .collect();
    facts.sort_by_key(|fact| (fact.span, fact.id, fact.supposed));
    facts
}

/// Takes in another statement of the same fact.
fn join(message: &Message<'_, '_>, held: &mut Statement, next: Statement, knowledge: &Knowledge) {
    match (held.value, next.value) {
        (Value::Choices(a), Value::Choices(b)) => {
            held.value = Value::Choices(without_empty(a.or(b), next.fact, knowledge));
            held.first = held.first.min(next.first);
            held.last = held.last.max(next.last);
        }
        _ if next.past && !held.past => {}
        // Said twice: the shorter words are shown.
        (a, b) if a == b && next.last - next.first >= held.last - held.first => {
            held.past &= next.past;
        }
        _ => {
            let against = contradicts(message, held, &next).then_some(held.value);
            *held = Statement { against, ..next };
        }
    }
}

/// "None" and "unknown" give way to a place that was named.
fn without_empty(set: ChoiceSet, fact: FactId, knowledge: &Knowledge) -> ChoiceSet {
    let Some(def) = knowledge.vocabulary.get(fact) else { return set };
    let mut set = set;
    for word in ["none", "unknown"] {
        if let Some(n) = def.choice(word) {
            let rest = set.minus(ChoiceSet::one(n));
            if !rest.is_empty() {
                set = rest;
            }
        }
    }
    set
}

fn fact(message: &Message<'_, '_>, statement: &Statement, def: &FactDef, system: System) -> Fact {
    let span = message.span(statement.first, statement.last);
    let twice = || {
        let why = said_twice(def, statement.against?, statement.value, system)?;
        Some(Doubt { why, likely: None })
    };
    let doubt = doubt(def, statement.value, system).or_else(twice);
    let likely = doubt.as_ref().and_then(|d| d.likely).map(Value::Number);
    Fact {
        id: statement.fact,
        value: statement.value,
        bounds: statement.bounds,
        given: span.of(message.text).to_owned(),
        span: Some(span),
        supposed: statement.supposed,
        doubt: doubt.map(|d| d.why),
        likely,
        origin: Origin::Message,
    }
}
