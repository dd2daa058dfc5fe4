//! What people ask leave to do ("can I start it?", "ok to mix these?"), and the words by which they ask.
//!
//! The deeds that a message asks about become the fact [`DEED`]; rules look at it like at any other fact and
//! answer with a verdict.

use super::document::{Reader, Text};
use super::vocabulary::Vocabulary;
use crate::facts::{ChoiceSet, FactId};
use crate::problem::{Code, Place, Problem};
use serde::{Deserialize, Serialize};

/// The fact that holds what somebody asks leave to do.
pub const DEED: &str = "asked.deed";

/// The words for one deed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Deed {
    /// Its place among the values of [`DEED`].
    pub value: usize,
    /// Any of these: a list of groups, each of which needs one of its words.
    pub asked: Vec<Vec<Vec<String>>>,
    /// Words that tell of another deed.
    pub not: Vec<String>,
    /// Where it is written.
    pub place: Place,
}

/// What people ask leave to do.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Deeds {
    /// The fact that holds them.
    pub fact: Option<FactId>,
    /// The words that open such a question.
    pub opens: Vec<Vec<String>>,
    /// The deed that a question of staying open or closing asks about, in whatever words.
    pub stay_open: Option<usize>,
    /// Every deed.
    pub list: Vec<Deed>,
}

impl Deeds {
    /// What a message asks leave to do, with the words that it was read by.
    #[must_use]
    pub fn asked(&self, message: &str) -> Option<(ChoiceSet, Vec<String>)> {
        let mut set = ChoiceSet::default();
        let mut used = Vec::new();
        for sentence in sentences(message) {
            let words = split(sentence.text);
            let Some(rest) = self.after_opening(&words, sentence.asks) else { continue };
            for deed in &self.list {
                if let Some(mut by) = deed.met(rest) {
                    set = set.with(deed.value);
                    used.append(&mut by);
                }
            }
        }
        (set != ChoiceSet::default()).then_some((set, used))
    }

    /// The words behind the opening of a question; a short sentence with a question mark needs none.
    fn after_opening<'a>(&self, words: &'a [String], asks: bool) -> Option<&'a [String]> {
        let opened = self.opens.iter().filter_map(|opening| {
            let at = words.windows(opening.len().max(1)).position(|w| w == opening.as_slice())?;
            Some(at + opening.len())
        });
        match opened.min() {
            Some(at) => words.get(at..),
            None => (asks && words.len() <= SHORT).then_some(words),
        }
    }
}

/// A question without an opening has at most so many words: "restart the pump now?"
const SHORT: usize = 6;

impl Deed {
    /// The words by which the deed is asked about, if it is.
    fn met(&self, words: &[String]) -> Option<Vec<String>> {
        if self.not.iter().any(|no| words.iter().any(|word| fits(no, word))) {
            return None;
        }
        let group = |choices: &Vec<String>| {
            words.iter().find(|word| choices.iter().any(|choice| fits(choice, word))).cloned()
        };
        self.asked.iter().find_map(|groups| groups.iter().map(group).collect())
    }
}

/// A word of the knowledge fits one of a message: itself, its beginning before a `*`, or one slip in a longer one.
fn fits(wanted: &str, word: &str) -> bool {
    if let Some(start) = wanted.strip_suffix('*') {
        return word.starts_with(start);
    }
    wanted == word
        || (wanted.len() >= 5
            && word.len().abs_diff(wanted.len()) <= 1
            && wanted.chars().next() == word.chars().next()
            && strsim::osa_distance(wanted, word) <= 1)
}

struct Sentence<'a> {
    text: &'a str,
    asks: bool,
}

/// The sentences of a message; each says whether it ends with a question mark.
fn sentences(message: &str) -> impl Iterator<Item = Sentence<'_>> {
    message.split_inclusive(['.', '!', '?', ';', '\n']).map(|text| Sentence {
        asks: text.ends_with('?'),
        text: text.trim_end_matches(['.', '!', '?', ';', '\n']),
    })
}

/// Words in lower case; an apostrophe is left out, so that "can't" is no "can".
fn split(text: &str) -> Vec<String> {
    let plain = text.to_lowercase().replace(['\'', '\u{2019}'], "");
    let words = plain.split(|c: char| !c.is_alphanumeric());
    words.filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

/// Reads `deeds.toml`.
pub(super) fn read_deeds(top: &Reader<'_, '_>, words: &Vocabulary) -> Deeds {
    let def = words.def(DEED);
    let opens = top.strings("opens").iter().map(|opening| split(opening)).collect();
    let mut list = Vec::new();
    for table in top.tables("deed") {
        let deed = read_deed(&table, |id| def.and_then(|def| def.choice(&id.text)));
        table.finish();
        list.extend(deed);
    }
    let stay_open = top.opt_text("decide").and_then(|id| def?.choice(&id.text));
    Deeds { fact: words.find(DEED), opens, stay_open, list }
}

fn read_deed(table: &Reader<'_, '_>, value: impl Fn(&Text<'_>) -> Option<usize>) -> Option<Deed> {
    let id = table.text("id")?;
    let asked = table.strings("asked");
    let not = table.strings("not");
    if asked.is_empty() {
        let message = format!("`{}` is asked about in no words", id.text);
        table.problem(Problem::error(Code::Syntax, Some(id.place()), message));
    }
    let groups = |pattern: &String| {
        let groups = pattern.split_whitespace();
        groups.map(|group| group.split('|').map(str::to_owned).collect()).collect()
    };
    let Some(value) = value(&id) else {
        let message = format!("`{}` is no value of `{DEED}`", id.text);
        let problem = Problem::error(Code::UnknownName, Some(id.place()), message);
        table.problem(problem.help("add it to the values of that fact in `vocabulary.toml`"));
        return None;
    };
    Some(Deed { value, asked: asked.iter().map(groups).collect(), not, place: id.place() })
}
