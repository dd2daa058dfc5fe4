//! Cases drawn from a template: numbers, equipment and wording by a seed.

use super::chance::Chance;
use crate::engine::{Network, State, Truth};
use crate::facts::{FactId, Origin, Value};
use crate::knowledge::{DrawnFact, Scenario, Spread, Template, Told, capital};
use crate::units::{System, count};

/// A case: what is so, and what of it is told at once.
#[derive(Debug, Clone)]
pub struct Case<'n> {
    /// The template.
    pub scenario: &'n Scenario,
    /// The seed that it was drawn with.
    pub seed: u64,
    /// Everything that is so, in the order of the template.
    pub facts: Vec<(FactId, Value)>,
    /// What is told at once.
    pub told: Vec<FactId>,
    /// How it is told.
    pub text: String,
}

impl Case<'_> {
    /// The value of a fact of the case.
    #[must_use]
    pub fn value(&self, fact: FactId) -> Option<Value> {
        self.facts.iter().find(|(id, _)| *id == fact).map(|(_, value)| *value)
    }
}

/// Draws a case.
#[must_use]
pub fn draw<'n>(
    network: &'n Network,
    scenario: &'n Scenario,
    seed: u64,
    units: System,
) -> Case<'n> {
    let mut chance = Chance::named(seed, &scenario.id);
    let mut state = State::new(network);
    let mut facts: Vec<(FactId, Value)> = Vec::new();
    let mut drawn: Vec<&DrawnFact> = Vec::new();
    for fact in &scenario.facts {
        let held = fact.only.as_ref().is_none_or(|only| state.holds(only) == Truth::True);
        // Drawn all the same, so that one condition does not move all that follows.
        let value = value(&fact.spread, &facts, &mut chance);
        if let (true, Some(value)) = (held, value) {
            facts.push((fact.fact, value));
            drawn.push(fact);
            state.state(fact.fact, value, Origin::Message);
        }
    }
    let words = &network.knowledge().vocabulary;
    let fill = |template: &Template| {
        template.fill(&|id| {
            let value = facts.iter().find(|(fact, _)| *fact == id).map(|(_, value)| *value);
            let shown = words.get(id).zip(value).map(|(def, value)| def.show(value, units));
            shown.unwrap_or_default()
        })
    };
    let opening = chance.of(&scenario.tell);
    let mut told: Vec<FactId> = opening.iter().flat_map(|template| template.facts()).collect();
    let mut sentences: Vec<String> = opening.into_iter().map(fill).collect();
    for fact in drawn {
        let coin = chance.share() < 0.5;
        let say = chance.of(&fact.say);
        if fact.told == Told::Always || (fact.told == Told::Sometimes && coin) {
            if !told.contains(&fact.fact) {
                told.push(fact.fact);
            }
            sentences.extend(say.map(fill).map(|text| capital(&text)));
        }
    }
    Case { scenario, seed, facts, told, text: sentences.join(" ") }
}

/// A value by its spread.
fn value(spread: &Spread, facts: &[(FactId, Value)], chance: &mut Chance) -> Option<Value> {
    match spread {
        Spread::Pick(values) => chance.weighed(values).copied(),
        Spread::Range { low, high, step, above } => {
            let share = chance.share();
            let within = if *step > 0.0 {
                let steps = ((high - low) / step + 1e-6).floor();
                let at = (share * (steps + 1.0)).floor().min(steps);
                at * step
            } else {
                share * (high - low)
            };
            let base = match above {
                None => 0.0,
                Some(fact) => facts.iter().find(|(id, _)| id == fact)?.1.number()?,
            };
            // The last bits of a sum are noise: told and computed value are to be the same.
            Some(Value::Number(rounded(base + low + within)))
        }
    }
}

fn rounded(value: f64) -> f64 {
    (value * 1e9).round() / 1e9
}

/// Every value that a fact of the template may take: those of its list, or the ends and the middle of its range.
#[must_use]
pub(super) fn values(fact: &DrawnFact) -> Vec<Value> {
    match &fact.spread {
        Spread::Pick(values) => values.iter().map(|(value, _)| *value).collect(),
        Spread::Range { low, high, step, above: None } => {
            let ends = (0..=4usize).map(|n| {
                let raw = low + (high - low) * count(n) / 4.0;
                if *step > 0.0 { low + ((raw - low) / step).round() * step } else { raw }
            });
            ends.map(|n| Value::Number(rounded(n))).collect()
        }
        Spread::Range { .. } => Vec::new(),
    }
}
