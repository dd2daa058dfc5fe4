//! The groups of words and phrases that mean the same, and the names by which phrases are compared.

use super::LONGEST_PHRASE;
use crate::notes::index::{Words, plain, rarity};
use crate::notes::lookup::Lookup;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// How much a word that carries no meaning counts, and one that tells what kind of answer is wanted.
const SMALL: f64 = 0.2;
const ASKING: f64 = 0.45;
/// A word of this inverse document frequency counts in full; no informative one counts less than the least.
const RARE: f64 = 2.5;
const LEAST: f64 = 0.3;
/// How much of that an everyday word counts.
const EVERYDAY: f64 = 0.5;

/// Stems of a phrase with their positions.
pub(in super::super) type Stems = Vec<(usize, String)>;

/// The groups of `lookup.toml` by their stems.
#[derive(Debug, Default, Serialize, Deserialize)]
pub(in super::super) struct Groups {
    /// The stems of every member, in the order of `lookup.toml`.
    members: Vec<Vec<Stems>>,
    /// The groups that hold some stems.
    by_stems: BTreeMap<Vec<String>, Vec<usize>>,
}

/// A word or phrase of a question or a section.
#[derive(Debug)]
pub(super) struct Name {
    /// The word as it stands if it carries no meaning, else its stem, or its group's name: `blackout` and `power cut`
    /// are the same.
    pub(super) name: String,
    /// The first word of it, as it stands.
    word: String,
    /// Its group.
    group: Option<usize>,
    /// Whether it carries meaning.
    pub(super) informative: bool,
}

impl Groups {
    /// Stems every member.
    pub(super) fn of(words: &Words, lookup: &Lookup) -> Self {
        let members: Vec<Vec<Stems>> = lookup
            .same
            .iter()
            .map(|group| group.iter().map(|text| words.analyze(text)).collect())
            .collect();
        let mut by_stems: BTreeMap<Vec<String>, Vec<usize>> = BTreeMap::new();
        for (number, group) in members.iter().enumerate() {
            for stems in group {
                by_stems.entry(bare(stems)).or_default().push(number);
            }
        }
        Self { members, by_stems }
    }

    /// The other members of the groups that hold these stems, by their stems.
    pub(in super::super) fn others<'a>(
        &'a self,
        stems: &'a [String],
    ) -> impl Iterator<Item = &'a Stems> {
        let numbers = self.by_stems.get(stems).into_iter().flatten();
        let members = numbers.filter_map(|number| self.members.get(*number)).flatten();
        members.filter(move |own| bare(own) != stems)
    }

    /// The names of a phrase, in order.
    pub(super) fn read(&self, words: &Words, phrase: &str) -> Vec<Name> {
        let read = |word: String| {
            let stem = words.analyze(&word).into_iter().next().map(|(_, stem)| stem);
            (word, stem)
        };
        let all: Vec<(String, Option<String>)> = plain(phrase).into_iter().map(read).collect();
        let mut names = Vec::new();
        let mut at = 0;
        while let Some((word, stem)) = all.get(at) {
            let found = (1..=LONGEST_PHRASE).rev().find_map(|length| {
                let run: Option<Vec<String>> =
                    all.get(at..at + length)?.iter().map(|(_, stem)| stem.clone()).collect();
                Some((length, *self.by_stems.get(&run?)?.first()?))
            });
            let (length, group) = found.map_or((1, None), |(length, group)| (length, Some(group)));
            let name = match (group, stem) {
                (Some(group), _) => format!("={group}"),
                (None, stem) => stem.as_ref().unwrap_or(word).clone(),
            };
            let informative = group.is_some() || stem.is_some();
            names.push(Name { name, word: word.clone(), group, informative });
            at += length;
        }
        names
    }

    /// How much a word or phrase counts in a way of asking: the rarer in the notes, the more; everyday words half of
    /// that, and words that carry no meaning least.
    pub(super) fn weigh(&self, words: &Words, lookup: &Lookup, said: &Name) -> f64 {
        if !said.informative {
            return if lookup.asking.contains(&said.word) { ASKING } else { SMALL };
        }
        let met = match said.group.and_then(|number| self.members.get(number)) {
            // A phrase is met as often as its rarest word.
            Some(group) => {
                let met = |stems: &Stems| {
                    stems.iter().map(|(_, stem)| words.met(stem)).min().unwrap_or(0)
                };
                group.iter().map(met).sum()
            }
            None => words.met(&said.name),
        };
        let rare = rarity(met.min(words.sections()), words.sections()) / RARE;
        let everyday = if lookup.light.contains(&said.word) { EVERYDAY } else { 1.0 };
        rare.clamp(LEAST, 1.0) * everyday
    }
}

/// Stems without their positions.
fn bare(stems: &Stems) -> Vec<String> {
    stems.iter().map(|(_, stem)| stem.clone()).collect()
}
