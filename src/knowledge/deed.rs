//! What people ask leave to do ("can I start it?", "ok to mix these?"), and the words by which they ask.
//!
//! The deeds that a message asks about become the fact [`DEED`]; rules look at it like at any other fact and
//! answer with a verdict.

use super::document::{Reader, Text};
use super::lexicon::{is_nearly, plain_words};
use super::vocabulary::Vocabulary;
use crate::facts::{ChoiceSet, FactId};
use crate::problem::{Code, Problem};
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
    /// Openings that ask about this deed alone.
    pub opens: Vec<Vec<String>>,
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
            let words = plain_words(sentence.text);
            let common = self.after_opening(&words, sentence.asks);
            for deed in &self.list {
                let own = after(&deed.opens, &words);
                let behind = [common, own].into_iter().flatten();
                if let Some(mut by) = behind.filter_map(|rest| deed.met(rest, &words)).next() {
                    set = set.with(deed.value);
                    used.append(&mut by);
                }
            }
        }
        (set != ChoiceSet::default()).then_some((set, used))
    }

    /// The words behind the opening of a question; a short sentence with a question mark needs none.
    fn after_opening<'a>(&self, words: &'a [String], asks: bool) -> Option<&'a [String]> {
        after(&self.opens, words).or_else(|| (asks && words.len() <= SHORT).then_some(words))
    }
}

/// What stands behind the first of some openings.
fn after<'a>(opens: &[Vec<String>], words: &'a [String]) -> Option<&'a [String]> {
    let opened = opens.iter().filter_map(|opening| {
        let at = words.windows(opening.len().max(1)).position(|w| w == opening.as_slice())?;
        Some(at + opening.len())
    });
    words.get(opened.min()?..)
}

/// A question without an opening has at most so many words: "restart the pump now?"
const SHORT: usize = 6;

impl Deed {
    /// The words by which the deed is asked about, if it is: `words` stand behind the opening, `all` is the
    /// whole sentence, in which a choice that begins with `^` may stand anywhere.
    fn met(&self, words: &[String], all: &[String]) -> Option<Vec<String>> {
        if self.not.iter().any(|no| words.iter().any(|word| fits(no, word))) {
            return None;
        }
        let group = |choices: &Vec<String>| {
            choices.iter().find_map(|choice| match choice.strip_prefix('^') {
                Some(choice) => all.iter().find(|word| fits(choice, word)),
                None => words.iter().find(|word| fits(choice, word)),
            })
        };
        let group = |choices: &Vec<String>| group(choices).cloned();
        self.asked.iter().find_map(|groups| groups.iter().map(group).collect())
    }
}

/// A word of the knowledge fits one of a message: itself, its beginning before a `*`, or one slip in a longer one.
fn fits(wanted: &str, word: &str) -> bool {
    if let Some(start) = wanted.strip_suffix('*') {
        return word.starts_with(start);
    }
    is_nearly(wanted, word)
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

/// Reads `deeds.toml`.
pub(super) fn read_deeds(top: &Reader<'_, '_>, words: &Vocabulary) -> Deeds {
    let def = words.def(DEED);
    let opens = top.strings("opens").iter().map(|opening| plain_words(opening)).collect();
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
    let opens = table.strings("opens").iter().map(|opening| plain_words(opening)).collect();
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
    Some(Deed { value, asked: asked.iter().map(groups).collect(), not, opens })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(groups: &str) -> Vec<Vec<String>> {
        groups.split_whitespace().map(|g| g.split('|').map(str::to_owned).collect()).collect()
    }

    fn deeds() -> Deeds {
        let deed = |value, asked: &str, not: &[&str]| Deed {
            value,
            asked: vec![words(asked)],
            not: not.iter().map(|&word| word.to_owned()).collect(),
            opens: Vec::new(),
        };
        Deeds {
            opens: vec![plain_words("can i"), plain_words("is it safe")],
            list: vec![
                deed(0, "start|restart pump|it", &["heater"]),
                deed(1, "walk*|skate ice", &[]),
                deed(2, "leave ^empty", &[]),
            ],
            ..Deeds::default()
        }
    }

    #[test]
    fn a_question_for_leave_is_told_from_a_report() {
        let asked = |message| deeds().asked(message).map(|(set, _)| set);
        assert_eq!(asked("Can I start it?"), Some(ChoiceSet::one(0)));
        assert_eq!(asked("20 out. can i just re-start the pump"), Some(ChoiceSet::one(0)));
        assert_eq!(asked("is it safe walking on the ice"), Some(ChoiceSet::one(1)));
        assert_eq!(asked("can i leave it, the pool is empty"), Some(ChoiceSet::one(2)));
        assert_eq!(asked("the pool is empty, can i leave it"), Some(ChoiceSet::one(2)));
        assert_eq!(asked("restart the pump now?"), Some(ChoiceSet::one(0)), "a short question");
        assert_eq!(asked("can i strat the pump"), Some(ChoiceSet::one(0)), "one slip");
        for report in ["we start the pump at 6", "can i start the heater", "ice on the pump", ""] {
            assert_eq!(asked(report), None, "{report}");
        }
        assert_eq!(asked("I can't start the pump."), None, "a report with `can't`");
    }
}
