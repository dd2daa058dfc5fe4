//! The groups of words and phrases that mean the same, found by their stems.

use super::{analyze, sections, term};
use crate::notes::index::Words;
use crate::notes::lookup::Lookup;
use crate::notes::search::rarity;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};

/// How much a word that carries no meaning counts, and one that tells what kind of answer is wanted.
const SMALL: f64 = 0.2;
const ASKING: f64 = 0.45;
/// A word of this inverse document frequency counts in full; no informative one counts less than the least.
const RARE: f64 = 2.5;
const LEAST: f64 = 0.5;
/// How much of that an everyday word counts.
const EVERYDAY: f64 = 0.5;

/// The groups of `lookup.toml`.
#[derive(Debug)]
pub(in super::super) struct Groups<'a> {
    groups: Vec<Vec<(Vec<String>, &'a String)>>,
    by_stems: BTreeMap<Vec<String>, Vec<usize>>,
    everyday: BTreeSet<&'a str>,
    asking: BTreeSet<&'a str>,
    words: &'a Words,
    /// How much each stem or group that was met counts.
    counts: RefCell<BTreeMap<String, f64>>,
}

impl<'a> Groups<'a> {
    /// Stems every member.
    pub(in super::super) fn of(words: &'a Words, lookup: &'a Lookup) -> Self {
        let stems = |text: &str| analyze(&words.analyzer, text).into_iter().map(|(_, stem)| stem);
        let groups: Vec<Vec<(Vec<String>, &String)>> = lookup
            .same
            .iter()
            .map(|group| group.iter().map(|word| (stems(word).collect(), word)).collect())
            .collect();
        let mut by_stems: BTreeMap<Vec<String>, Vec<usize>> = BTreeMap::new();
        for (number, group) in groups.iter().enumerate() {
            for (stems, _) in group {
                by_stems.entry(stems.clone()).or_default().push(number);
            }
        }
        let everyday = lookup.light.iter().map(String::as_str).collect();
        let asking = lookup.asking.iter().map(String::as_str).collect();
        Self { groups, by_stems, everyday, asking, words, counts: RefCell::default() }
    }

    /// The other members of the groups that hold these stems.
    pub(super) fn others(&self, stems: &[String]) -> impl Iterator<Item = &'a String> {
        let numbers = self.by_stems.get(stems).into_iter().flatten();
        let members = numbers.filter_map(|number| self.groups.get(*number)).flatten();
        members.filter(move |(own, _)| own.as_slice() != stems).map(|(_, word)| *word)
    }

    /// How much a word or phrase counts in a way of asking: the rarer in the notes, the more; everyday words half of
    /// that, and words that carry no meaning least.
    pub(super) fn weigh(&self, word: &str, name: Option<&str>) -> f64 {
        let Some(name) = name else {
            return if self.asking.contains(word) { ASKING } else { SMALL };
        };
        if let Some(known) = self.counts.borrow().get(name) {
            return *known;
        }
        let group = name.strip_prefix('=').and_then(|number| number.parse::<usize>().ok());
        let found = match group.and_then(|number| self.groups.get(number)) {
            Some(group) => group.iter().map(|(stems, _)| found(self.words, stems)).sum(),
            None => found(self.words, &[name.to_owned()]),
        };
        let rare = rarity(found.min(sections(self.words)), sections(self.words)) / RARE;
        let everyday = if self.everyday.contains(word) { EVERYDAY } else { 1.0 };
        let weight = rare.clamp(LEAST, 1.0) * everyday;
        self.counts.borrow_mut().insert(name.to_owned(), weight);
        weight
    }

    /// One name for every phrase of a group, so that `blackout` and `power cut` are the same word.
    pub(super) fn name(&self, stems: &[String]) -> Option<String> {
        self.by_stems.get(stems)?.first().map(|number| format!("={number}"))
    }
}

/// How many sections hold these stems; for a phrase, its rarest word.
fn found(words: &Words, stems: &[String]) -> usize {
    let Some(segment) = words.segment() else { return 0 };
    let Ok(index) = segment.inverted_index(words.fields.all) else { return 0 };
    let found = stems.iter().map(|stem| index.doc_freq(&term(words.fields.all, stem)).unwrap_or(0));
    found.min().and_then(|found| usize::try_from(found).ok()).unwrap_or(0)
}
