//! How alike two ways of asking are, small words included: "how much", "which first".

use super::{Groups, LONGEST_PHRASE, analyze, plain};
use crate::notes::index::Words;
use std::collections::BTreeMap;

/// A word that counts as much or more is a telling one.
const TELLING: f64 = 0.45;

/// The words of a phrase, each with its weight: small ones as they are, others by their stem, and phrases that mean
/// the same by the name of their group.
#[derive(Debug)]
pub(in super::super) struct Phrasing(BTreeMap<String, f64>);

impl Phrasing {
    /// Reads a phrase.
    pub(in super::super) fn of(words: &Words, groups: &Groups<'_>, phrase: &str) -> Self {
        let read = |word: String| {
            let stem = analyze(&words.analyzer, &word).into_iter().next().map(|(_, stem)| stem);
            (word, stem)
        };
        let all: Vec<(String, Option<String>)> = plain(phrase).into_iter().map(read).collect();
        let mut said = BTreeMap::new();
        let mut at = 0;
        while let Some((word, stem)) = all.get(at) {
            let named = (1..=LONGEST_PHRASE).rev().find_map(|length| {
                let run: Option<Vec<String>> =
                    all.get(at..at + length)?.iter().map(|(_, stem)| stem.clone()).collect();
                Some((length, groups.name(&run?)?))
            });
            let (length, name) = match (named, stem) {
                (Some((length, name)), _) => (length, Some(name)),
                (None, stem) => (1, stem.clone()),
            };
            let weight = groups.weigh(word, name.as_deref());
            said.insert(name.unwrap_or_else(|| word.clone()), weight);
            at += length;
        }
        Self(said)
    }

    fn weight(&self) -> f64 {
        self.0.values().sum()
    }

    /// How much of it is said in some phrases taken together, 0 to 1.
    pub(in super::super) fn within(&self, others: &[Self]) -> f64 {
        let said = |word: &String| others.iter().any(|other| other.0.contains_key(word));
        let common: f64 = self.0.iter().filter(|(word, _)| said(word)).map(|(_, own)| own).sum();
        if common > 0.0 { common / self.weight() } else { 0.0 }
    }

    /// How like the two are: 0 for nothing in common but small words, 1 for the same words. Half of it is how much of
    /// the other phrase is said here (containment), half how much the two overlap (Dice 1945).
    pub(in super::super) fn like(&self, other: &Self) -> Like {
        let (own, others) = (self.weight(), other.weight());
        let common = other.0.iter().filter(|(word, _)| self.0.contains_key(*word));
        let common: Vec<f64> = common.map(|(_, weight)| *weight).collect();
        let telling = common.iter().filter(|weight| **weight > TELLING).count();
        if telling == 0 {
            return Like::default();
        }
        let common: f64 = common.iter().sum();
        Like { share: f64::midpoint(common / others, 2.0 * common / (own + others)), telling }
    }
}

/// How like one way of asking is to another.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(in super::super) struct Like {
    /// 0 to 1.
    pub(in super::super) share: f64,
    /// How many telling words both hold.
    pub(in super::super) telling: usize,
}
