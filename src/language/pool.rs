//! Names of pools in a message.

use super::token::{TokenKind, Tokens};
use crate::knowledge::split_phrase;
use std::collections::BTreeMap;

/// The names of the pools looked after, made ready to be found in messages.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PoolNames {
    by_first_word: BTreeMap<String, Vec<(Vec<String>, String)>>,
}

/// A pool named in a message.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PoolMention {
    /// Its name, as it is kept.
    pub name: String,
    /// The first token of the mention.
    pub first: usize,
    /// The token after its last.
    pub end: usize,
}

impl PoolNames {
    /// Makes names ready.
    #[must_use]
    pub fn new<'a>(names: impl IntoIterator<Item = &'a str>) -> Self {
        let mut by_first_word: BTreeMap<String, Vec<(Vec<String>, String)>> = BTreeMap::new();
        for name in names {
            let words = split_phrase(name);
            if let Some(first) = words.first() {
                by_first_word.entry(first.clone()).or_default().push((words, name.to_owned()));
            }
        }
        for names in by_first_word.values_mut() {
            names.sort_by_key(|(words, name)| (std::cmp::Reverse(words.len()), name.clone()));
        }
        Self { by_first_word }
    }

    /// Where pools are named in a message, in order.
    #[must_use]
    pub fn find(&self, tokens: &Tokens) -> Vec<PoolMention> {
        let mut found = Vec::new();
        if self.by_first_word.is_empty() {
            return found;
        }
        let mut at = 0;
        while let Some(token) = tokens.get(at) {
            let names = self.by_first_word.get(tokens.text(token)).map_or(&[][..], Vec::as_slice);
            let mention = names.iter().find_map(|(words, name)| {
                let end = matches(tokens, at, words)?;
                Some(PoolMention { name: name.clone(), first: at, end })
            });
            at = mention.as_ref().map_or(at + 1, |m| m.end);
            found.extend(mention);
        }
        found
    }
}

/// Whether the words stand at a place; signs between them (hyphens) are passed over.
fn matches(tokens: &Tokens, start: usize, words: &[String]) -> Option<usize> {
    let mut at = start;
    for (n, word) in words.iter().enumerate() {
        if n > 0 {
            while tokens.get(at).is_some_and(|t| t.kind == TokenKind::Sign('-')) {
                at += 1;
            }
        }
        if tokens.text(tokens.get(at)?) != word {
            return None;
        }
        at += 1;
    }
    Some(at)
}
