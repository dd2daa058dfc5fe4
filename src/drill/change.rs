//! The same case once more, with one thing changed that changes what has to be done.

use super::ask::said;
use super::chance::Chance;
use super::draw::{Case, values};
use super::right::{Right, needed_ids, right};
use crate::engine::Network;
use crate::facts::{FactId, Value};
use crate::knowledge::{Kind, Want};
use crate::units::{System, count};

/// A case with one fact changed, and how that is told; `None` if nothing that can be changed matters.
#[must_use]
pub fn changed<'n>(network: &'n Network, case: &Case<'n>, units: System) -> Option<Case<'n>> {
    let numbers = !matches!(case.scenario.want, Want::Deeds);
    let before_numbers = numbers.then(|| right(network, case, units));
    let mut chance = Chance::named(case.seed, "changed");
    let mut options: Vec<(FactId, Value)> = Vec::new();
    for (fact, held) in &case.facts {
        let drawn = case.scenario.facts.iter().find(|one| one.fact == *fact);
        let own = drawn.map(values).unwrap_or_default();
        // Where numbers are asked for, another number is drawn: with the pump off there would be nothing to measure out.
        let other = if numbers { Vec::new() } else { flipped(network, *fact, *held) };
        let others = own.into_iter().chain(other);
        options.extend(others.filter(|value| value != held).map(|value| (*fact, value)));
    }
    let before = needed_ids(network, &case.facts, case.scenario.within);
    while !options.is_empty() {
        let at = chance.below(options.len());
        let (fact, value) = options.swap_remove(at);
        let facts: Vec<(FactId, Value)> = case
            .facts
            .iter()
            .map(|(id, held)| (*id, if *id == fact { value } else { *held }))
            .collect();
        let after = needed_ids(network, &facts, case.scenario.within);
        if numbers {
            let other = Case { facts: facts.clone(), ..case.clone() };
            let other = right(network, &other, units);
            if before_numbers.as_ref().is_none_or(|held| !moved(held, &other)) {
                continue;
            }
        } else if after.is_empty() || after == before {
            continue;
        }
        let def = network.knowledge().vocabulary.get(fact)?;
        let text = format!(
            "The same pool, with one thing changed. {}. All else is as before. What do you do now?",
            said(def, value, units)
        );
        let mut told = case.told.clone();
        told.push(fact);
        return Some(Case { scenario: case.scenario, seed: case.seed, facts, told, text });
    }
    None
}

/// Whether the numbers of a case are right no longer where others are.
fn moved(held: &Right<'_>, other: &Right<'_>) -> bool {
    let amounts = held.amounts.len() == other.amounts.len()
        && held.amounts.iter().zip(&other.amounts).any(|(one, two)| {
            (one.amount - two.amount).abs() > 2.0 * one.tolerance * one.amount.max(two.amount)
        });
    let hours = held
        .hours
        .zip(other.hours)
        .is_some_and(|(one, two)| two.best > one.high || two.best < one.low);
    amounts || hours
}

/// A value that the template does not draw: the other of yes and no, another choice, a frost or none.
fn flipped(network: &Network, fact: FactId, held: Value) -> Vec<Value> {
    let Some(def) = network.knowledge().vocabulary.get(fact) else { return Vec::new() };
    match (&def.kind, held) {
        (Kind::YesNo { .. }, Value::Flag(flag)) => vec![Value::Flag(!flag)],
        (Kind::OneOf(values), Value::Choice(_)) => {
            (0..values.len()).filter_map(|n| u8::try_from(n).ok()).map(Value::Choice).collect()
        }
        (Kind::Number { .. }, Value::Number(n)) if def.name.starts_with("air.") => {
            let mild = [count(7), n - count(8)];
            mild.into_iter().map(Value::Number).collect()
        }
        _ => Vec::new(),
    }
}
