//! `lookup.toml`: the words that carry no meaning in a question, and the words that mean the same.

use crate::problem::{Code, Problem, SourceText, Span};
use serde::{Deserialize, Serialize};

/// Words for the search.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Lookup {
    /// Words that say nothing of what is asked: `how`, `should`, `worth`.
    #[serde(default)]
    pub(super) stop: Vec<String>,
    /// Those of them that tell what kind of answer is wanted: `often`, `why`.
    #[serde(default)]
    pub(super) asking: Vec<String>,
    /// Words that say little of it: `put`, `first`, `week`.
    #[serde(default)]
    pub(super) light: Vec<String>,
    /// Words of the trade: `skimmer`, `stabilizer`.
    #[serde(default)]
    pub(super) trade: Vec<String>,
    /// Words that the trade shares with other fields: `cover`, `salt`.
    #[serde(default)]
    pub(super) shared: Vec<String>,
    /// Words that the trade uses and that mostly mean something else: `log`, `scale`.
    #[serde(default)]
    pub(super) faint: Vec<String>,
    /// Words of other fields: `radiator`, `lawyer`.
    #[serde(default)]
    pub(super) alien: Vec<String>,
    /// Groups of words or phrases that mean the same.
    #[serde(default)]
    pub(super) same: Vec<Vec<String>>,
}

impl Lookup {
    /// Reads `lookup.toml` of the texts; without one, every word counts and none has a synonym.
    pub(super) fn read(texts: &[SourceText], problems: &mut Vec<Problem>) -> Self {
        let Some(source) = texts.iter().find(|source| source.name == "lookup.toml") else {
            return Self::default();
        };
        let mut lookup: Self = match toml::from_str(&source.text) {
            Ok(lookup) => lookup,
            Err(error) => {
                let place = error.span().map(|span| source.place(span.into()));
                let message = error.message().replace('\n', "; ");
                problems.push(Problem::error(Code::Syntax, place, message));
                return Self::default();
            }
        };
        for word in lookup.stop.iter_mut().chain(lookup.same.iter_mut().flatten()) {
            *word = word.to_lowercase();
        }
        for group in lookup.same.iter().filter(|group| group.len() < 2) {
            let place = source.place(Span::new(0, 0));
            let message = format!("a group of one means nothing: `{}`", group.join(", "));
            problems.push(Problem::warning(Code::Unused, Some(place), message));
        }
        lookup
    }
}
