//! How people answer the one question in a few words (`answers.toml`): "a gas one", "half way", "all of them".

use super::document::Reader;
use super::lexicon::plain_words;
use super::named::named;
use super::vocabulary::{FactDef, Kind, Vocabulary};
use crate::facts::{FactId, Value};
use crate::problem::{Code, Problem};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The words of short answers.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct ShortAnswers {
    /// A value behind one of these words is not the answer.
    pub denied: Vec<String>,
    /// Words that may stand between such a word and the value.
    pub between: Vec<String>,
    /// Words that answer only with no more than two others around them.
    pub bare: Vec<String>,
    /// Words that show that a no is about something else.
    pub elsewhere: Vec<String>,
    /// The phrases for each value of a fact, the longest first.
    phrases: BTreeMap<FactId, Vec<(Vec<String>, Value)>>,
}

/// What a short answer says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Short {
    /// This value.
    Is(Value),
    /// That a value is not so, and no more.
    IsNot,
}

/// So many words with a bare word among them at most.
const BARE: usize = 3;
/// Words of this many letters or more may hold a slip.
const SLIP_FROM: usize = 5;

impl ShortAnswers {
    /// What words say of a fact that was asked for; the longest phrase wins, of two as long the first.
    #[must_use]
    pub fn says(&self, fact: FactId, words: &[String]) -> Option<Short> {
        let phrases = self.phrases.get(&fact)?;
        let at = |phrase: &[String]| {
            let fits = |said: &[String]| said.iter().zip(phrase).all(|(a, b)| fits(b, a));
            words.windows(phrase.len()).position(fits)
        };
        let bare = |phrase: &[String]| match phrase {
            [one] => self.bare.contains(one) && words.len() > BARE,
            _ => false,
        };
        let found = phrases.iter().filter(|(phrase, _)| !bare(phrase));
        let found = found.filter_map(|(phrase, value)| Some((phrase.len(), at(phrase)?, *value)));
        let (_, at, value) = found.min_by_key(|(long, at, _)| (std::cmp::Reverse(*long), *at))?;
        let before = words.get(..at).unwrap_or(&[]);
        let before = before.iter().rev().find(|word| !self.between.contains(word));
        let denied = before.is_some_and(|word| self.denied.contains(word));
        Some(match (denied, value) {
            (false, value) => Short::Is(value),
            (true, Value::Flag(flag)) => Short::Is(Value::Flag(!flag)),
            (true, _) => Short::IsNot,
        })
    }

    /// Whether a no among these words is about something else than what was asked.
    #[must_use]
    pub fn is_elsewhere(&self, words: &[String]) -> bool {
        words.len() > BARE && words.iter().any(|word| self.elsewhere.contains(word))
    }
}

/// The same word, or one slip away in a longer one.
fn fits(wanted: &str, said: &str) -> bool {
    wanted == said
        || (wanted.len() >= SLIP_FROM
            && wanted.chars().next() == said.chars().next()
            && strsim::osa_distance(wanted, said) <= 1)
}

/// Reads `answers.toml`.
pub(super) fn read_answers(top: &Reader<'_, '_>, words: &Vocabulary) -> ShortAnswers {
    let mut phrases: BTreeMap<FactId, Vec<(Vec<String>, Value)>> = BTreeMap::new();
    for (id, def) in words.iter() {
        let own =
            def.values().iter().filter_map(|name| Some((plain_words(name), value(def, name)?)));
        let own: Vec<_> = own.collect();
        if !own.is_empty() {
            phrases.insert(id, own);
        }
    }
    let (yes, no) = (top.strings("yes"), top.strings("no"));
    for (id, _) in words.iter().filter(|(_, def)| matches!(def.kind, Kind::YesNo { .. })) {
        let flag = |list: &[String], flag| {
            let list = list.iter().map(|text| (plain_words(text), Value::Flag(flag)));
            list.collect::<Vec<_>>()
        };
        phrases.insert(id, [flag(&yes, true), flag(&no, false)].concat());
    }
    for table in top.tables("answer") {
        let fact = table.text("fact");
        let fact = fact.as_ref().and_then(|text| named(&table, text, words));
        let Some((id, def)) = fact.and_then(|id| Some((id, words.get(id)?))) else { continue };
        let own = phrases.entry(id).or_default();
        let is = table.table("is");
        for (name, list) in is.iter().flat_map(Reader::lists) {
            let Some(value) = value(def, &name.text) else {
                let message = format!("`{}` is no value of `{}`", name.text, def.name);
                let problem = Problem::error(Code::UnknownName, Some(name.place()), message);
                let names = def.values().iter().map(String::as_str).chain(["yes", "no"]);
                table.problem(problem.did_you_mean(&name.text, names));
                continue;
            };
            for text in list {
                let said = plain_words(&text.text);
                let other = own.iter().find(|(phrase, held)| *phrase == said && *held != value);
                if other.is_some() || said.is_empty() {
                    let message =
                        format!("`{}` answers with two values of `{}`", text.text, def.name);
                    table.problem(Problem::error(Code::Duplicate, Some(text.place()), message));
                    continue;
                }
                own.push((said, value));
            }
        }
        table.finish();
    }
    for list in phrases.values_mut() {
        list.sort_by_key(|(phrase, _)| std::cmp::Reverse(phrase.len()));
    }
    ShortAnswers {
        denied: top.strings("denied"),
        between: top.strings("between"),
        bare: top.strings("bare"),
        elsewhere: top.strings("elsewhere"),
        phrases,
    }
}

fn value(def: &FactDef, name: &str) -> Option<Value> {
    match def.kind {
        Kind::Number { .. } => None,
        _ => def.parse(name).ok(),
    }
}
