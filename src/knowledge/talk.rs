//! Words said to the program itself ("next", "done", "why not …"), and what it says of the conversation (`talk.toml`).

use super::document::Reader;
use super::lexicon::plain_words;
use super::wording::read_pairs;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The words of the conversation.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Talk {
    /// Small words that may stand around a phrase.
    pub fillers: Vec<String>,
    /// Whole messages, by what they want.
    pub phrases: BTreeMap<String, Vec<String>>,
    /// Beginnings of messages, by what they want.
    pub begins: BTreeMap<String, Vec<String>>,
    /// Words around a bare number that say what something is by now.
    pub now: Vec<String>,
    /// Numbers that no "now" is about.
    pub not_now: Vec<String>,
    /// Words that mean another in the names of actions.
    pub same_as: BTreeMap<String, String>,
    /// Words of a wish that do not tell what is wished.
    pub small: Vec<String>,
    /// Words of a question that stand for what was spoken of before.
    pub leaning: Vec<String>,
    /// Words that stand for the thing spoken of last: "it" …
    pub it: Vec<String>,
    /// … and these with "is".
    pub it_is: Vec<String>,
    /// Words at the beginning of a question that goes on from what was spoken of before.
    pub onward: Vec<String>,
    /// Words before a number that only suppose it.
    pub supposing: Vec<String>,
    /// Words that head what is told of one pool among several: "smith pool: ph 7.2".
    pub heads: Vec<String>,
    /// What the program says.
    pub says: BTreeMap<String, String>,
}

/// What a whole message may want.
const PHRASES: [&str; 22] = [
    "both_pools",
    "help",
    "why",
    "forget_that",
    "forget_all",
    "yes",
    "no",
    "dont_know",
    "begin",
    "next",
    "done",
    "back",
    "where",
    "skip",
    "stop",
    "how_long",
    "again",
    "more",
    "facts",
    "over",
    "thanks",
    "other_pool",
];
/// What a message may want by its beginning; of two that fit the earlier.
const BEGINS: [&str; 6] = ["why_not", "why", "done", "stuck", "flip", "same"];
/// What the program says.
const SAYS: [&str; 13] = [
    "stuck",
    "no_clock",
    "no_figures",
    "figures_care",
    "not_confirmed",
    "over",
    "nothing_over",
    "finished",
    "no_steps",
    "which_step",
    "not_taken",
    "which_pool",
    "hangs_on",
];

impl Talk {
    /// What a message wants, if it is one of the phrases and nothing else.
    #[must_use]
    pub fn phrase(&self, message: &str) -> Option<&'static str> {
        let words = plain_words(message);
        self.is(&words.join(" ")).or_else(|| {
            let core = self.without_fillers(&words);
            if core.is_empty() { None } else { self.is(&core.join(" ")) }
        })
    }

    /// What a message wants by its beginning, with what stands behind that.
    #[must_use]
    pub fn beginning(&self, message: &str) -> Option<(&'static str, String)> {
        let words = plain_words(message);
        let core = self.without_fillers(&words).join(" ");
        BEGINS.into_iter().find_map(|key| {
            let rest = self.begins.get(key)?.iter().filter_map(|phrase| begins(&core, phrase));
            rest.min_by_key(|rest| rest.len()).map(|rest| (key, rest.to_owned()))
        })
    }

    /// What the program says of something.
    #[must_use]
    pub fn say(&self, key: &str) -> &str {
        self.says.get(key).map_or("", String::as_str)
    }

    /// Whether a message says what something is by now, and not of what: "its 1.5 now". One bare number among small
    /// words.
    #[must_use]
    pub fn is_now(&self, message: &str) -> bool {
        let (numbers, words): (Vec<&str>, Vec<&str>) = message
            .split_whitespace()
            .partition(|word| word.contains(|c: char| c.is_ascii_digit()));
        let bare = |word: &&str| {
            word.trim_end_matches([',', '.', '!']).chars().all(|c| c.is_ascii_digit() || c == '.')
        };
        let small = |word: &&str| plain_words(word).iter().all(|word| self.now.contains(word));
        matches!(numbers.as_slice(), [one] if bare(one))
            && !words.is_empty()
            && words.iter().all(small)
    }

    /// The telling words of a wish: "be different for me not to run the pump tonight" → "run pump".
    #[must_use]
    pub fn wish(&self, words: &str) -> String {
        let words = plain_words(words).into_iter().filter(|word| !self.small.contains(word));
        words.collect::<Vec<_>>().join(" ")
    }

    /// Whole texts are compared: it is asked of every clause of every message.
    fn is(&self, words: &str) -> Option<&'static str> {
        let says = |key: &str| self.phrases.get(key).is_some_and(|list| says(list, words));
        PHRASES.into_iter().find(|key| says(key))
    }

    fn without_fillers<'w>(&self, mut words: &'w [String]) -> &'w [String] {
        let filler = |word: &String| self.fillers.iter().any(|filler| filler == word);
        while let Some((first, rest)) = words.split_first().filter(|(first, _)| filler(first)) {
            let _ = first;
            words = rest;
        }
        while let Some((_, rest)) = words.split_last().filter(|(last, _)| filler(last)) {
            words = rest;
        }
        words
    }
}

fn says(list: &[String], words: &str) -> bool {
    list.iter().any(|phrase| phrase == words)
}

/// The words behind a beginning.
fn begins<'w>(words: &'w str, phrase: &str) -> Option<&'w str> {
    let rest = words.strip_prefix(phrase)?;
    if rest.is_empty() { Some(rest) } else { rest.strip_prefix(' ') }
}

/// Reads `talk.toml`.
pub(super) fn read_talk(top: &Reader<'_, '_>) -> Talk {
    let lists = |key, names: &[&'static str]| {
        let table: Option<Reader<'_, '_>> = top.table(key);
        let mut lists = BTreeMap::new();
        for name in names {
            let list = table.as_ref().map(|table| table.strings(name)).unwrap_or_default();
            lists.insert((*name).to_owned(), list);
        }
        if let Some(table) = table {
            table.finish();
        }
        lists
    };
    let says = top.table("says").map(|table| {
        let says = SAYS.iter().map(|name| ((*name).to_owned(), table.string(name))).collect();
        table.finish();
        says
    });
    Talk {
        fillers: top.strings("fillers"),
        phrases: lists("phrases", &PHRASES),
        begins: lists("begins", &BEGINS),
        leaning: top.strings("leaning"),
        it: top.strings("it"),
        it_is: top.strings("it_is"),
        onward: top.strings("onward"),
        supposing: top.strings("supposing"),
        heads: top.strings("heads"),
        small: top.strings("small"),
        now: top.strings("now"),
        not_now: top.strings("not_now"),
        same_as: top.table("same_as").map(|table| read_pairs(&table)).unwrap_or_default(),
        says: says.unwrap_or_default(),
    }
}
