//! Cues: which of the needed actions a clause is most likely about, when nothing says it outright.
//!
//! A case needs a handful of actions. Words of a clause that stand in the wording of one of them, and in few other
//! actions of the whole knowledge, point to it: "the clocks put right" can only be the resetting of clocks.

use super::clause::Clause;
use super::ear::Ear;
use super::right::Needed;
use crate::knowledge::ConceptId;
use crate::units::count;
use std::collections::{BTreeMap, BTreeSet};

/// So much weight of shared words makes a cue: two rare words, or three of middling rarity.
const ENOUGH: f64 = 5.5;
/// So many words at least.
const WORDS: usize = 2;
/// Another action that comes so near to the best one is meant as well.
const NEAR: f64 = 0.95;

/// What a wording or a clause is made of.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Feature {
    Stem(String),
    Concept(ConceptId),
}

/// The wordings of all actions, weighed.
#[derive(Debug, Default)]
pub(super) struct Cues<'k> {
    of: BTreeMap<&'k str, BTreeSet<Feature>>,
    weight: BTreeMap<Feature, f64>,
}

impl<'k> Cues<'k> {
    /// Takes in the wording of an action: its stems and the concepts in it.
    pub(super) fn add(
        &mut self,
        id: &'k str,
        stems: impl IntoIterator<Item = String>,
        concepts: impl IntoIterator<Item = ConceptId>,
    ) {
        let stems = stems.into_iter().map(Feature::Stem);
        self.of.insert(id, stems.chain(concepts.into_iter().map(Feature::Concept)).collect());
    }

    /// Weighs each feature by how few actions share it.
    pub(super) fn weigh(&mut self) {
        let mut held: BTreeMap<Feature, usize> = BTreeMap::new();
        for feature in self.of.values().flatten() {
            *held.entry(feature.clone()).or_default() += 1;
        }
        let all = count(self.of.len());
        self.weight = held.into_iter().map(|(one, n)| (one, (all / count(n)).ln())).collect();
    }

    /// How much the words of a clause point to an action; `spent` are the places of words that say another outright.
    fn score(&self, clause: &Clause, spent: &[usize], id: &str, ear: &Ear<'_>) -> f64 {
        let Some(features) = self.of.get(id) else { return 0.0 };
        let says = |concept: ConceptId| clause.concepts.iter().any(|(id, _)| *id == concept);
        let does = |concept: ConceptId| features.contains(&Feature::Concept(concept));
        let opposed = ear.doing.opposites.iter().any(|(a, b)| {
            (says(*a) && !says(*b) && does(*b) && !does(*a))
                || (says(*b) && !says(*a) && does(*a) && !does(*b))
        });
        if opposed {
            return 0.0;
        }
        // Who does something else with the same thing does not do this: "put the hose in" is no putting away.
        if !acts_alike(clause, ear, &does) {
            return 0.0;
        }
        // Each word counts once, by the heaviest that it stands for.
        let mut best: BTreeMap<usize, f64> = BTreeMap::new();
        let stems = clause.stems.iter().enumerate().map(|(at, s)| (at, Feature::Stem(s.clone())));
        let mut named: Vec<(ConceptId, usize)> = clause.concepts.clone();
        named.dedup_by_key(|(id, _)| *id);
        let concepts = named.iter().map(|(id, at)| (*at, Feature::Concept(*id)));
        let free = |(at, one): &(usize, Feature)| !spent.contains(at) && features.contains(one);
        for (at, feature) in stems.chain(concepts).filter(free) {
            let weight = self.weight.get(&feature).copied().unwrap_or(0.0);
            let held = best.entry(at).or_insert(0.0);
            *held = held.max(weight);
        }
        // One word alone says too little: a rubbed eye is not a rinsed one.
        if best.len() < WORDS { 0.0 } else { best.values().sum() }
    }
}

/// Whether a clause does what an action does, or says nothing of doing. A word that names a thing of the action is
/// no verb of it as well: "leave a note about the crack" cracks nothing open.
fn acts_alike(clause: &Clause, ear: &Ear<'_>, does: &dyn Fn(ConceptId) -> bool) -> bool {
    let named = |at: usize| {
        clause.words.iter().any(|(id, place)| *place == at && !ear.is_verb(*id) && does(*id))
    };
    let mut verbs =
        clause.concepts.iter().filter(|(id, at)| ear.is_verb(*id) && !named(*at)).peekable();
    verbs.peek().is_none() || verbs.any(|(id, _)| does(*id))
}

/// For each needed action when the first of some clauses is done that points to it; `None` where none does. With each
/// clause come the places of words that say something else outright.
pub(super) fn pointed<'a>(
    clauses: impl Iterator<Item = (&'a Clause, &'a Vec<usize>)>,
    needed: &[Needed],
    ear: &Ear<'_>,
) -> Vec<Option<f64>> {
    let mut when: Vec<Option<f64>> = vec![None; needed.len()];
    for (clause, spent) in clauses {
        let score = |one: &Needed| {
            let denies = ear.wording_of(&one.id).is_some_and(|wording| wording.denials > 0);
            let fits = clause.denials.is_empty() || denies;
            if fits { ear.cues.score(clause, spent, &one.id, ear) } else { 0.0 }
        };
        let scores: Vec<f64> = needed.iter().map(score).collect();
        let top = scores.iter().copied().fold(0.0, f64::max);
        if top < ENOUGH {
            continue;
        }
        for (slot, score) in when.iter_mut().zip(&scores) {
            if *score >= NEAR * top && slot.is_none() {
                *slot = Some(clause.order);
            }
        }
    }
    when
}
