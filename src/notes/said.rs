//! What the sections say, read once when the notes are packed: their ways of asking, headings and sentences as numbers of
//! names, so that a question is compared with all of them without analysing a word of theirs again.

mod asked;
mod groups;

pub(super) use asked::Asked;
pub(super) use groups::{Groups, Stems};

use super::Note;
use super::index::{Words, failed};
use super::lookup::Lookup;
use crate::problem::Problem;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// The longest phrase with synonyms, in words.
pub(super) const LONGEST_PHRASE: usize = 3;

/// A word that counts less than this says little of what is asked.
const LITTLE: f64 = 0.25;

/// What a word says of the field that a question belongs to.
#[derive(Debug, Default, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub(super) enum Kind {
    /// A word of the trade.
    Trade,
    /// A word that the trade shares with other fields.
    Shared,
    /// A word that the trade uses and that mostly means something else.
    Faint,
    /// A word of another field.
    Alien,
    /// A word of everyday English, or a number.
    Light,
    /// A word that the notes use.
    Known,
    /// A word that they don't.
    #[default]
    Unknown,
}

/// A name that the sections hold.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
struct Known {
    name: String,
    /// How much it counts.
    weight: f64,
    /// Whether it says what kind of answer is wanted, or nothing.
    small: bool,
    /// Its share of the words of all ways of asking.
    usual: f64,
}

/// The names in a phrase by number, each once.
type Names = Vec<u32>;

/// The names in one section.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
struct Section {
    /// The ways of asking for it, its heading last.
    ways: Vec<Names>,
    /// The note's title and the heading.
    heading: Names,
    sentences: Vec<Names>,
}

/// What all sections say.
#[derive(Debug, Default, Serialize, Deserialize)]
pub(super) struct Said {
    pub(super) groups: Groups,
    /// Every name, sorted: small words as they are, others by their stem, and phrases that mean the same by their group.
    names: Vec<Known>,
    sections: Vec<Section>,
    /// Words and stems of `lookup.toml` that tell of a field, sorted.
    kinds: Vec<(String, Kind)>,
}

impl Said {
    /// Reads every section.
    pub(super) fn of(notes: &[Note], lookup: &Lookup, words: &Words) -> Self {
        let groups = Groups::of(words, lookup);
        let sections = notes.iter().flat_map(|note| note.sections.iter().map(move |s| (note, s)));
        let mut known: BTreeMap<String, Known> = BTreeMap::new();
        let mut read = |phrase: &str| -> Vec<String> {
            let names = groups.read(words, phrase).into_iter().map(|said| {
                known.entry(said.name.clone()).or_insert_with(|| {
                    let (name, weight) = (said.name.clone(), groups.weigh(words, lookup, &said));
                    let small = !said.informative || weight < LITTLE;
                    Known { name, weight, small, usual: 0.0 }
                });
                said.name
            });
            names.collect()
        };
        let all: Vec<[Vec<Vec<String>>; 3]> = sections
            .map(|(note, section)| {
                let ways = section.asked.iter().chain([&section.title]).map(|way| read(way));
                let ways = ways.collect();
                let heading = vec![read(&format!("{} {}", note.title, section.title))];
                [ways, heading, sentences(&section.text).into_iter().map(&mut read).collect()]
            })
            .collect();
        let mut names: Vec<Known> = known.into_values().collect();
        let number = |name: &String| {
            let at = names.binary_search_by(|known| known.name.cmp(name)).ok()?;
            u32::try_from(at).ok()
        };
        let once =
            |phrase: Vec<String>| -> BTreeSet<u32> { phrase.iter().filter_map(number).collect() };
        let numbers = |phrases: Vec<Vec<String>>| -> Vec<Names> {
            phrases.into_iter().map(|phrase| once(phrase).into_iter().collect()).collect()
        };
        let sections: Vec<Section> = all
            .into_iter()
            .map(|[ways, heading, sentences]| Section {
                ways: numbers(ways),
                heading: numbers(heading).pop().unwrap_or_default(),
                sentences: numbers(sentences),
            })
            .collect();
        count(&mut names, &sections);
        Self { groups, names, sections, kinds: kinds(words, lookup) }
    }

