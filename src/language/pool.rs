//! Names of pools in a message: as they are kept, shortened ("Mill Rd"), misspelt, or without the number at the end.

use super::token::{TokenKind, Tokens};
use crate::knowledge::{Lexicon, split_phrase};
use std::collections::{BTreeMap, BTreeSet};

/// The names of the pools looked after, made ready to be found in messages.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PoolNames {
    /// By the first letter of the name.
    by_letter: BTreeMap<char, Vec<Known>>,
}

/// A name, or the beginning of one, by which a message may call a pool.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Known {
    words: Vec<String>,
    name: String,
    whole: bool,
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
    /// The names, as they are kept.
    #[must_use]
    pub fn names(&self) -> BTreeSet<&str> {
        self.by_letter.values().flatten().map(|known| known.name.as_str()).collect()
    }

    /// Makes names ready. The beginning of a name, of two words or more, is as good where no other name begins so.
    #[must_use]
    pub fn new<'a>(names: impl IntoIterator<Item = &'a str>) -> Self {
        let names: Vec<(Vec<String>, &str)> =
            names.into_iter().map(|name| (split_phrase(name), name)).collect();
        let mut beginnings: BTreeMap<&[String], usize> = BTreeMap::new();
        for (words, _) in &names {
            for many in 2..=words.len() {
                *beginnings.entry(words.get(..many).unwrap_or(&[])).or_default() += 1;
            }
        }
        let mut by_letter: BTreeMap<char, Vec<Known>> = BTreeMap::new();
        for (words, name) in &names {
            let Some(letter) = words.first().and_then(|word| word.chars().next()) else { continue };
            let known = by_letter.entry(letter).or_default();
            known.push(Known { words: words.clone(), name: (*name).to_owned(), whole: true });
            for many in 2..words.len() {
                let part = words.get(..many).unwrap_or(&[]);
                if beginnings.get(part) == Some(&1) {
                    let words = part.to_vec();
                    known.push(Known { words, name: (*name).to_owned(), whole: false });
                }
            }
        }
        for known in by_letter.values_mut() {
            known.sort_by_key(|k| (std::cmp::Reverse(k.words.len()), !k.whole, k.name.clone()));
        }
        Self { by_letter }
    }

    /// Where pools are named in a message, in order.
    #[must_use]
    pub fn find(&self, tokens: &Tokens, lexicon: &Lexicon) -> Vec<PoolMention> {
        let mut found = Vec::new();
        if self.by_letter.is_empty() {
            return found;
        }
        let mut at = 0;
        while let Some(token) = tokens.get(at) {
            let letter = tokens.text(token).chars().next();
            let known = letter.and_then(|letter| self.by_letter.get(&letter));
            let mention = known.map_or(&[][..], Vec::as_slice).iter().find_map(|known| {
                let end = matches(tokens, lexicon, at, &known.words)?;
                let another = !known.whole && is_numbered(tokens, end);
                (!another).then(|| PoolMention { name: known.name.clone(), first: at, end })
            });
            at = mention.as_ref().map_or(at + 1, |m| m.end);
            found.extend(mention);
        }
        found
    }
}

/// "Quarry Lane 12: …" is another pool than "Quarry Lane 9".
fn is_numbered(tokens: &Tokens, at: usize) -> bool {
    tokens.number(at).is_some_and(|n| n.fract() == 0.0)
        && tokens
            .get(at + 1)
            .is_none_or(|t| matches!(t.kind, TokenKind::Sign(':' | ',') | TokenKind::Line))
}

/// Whether the words stand at a place; signs between them (hyphens, points) are passed over.
fn matches(tokens: &Tokens, lexicon: &Lexicon, start: usize, words: &[String]) -> Option<usize> {
    let mut at = start;
    for (n, word) in words.iter().enumerate() {
        if n > 0 {
            while tokens.get(at).is_some_and(|t| matches!(t.kind, TokenKind::Sign('-' | '.'))) {
                at += 1;
            }
        }
        if !is_meant(tokens.text(tokens.get(at)?), word, lexicon) {
            return None;
        }
        at += 1;
    }
    Some(at)
}

/// Whether a typed word is a word of a name: the same, shortened as streets are, or misspelt.
fn is_meant(typed: &str, word: &str, lexicon: &Lexicon) -> bool {
    if typed == word || lexicon.shortened(typed).any(|long| long == word) {
        return true;
    }
    let letters = |text: &str| text.bytes().all(|b| b.is_ascii_alphabetic());
    let reach = match word.len() {
        0..=4 => return false,
        5..=7 => 1,
        _ => 2,
    };
    typed.len().abs_diff(word.len()) <= reach
        && letters(typed)
        && letters(word)
        && typed.chars().next() == word.chars().next()
        && strsim::osa_distance(typed, word) <= reach
}
