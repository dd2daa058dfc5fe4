//! Wording with facts in it: `Water is {water.temperature}.`

use super::document::{Problems, Text};
use super::vocabulary::Vocabulary;
use crate::facts::FactId;
use crate::problem::{Code, Problem, Span};
use serde::{Deserialize, Serialize};

/// A part of a wording.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Part {
    /// Plain words.
    Words(String),
    /// The value of a fact, with its unit.
    Fact(FactId),
}

/// A wording.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Template(pub Vec<Part>);

impl Template {
    /// The facts that it names.
    pub fn facts(&self) -> impl Iterator<Item = FactId> {
        self.0.iter().filter_map(|part| match part {
            Part::Fact(id) => Some(*id),
            Part::Words(_) => None,
        })
    }

    /// The wording, with each fact written by `value`.
    #[must_use]
    pub fn fill(&self, value: &dyn Fn(FactId) -> String) -> String {
        let mut text = String::new();
        for part in &self.0 {
            match part {
                Part::Words(words) => text.push_str(words),
                Part::Fact(id) => text.push_str(&value(*id)),
            }
        }
        text
    }
}

/// A wording that begins a sentence: its first letter is a capital. "pH" stays as it is written.
#[must_use]
pub fn capital(text: &str) -> String {
    if text.chars().nth(1).is_some_and(char::is_uppercase) {
        return text.to_owned();
    }
    let mut letters = text.chars();
    let first = letters.next().into_iter().flat_map(char::to_uppercase);
    first.chain(letters).collect()
}

/// Reads a wording; unknown facts and open brackets are noted.
pub(super) fn read_template(text: &Text<'_>, words: &Vocabulary, problems: &Problems) -> Template {
    let mut parts = Vec::new();
    let mut at = 0;
    while let Some(rest) = text.text.get(at..).filter(|rest| !rest.is_empty()) {
        let Some(open) = rest.find('{') else {
            parts.push(Part::Words(rest.to_owned()));
            break;
        };
        if let Some(before) = rest.get(..open).filter(|before| !before.is_empty()) {
            parts.push(Part::Words(before.to_owned()));
        }
        let Some(close) = rest.find('}').filter(|close| *close > open) else {
            let place = text.place_of(Span::new(at + open, text.text.len()));
            problems.push(Problem::error(
                Code::Condition,
                Some(place),
                "this bracket is not closed",
            ));
            break;
        };
        let name = rest.get(open + 1..close).unwrap_or("");
        match words.named(name, Some(text.place_of(Span::new(at + open + 1, at + close)))) {
            Ok((id, _)) => parts.push(Part::Fact(id)),
            Err(problem) => problems.push(problem),
        }
        at += close + 1;
    }
    Template(parts)
}
