//! Completion: chat words and answers to the open question at the start of a message, pool and fact names everywhere.

use super::Chat;
use crate::facts::FactId;
use crate::knowledge::{Bringer, Kind, Vocabulary};
use rustyline::completion::Completer;
use rustyline::highlight::Highlighter;
use rustyline::hint::{Hint, Hinter};
use rustyline::validate::Validator;
use rustyline::{Context, Helper};
use std::borrow::Cow;

/// No name is longer than so many words.
const LONGEST_NAME: usize = 4;

/// What can be completed, and what is offered while nothing is typed.
#[derive(Debug)]
pub(super) struct Completions {
    names: Vec<String>,
    chat: Vec<String>,
    /// Answers to the question that is open.
    asked: Vec<String>,
    hint: Option<String>,
    coloured: bool,
}

impl Completions {
    pub(super) fn new(chat: &Chat<'_>, coloured: bool) -> Self {
        let said = chat.words.iter().filter(|(_, def)| def.bringer == Bringer::People);
        let mut names: Vec<String> =
            said.flat_map(|(_, def)| [def.title.clone(), def.name.clone()]).collect();
        names.extend(chat.session.pool_names());
        names.extend(chat.pool.clone());
        names.sort();
        names.dedup();
        let lists = chat.talk.phrases.values().chain(chat.talk.begins.values());
        let mut words: Vec<String> = lists.filter_map(|list| list.first().cloned()).collect();
        words.extend(["what if", "what should", "quit"].map(str::to_owned));
        words.sort();
        words.dedup();
        Self { names, chat: words, asked: Vec::new(), hint: None, coloured }
    }

    /// Looks at what was asked, and at the pools that are known by now.
    pub(super) fn look(&mut self, chat: &Chat<'_>, hints: bool) {
        let known = |name: &String| self.names.contains(name);
        let new: Vec<String> =
            chat.session.pool_names().into_iter().filter(|name| !known(name)).collect();
        self.names.extend(new);
        self.asked = chat.asked.map(|id| answers(chat.words, id)).unwrap_or_default();
        let offered = match (chat.walking, self.asked.is_empty()) {
            (true, _) => Some("done, next, skip, go back, why, stop".to_owned()),
            (false, false) => Some(self.asked.join(", ")),
            (false, true) => None,
        };
        self.hint = offered.filter(|_| hints);
    }

    /// Where the word to complete begins, and what it could become: the longest run of words up to the
    /// cursor that begins a name wins.
    fn find(&self, before: &str) -> (usize, Vec<String>) {
        let starts = before.char_indices().filter_map(|(at, c)| {
            let begins = before.get(..at).is_none_or(|b| b.is_empty() || b.ends_with(' '));
            (begins && c != ' ').then_some(at)
        });
        let starts: Vec<usize> = starts.collect();
        for start in starts.iter().skip(starts.len().saturating_sub(LONGEST_NAME)) {
            let typed = before.get(*start..).unwrap_or("");
            let first = self.asked.iter().chain(&self.chat).filter(|_| *start == 0);
            let found: Vec<String> =
                first.chain(&self.names).filter(|name| begins(name, typed)).cloned().collect();
            if !found.is_empty() {
                return (*start, found);
            }
        }
        (before.len(), Vec::new())
    }
}

/// So many values are offered.
const OFFERED: usize = 6;

/// What can be said to the question for a fact.
fn answers(words: &Vocabulary, id: FactId) -> Vec<String> {
    let Some(def) = words.get(id) else { return Vec::new() };
    let mut answers: Vec<String> = match &def.kind {
        Kind::YesNo { .. } => vec!["yes".to_owned(), "no".to_owned()],
        Kind::OneOf(values) | Kind::SeveralOf(values) => {
            values.iter().take(OFFERED).map(|value| value.replace('-', " ")).collect()
        }
        Kind::Number { .. } => Vec::new(),
    };
    answers.push("dunno".to_owned());
    answers
}

fn begins(name: &str, typed: &str) -> bool {
    name.get(..typed.len()).is_some_and(|head| head.eq_ignore_ascii_case(typed))
}

impl Completer for Completions {
    type Candidate = String;

    fn complete(
        &self,
        line: &str,
        pos: usize,
        _: &Context<'_>,
    ) -> rustyline::Result<(usize, Vec<String>)> {
        Ok(self.find(line.get(..pos).unwrap_or(line)))
    }
}

impl Hinter for Completions {
    type Hint = Offer;

    fn hint(&self, line: &str, _: usize, _: &Context<'_>) -> Option<Offer> {
        let hint = self.hint.as_ref().filter(|_| line.is_empty())?;
        Some(Offer(format!("  ({hint})")))
    }
}

/// A hint that is looked at and never taken into the line: it names several answers.
#[derive(Debug)]
pub(super) struct Offer(String);

impl Hint for Offer {
    fn display(&self) -> &str {
        &self.0
    }
    fn completion(&self) -> Option<&str> {
        None
    }
}

impl Highlighter for Completions {
    fn highlight_hint<'h>(&self, hint: &'h str) -> Cow<'h, str> {
        if self.coloured {
            Cow::Owned(format!("\u{1b}[2m{hint}\u{1b}[0m"))
        } else {
            Cow::Borrowed(hint)
        }
    }
}
impl Validator for Completions {}
impl Helper for Completions {}

#[cfg(test)]
mod tests {
    use super::*;

    fn completions() -> Completions {
        let names = ["free chlorine", "water.free_chlorine", "water.ph", "Quarry Lane 9"];
        Completions {
            names: names.map(str::to_owned).to_vec(),
            chat: ["why", "why not"].map(str::to_owned).to_vec(),
            asked: ["sand", "cartridge", "dunno"].map(str::to_owned).to_vec(),
            hint: None,
            coloured: false,
        }
    }

    #[test]
    fn names_are_completed_anywhere_and_chat_words_at_the_start() {
        let all = completions();
        assert_eq!(all.find("ok free chl"), (3, vec!["free chlorine".to_owned()]));
        assert_eq!(all.find("at quarry l"), (3, vec!["Quarry Lane 9".to_owned()]));
        assert_eq!(all.find("sa"), (0, vec!["sand".to_owned()]));
        assert_eq!(all.find("the sa").1, Vec::<String>::new());
        assert_eq!(all.find("why n"), (0, vec!["why not".to_owned()]));
        assert_eq!(all.find("so forg").1, Vec::<String>::new());
        assert_eq!(all.find("").1, Vec::<String>::new());
        assert_eq!(all.find("é½ water.p"), (5, vec!["water.ph".to_owned()]));
    }
}
