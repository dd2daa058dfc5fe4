//! How people answer the one question in a few words (`answers.toml`): "a gas one", "half way", "all of them".

use super::document::Reader;
use super::lexicon::{is_nearly, plain_words};
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
    /// Words that may stand around an answer and speak of nothing else.
    pub around: Vec<String>,
    /// Words between what is spoken of and what is said of it.
    pub copula: Vec<String>,
    /// Words that answer only with no more than two others around them.
    pub bare: Vec<String>,
    /// Words that show that a no is about something else.
    pub elsewhere: Vec<String>,
    /// How each fact is answered.
    answers: BTreeMap<FactId, Answers>,
}

/// How one fact is answered.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
struct Answers {
    /// Words for what is asked about.
    about: Vec<String>,
    /// The phrases for each value, the longest first.
    phrases: Vec<(Vec<String>, Value)>,
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

impl ShortAnswers {
    /// What words say of a fact that was asked for; the longest phrase wins, of two as long the first.
    #[must_use]
    pub fn says(&self, fact: FactId, words: &[String]) -> Option<Short> {
        let answers = self.answers.get(&fact)?;
        let at = |phrase: &[String]| {
            let fits = |said: &[String]| said.iter().zip(phrase).all(|(a, b)| is_nearly(b, a));
            words.windows(phrase.len()).position(fits)
        };
        let found = answers.phrases.iter().filter_map(|(phrase, value)| {
            let at = at(phrase)?;
            self.is_meant(answers, words, (at, phrase), *value).then_some((
                phrase.len(),
                at,
                *value,
            ))
        });
        let (_, at, value) = found.min_by_key(|(long, at, _)| (std::cmp::Reverse(*long), *at))?;
        let before = words.get(..at).unwrap_or(&[]);
        let before = before
            .iter()
            .rev()
            .find(|word| !self.around.contains(word) || self.denied.contains(word));
        let denied = before.is_some_and(|word| self.denied.contains(word));
        Some(match (denied, value) {
            (false, value) => Short::Is(value),
            (true, Value::Flag(flag)) => Short::Is(Value::Flag(!flag)),
            (true, _) => Short::IsNot,
        })
    }

    /// Whether a phrase answers, and is not said of another thing: "the heater is on". To a yes/no question one word ("on")
    /// takes no word beside it that may be another thing.
    fn is_meant(
        &self,
        answers: &Answers,
        words: &[String],
        (at, phrase): (usize, &[String]),
        value: Value,
    ) -> bool {
        let own = |word: &String| {
            let lists = [&self.around, &self.denied, &self.copula, &answers.about];
            lists.into_iter().any(|list| list.contains(word))
        };
        let copula = words.get(..=at).unwrap_or(&[]).iter().rposition(|w| self.copula.contains(w));
        let subject = words.get(..copula.unwrap_or(0)).unwrap_or(&[]);
        let around = || {
            let [before, after] = [words.get(..at), words.get(at + phrase.len()..)];
            before.into_iter().chain(after).flatten().all(own)
        };
        subject.iter().all(own)
            && match (phrase, value) {
                ([one], _) if self.bare.contains(one) && words.len() > BARE => false,
                ([_], Value::Flag(_)) => around(),
                _ => true,
            }
    }

    /// Whether a no among these words is about something else than what was asked.
    #[must_use]
    pub fn is_elsewhere(&self, words: &[String]) -> bool {
        words.len() > BARE && words.iter().any(|word| self.elsewhere.contains(word))
    }
}

/// Reads `answers.toml`.
pub(super) fn read_answers(top: &Reader<'_, '_>, words: &Vocabulary) -> ShortAnswers {
    let (yes, no) = (top.strings("yes"), top.strings("no"));
    let mut answers: BTreeMap<FactId, Answers> =
        words.iter().map(|(id, def)| (id, by_itself(def, &yes, &no))).collect();
    answers.retain(|_, one| !one.phrases.is_empty());
    for table in top.tables("answer") {
        let fact = table.text("fact");
        let fact = fact.as_ref().and_then(|text| named(&table, text, words));
        let Some((id, def)) = fact.and_then(|id| Some((id, words.get(id)?))) else { continue };
        let own = answers.entry(id).or_default();
        own.about.extend(table.strings("about"));
        if let Some(is) = table.table("is") {
            read_values(&is, def, &mut own.phrases);
        }
        table.finish();
    }
    for one in answers.values_mut() {
        one.phrases.sort_by_key(|(phrase, _)| std::cmp::Reverse(phrase.len()));
    }
    ShortAnswers {
        denied: top.strings("denied"),
        between: top.strings("between"),
        around: top.strings("around"),
        copula: top.strings("copula"),
        bare: top.strings("bare"),
        elsewhere: top.strings("elsewhere"),
        answers,
    }
}

/// What answers a fact without being listed: the names of its values, any yes and no, and the words of its title.
fn by_itself(def: &FactDef, yes: &[String], no: &[String]) -> Answers {
    let flag = |list: &[String], flag| -> Vec<(Vec<String>, Value)> {
        list.iter().map(|text| (plain_words(text), Value::Flag(flag))).collect()
    };
    let phrases = match def.kind {
        Kind::YesNo { .. } => [flag(yes, true), flag(no, false)].concat(),
        _ => {
            let named = |name: &String| Some((plain_words(name), value(def, name)?));
            def.values().iter().filter_map(named).collect()
        }
    };
    Answers { about: plain_words(&def.title), phrases }
}

/// The phrases for each value; one that states two values is reported.
fn read_values(is: &Reader<'_, '_>, def: &FactDef, own: &mut Vec<(Vec<String>, Value)>) {
    for (name, list) in is.lists() {
        let Some(value) = value(def, &name.text) else {
            let message = format!("`{}` is no value of `{}`", name.text, def.name);
            let problem = Problem::error(Code::UnknownName, Some(name.place()), message);
            let names = def.values().iter().map(String::as_str).chain(["yes", "no"]);
            is.problem(problem.did_you_mean(&name.text, names));
            continue;
        };
        for text in list {
            let said = plain_words(&text.text);
            let other = own.iter().find(|(phrase, held)| *phrase == said && *held != value);
            if other.is_some() || said.is_empty() {
                let message = format!("`{}` answers with two values of `{}`", text.text, def.name);
                is.problem(Problem::error(Code::Duplicate, Some(text.place()), message));
                continue;
            }
            own.push((said, value));
        }
    }
}

fn value(def: &FactDef, name: &str) -> Option<Value> {
    match def.kind {
        Kind::Number { .. } => None,
        _ => def.parse(name).ok(),
    }
}
