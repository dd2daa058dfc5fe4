//! Completion: chat words at the start of a message, pool and fact names everywhere.

use crate::knowledge::{Bringer, Vocabulary};
use rustyline::completion::Completer;
use rustyline::highlight::Highlighter;
use rustyline::hint::Hinter;
use rustyline::validate::Validator;
use rustyline::{Context, Helper};

/// What the chat understands besides reports and questions.
const CHAT_WORDS: [&str; 9] =
    ["why", "why not", "what if", "correct", "forget that", "next", "help", "quit", "what should"];

/// No name is longer than so many words.
const LONGEST_NAME: usize = 4;

/// The names that can be completed.
#[derive(Debug)]
pub(super) struct Completions {
    names: Vec<String>,
}

impl Completions {
    pub(super) fn new(words: &Vocabulary, pool: Option<&str>) -> Self {
        let said = words.iter().filter(|(_, def)| def.bringer == Bringer::People);
        let mut names: Vec<String> =
            said.flat_map(|(_, def)| [def.title.clone(), def.name.clone()]).collect();
        names.extend(pool.map(str::to_owned));
        names.sort();
        names.dedup();
        Self { names }
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
            let chat = CHAT_WORDS.iter().copied().filter(|_| *start == 0);
            let found: Vec<String> = chat
                .chain(self.names.iter().map(String::as_str))
                .filter(|name| begins(name, typed))
                .map(str::to_owned)
                .collect();
            if !found.is_empty() {
                return (*start, found);
            }
        }
        (before.len(), Vec::new())
    }
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
    type Hint = String;
}
impl Highlighter for Completions {}
impl Validator for Completions {}
impl Helper for Completions {}

#[cfg(test)]
mod tests {
    use super::*;

    fn completions() -> Completions {
        let names = ["free chlorine", "water.free_chlorine", "water.ph", "Quarry Lane 9"];
        Completions { names: names.map(str::to_owned).to_vec() }
    }

    #[test]
    fn names_are_completed_anywhere_and_chat_words_at_the_start() {
        let all = completions();
        assert_eq!(all.find("ok free chl"), (3, vec!["free chlorine".to_owned()]));
        assert_eq!(all.find("at quarry l"), (3, vec!["Quarry Lane 9".to_owned()]));
        assert_eq!(all.find("why n"), (0, vec!["why not".to_owned()]));
        assert_eq!(all.find("so forg").1, Vec::<String>::new());
        assert_eq!(all.find("").1, Vec::<String>::new());
        assert_eq!(all.find("é½ water.p"), (5, vec!["water.ph".to_owned()]));
    }
}
