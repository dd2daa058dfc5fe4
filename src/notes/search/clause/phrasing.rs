//! How alike two ways of asking are, small words included: "how much", "which first".

use super::{analyze, plain};
use crate::notes::index::Words;
use std::collections::BTreeMap;

/// How much a small word counts against an informative one.
const SMALL: f64 = 0.3;

/// The words of a phrase: stems of the informative ones, small ones as they are, each with its weight.
#[derive(Debug)]
pub(in super::super) struct Phrasing(BTreeMap<String, f64>);

impl Phrasing {
    /// Reads a phrase.
    pub(in super::super) fn of(words: &Words, phrase: &str) -> Self {
        let weigh = |word: String| match analyze(&words.analyzer, &word).into_iter().next() {
            Some((_, stem)) => (stem, 1.0),
            None => (word, SMALL),
        };

        Self(plain(phrase).into_iter().map(weigh).collect())
    }

    fn weight(&self) -> f64 {
        self.0.values().sum()
    }

    /// 0 for nothing in common, 1 for the same words. Half of it is how much of the other phrase is said here
    /// (containment), half how much the two overlap (Dice 1945).
    pub(in super::super) fn like(&self, other: &Self) -> f64 {
        let (own, others) = (self.weight(), other.weight());
        if own <= 0.0 || others <= 0.0 {
            return 0.0;
        }
        let common = other.0.iter().filter(|(word, _)| self.0.contains_key(*word));
        let common: f64 = common.map(|(_, weight)| weight).sum();
        f64::midpoint(common / others, 2.0 * common / (own + others))
    }
}
