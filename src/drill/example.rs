//! Likeness: which example of the knowledge a clause is most like, and so which action it does.
//!
//! A clause is compared with every example by the words and concepts that both have, each weighed by how few examples
//! have it (the cosine of inverse document frequencies; common practice in retrieval). The likest example of an action
//! speaks for it. Dangers are not read so: tried on 128 unseen sayings that break a caution and 128 that keep one, it found
//! 2 to 11 more of the first and called 3 to 10 more of the second dangerous (2026-11-30).

use super::clause::Clause;
use super::cue::Feature;
use super::ear::Ear;
use super::right::Needed;
use crate::knowledge::Knowledge;
use crate::units::count;
use std::collections::{BTreeMap, BTreeSet};

/// A shared concept says so much of what the same word says.
const CONCEPT: f64 = 0.7;
/// What is denied and what is not are so much alike.
const DENIED: f64 = 0.6;
/// So like an example is one that does the same …
const LIKE: f64 = 0.3;
/// … if it has so many words of it, and not only what they may stand for …
const WORDS: usize = 2;
/// … unless it is that much more like another.
const NEAR: f64 = 0.8;

/// An example.
#[derive(Debug)]
struct Example<'k> {
    action: &'k str,
    denied: bool,
    length: f64,
}

/// All examples, ready to be compared with.
#[derive(Debug, Default)]
pub(super) struct Likenesses<'k> {
    examples: Vec<Example<'k>>,
    /// The weight of each feature, squared, and the examples that have it.
    having: BTreeMap<Feature, (f64, Vec<usize>)>,
}

fn features(clause: &Clause, ear: &Ear<'_>) -> BTreeSet<Feature> {
    let small = &ear.doing.shapes.small;
    let words = clause.stems.iter().filter(|word| !small.contains(word));
    let words = words.map(|word| Feature::Stem(word.clone()));
    words.chain(clause.concepts.iter().map(|(id, _)| Feature::Concept(*id))).collect()
}

impl<'k> Likenesses<'k> {
    /// Takes in the examples as an ear hears them that knows all words already.
    pub(super) fn new(knowledge: &'k Knowledge, ear: &Ear<'k>) -> Self {
        let mut all = Self::default();
        let mut own: Vec<BTreeSet<Feature>> = Vec::new();
        for examples in &knowledge.doing.examples {
            for (text, _) in &examples.clauses {
                let clause = ear.clause(ear.stems(text), 0, 0.0);
                let denied = !clause.denials.is_empty();
                all.examples.push(Example { action: &examples.id, denied, length: 0.0 });
                own.push(features(&clause, ear));
            }
        }
        for (at, feature) in
            own.iter().enumerate().flat_map(|(at, own)| own.iter().map(move |f| (at, f)))
        {
            all.having.entry(feature.clone()).or_default().1.push(at);
        }
        let number = count(own.len());
        for (feature, (weight, having)) in &mut all.having {
            *weight = weight_of(feature, number / count(having.len()));
        }
        for (at, features) in own.iter().enumerate() {
            let length = features.iter().map(|feature| all.weight(feature)).sum::<f64>().sqrt();
            if let Some(example) = all.examples.get_mut(at) {
                example.length = length;
            }
        }
        all
    }

    /// The squared weight of a feature; what no example has weighs like what one has.
    fn weight(&self, feature: &Feature) -> f64 {
        let known = self.having.get(feature).map(|(weight, _)| *weight);
        known.unwrap_or_else(|| weight_of(feature, count(self.examples.len())))
    }

    /// How like a clause is to the likest example of each action, from 0 to 1.
    fn like(&self, clause: &Clause, ear: &Ear<'_>) -> BTreeMap<&'k str, f64> {
        let features = features(clause, ear);
        let mut shared = vec![0.0; self.examples.len()];
        let mut words = vec![0_usize; self.examples.len()];
        let mut length = 0.0;
        for feature in &features {
            length += self.weight(feature);
            let Some((weight, having)) = self.having.get(feature) else { continue };
            for at in having {
                shared.get_mut(*at).into_iter().for_each(|slot| *slot += *weight);
                let word = usize::from(matches!(feature, Feature::Stem(_)));
                words.get_mut(*at).into_iter().for_each(|slot| *slot += word);
            }
        }
        let length = f64::sqrt(length);
        let denied = !clause.denials.is_empty();
        let mut likest: BTreeMap<&'k str, f64> = BTreeMap::new();
        for ((example, shared), _) in
            self.examples.iter().zip(shared).zip(words).filter(|(_, words)| *words >= WORDS)
        {
            let same = if example.denied == denied { 1.0 } else { DENIED };
            let slot = likest.entry(example.action).or_insert(0.0);
            *slot = slot.max(same * shared / (example.length * length));
        }
        likest
    }
}

/// The squared weight of a feature that one in so many examples has.
fn weight_of(feature: &Feature, one_in: f64) -> f64 {
    let kind = if matches!(feature, Feature::Stem(_)) { 1.0 } else { CONCEPT };
    (kind * (1.0 + one_in).ln()).powi(2)
}

/// For each needed action when the first of some clauses is said that is like an example of it; `None` where none is.
pub(super) fn alike(clauses: &[&Clause], needed: &[Needed], ear: &Ear<'_>) -> Vec<Option<f64>> {
    let mut when: Vec<Option<f64>> = vec![None; needed.len()];
    for clause in clauses {
        let like = ear.examples.like(clause, ear);
        let most = like.values().copied().fold(0.0, f64::max);
        for (slot, one) in when.iter_mut().zip(needed).filter(|(slot, _)| slot.is_none()) {
            let like = like.get(one.id.as_str()).copied().unwrap_or(0.0);
            if like >= LIKE && like >= NEAR * most {
                *slot = Some(clause.order);
            }
        }
    }
    when
}