    /// As bytes.
    pub(super) fn pack(&self) -> Result<Vec<u8>, Problem> {
        postcard::to_stdvec(self).map_err(failed)
    }

    /// From bytes; none if they are not of this version.
    pub(super) fn unpack(packed: &[u8]) -> Option<Self> {
        postcard::from_bytes(packed).ok()
    }

    /// The number of a name.
    fn number(&self, name: &str) -> Option<usize> {
        self.names.binary_search_by(|known| known.name.as_str().cmp(name)).ok()
    }

    /// What `lookup.toml` says of a word, as it stands or else by its stem.
    pub(super) fn kind(&self, word: &str, stem: &str) -> Option<Kind> {
        let find = |text: &str| {
            let at = self.kinds.binary_search_by(|(known, _)| known.as_str().cmp(text)).ok()?;
            Some(self.kinds.get(at)?.1)
        };
        find(word).or_else(|| find(stem))
    }
}

/// Counts how usual each name is in the ways of asking; half a time is added to each, so that none is never said.
fn count(names: &mut [Known], sections: &[Section]) {
    for name in names.iter_mut() {
        name.usual = 0.5;
    }
    for at in sections.iter().flat_map(|section| &section.ways).flatten() {
        if let Some(name) = usize::try_from(*at).ok().and_then(|at| names.get_mut(at)) {
            name.usual += 1.0;
        }
    }
    let all: f64 = names.iter().map(|name| name.usual).sum();
    for name in names {
        name.usual /= all;
    }
}

/// The words of the lists and, where no word is in the way, their stems, each with the first kind that it has.
fn kinds(words: &Words, lookup: &Lookup) -> Vec<(String, Kind)> {
    let lists = [
        (&lookup.trade, Kind::Trade),
        (&lookup.shared, Kind::Shared),
        (&lookup.faint, Kind::Faint),
        (&lookup.alien, Kind::Alien),
        (&lookup.light, Kind::Light),
    ];
    let all = lists.into_iter().flat_map(|(list, kind)| list.iter().map(move |word| (word, kind)));
    let single = all.filter(|(word, _)| !word.contains(' '));
    let mut kinds: BTreeMap<String, Kind> = BTreeMap::new();
    for (word, kind) in single.clone() {
        kinds.entry(word.clone()).or_insert(kind);
    }
    for (word, kind) in single {
        for (_, stem) in words.analyze(word) {
            kinds.entry(stem).or_insert(kind);
        }
    }
    kinds.into_iter().collect()
}

/// The sentences of a text: up to a stop that is followed by a space and a capital or a line's end.
pub(super) fn sentences(text: &str) -> Vec<&str> {
    let mut sentences = Vec::new();
    for line in text.lines() {
        let mut start = 0;
        for (at, _) in line.match_indices(['.', '?', '!']) {
            let after = line.get(at + 1..).unwrap_or("");
            let mut next = after.chars();
            if next.next() == Some(' ') && next.next().is_some_and(char::is_uppercase) {
                sentences.extend(line.get(start..=at).map(str::trim));
                start = at + 1;
            }
        }
        sentences.extend(line.get(start..).map(str::trim));
    }
    sentences.retain(|sentence| !sentence.is_empty());
    sentences
}

#[cfg(test)]
mod tests {
    use super::sentences;

    #[test]
    fn sentences_end_at_a_stop_before_a_capital() {
        assert_eq!(
            sentences("Hold 40 °F. It is 7.5 today. Is it? yes"),
            ["Hold 40 °F.", "It is 7.5 today.", "Is it? yes"]
        );
    }
}
