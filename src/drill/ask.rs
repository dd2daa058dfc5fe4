//! Questions to the case: which facts are asked for, and what is told.

use super::draw::Case;
use crate::engine::Network;
use crate::facts::{FactId, Value};
use crate::knowledge::{Doing, FactDef, Kind, capital};
use crate::units::System;
use std::collections::BTreeSet;

/// Whether a sentence asks.
#[must_use]
pub(super) fn is_question(sentence: &str, doing: &Doing) -> bool {
    sentence.trim_end().ends_with('?') || opens_question(sentence, doing)
}

/// Whether a sentence begins as a question does; small words may stand before ("and is it on").
#[must_use]
pub(super) fn opens_question(sentence: &str, doing: &Doing) -> bool {
    let words = doing.stems(sentence);
    let opens = |phrase: &Vec<String>, at: usize| {
        !phrase.is_empty() && words.get(at..).is_some_and(|rest| rest.starts_with(phrase))
    };
    let joined = words.first().is_some_and(|word| matches!(word.as_str(), "and" | "so" | "ok"));
    doing.shapes.asks.iter().any(|phrase| opens(phrase, 0) || (joined && opens(phrase, 1)))
}

/// The facts that a question asks for: those whose words it holds, the fuller wording before the shorter.
#[must_use]
pub(super) fn asked(question: &str, network: &Network) -> Vec<FactId> {
    let knowledge = network.knowledge();
    let words: BTreeSet<String> = knowledge.doing.stems(question).into_iter().collect();
    let mut hits: Vec<(FactId, BTreeSet<String>)> = Vec::new();
    for (id, def) in knowledge.vocabulary.iter().filter(|(_, def)| !def.ask.is_empty()) {
        let best = phrases(def, &knowledge.doing)
            .into_iter()
            .filter(|phrase| !phrase.is_empty() && phrase.is_subset(&words))
            .max_by_key(BTreeSet::len);
        hits.extend(best.map(|best| (id, best)));
    }
    let fuller = |one: &BTreeSet<String>| {
        hits.iter().any(|(_, other)| one.is_subset(other) && one.len() < other.len())
    };
    hits.iter().filter(|(_, one)| !fuller(one)).map(|(id, _)| *id).collect()
}

fn phrases(def: &FactDef, doing: &Doing) -> Vec<BTreeSet<String>> {
    let own = doing.asked.iter().filter(|(name, ..)| *name == def.name);
    let mut all: Vec<BTreeSet<String>> = own
        .flat_map(|(_, phrases, _)| phrases)
        .map(|phrase| phrase.iter().cloned().collect())
        .collect();
    let label = def.words.label.iter().map(|phrase| phrase.text.as_str());
    let texts = label.chain([def.title.as_str(), def.ask.as_str()]);
    all.extend(texts.map(|text| doing.stems(text).into_iter().collect()));
    all
}

/// What is told about a fact.
#[must_use]
pub(super) fn told(case: &Case<'_>, fact: FactId, network: &Network, units: System) -> String {
    let Some(def) = network.knowledge().vocabulary.get(fact) else { return String::new() };
    match case.value(fact) {
        Some(value) => format!("{}.", said(def, value, units)),
        None => format!("{}: nobody here can tell.", capital(&def.title)),
    }
}

/// A fact in a sentence of its own: "Pump stopped", "Heater: gas".
#[must_use]
pub(super) fn said(def: &FactDef, value: Value, units: System) -> String {
    let shown = def.show(value, units);
    match def.kind {
        Kind::YesNo { .. } => capital(&shown),
        _ => format!("{}: {shown}", capital(&def.title)),
    }
}
