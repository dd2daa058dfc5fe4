//! Misspelt words: read as a known word only where exactly one is near.

use super::token::{TokenKind, Tokens};
use crate::knowledge::Lexicon;
use std::collections::BTreeMap;

/// Gives every unknown word its likely meaning, if there is exactly one.
pub fn mend(tokens: &mut Tokens, lexicon: &Lexicon) {
    let mut seen: BTreeMap<String, Option<u32>> = BTreeMap::new();
    let Tokens { folded, list } = tokens;
    for token in list.iter_mut().filter(|t| t.kind == TokenKind::Word && t.word.is_none()) {
        let text = token.folded.of(folded);
        if text.len() > 24 || text.len() < 3 {
            continue;
        }
        token.word = match seen.get(text) {
            Some(known) => *known,
            None => {
                let word = text.replace('\'', "");
                let found = singular(&word, lexicon).or_else(|| near(&word, lexicon));
                seen.insert(text.to_owned(), found);
                found
            }
        };
    }
}

/// "pumps" is the word "pump".
fn singular(word: &str, lexicon: &Lexicon) -> Option<u32> {
    let stem = word.strip_suffix('s')?;
    if stem.len() < 3 || stem.ends_with('s') {
        return None;
    }
    lexicon.word(stem).or_else(|| lexicon.word(stem.strip_suffix('e')?))
}

/// How many slips a word of a length may hold.
fn allowed(length: usize) -> usize {
    match length {
        0..=3 => 0,
        4..=7 => 1,
        _ => 2,
    }
}

/// The one known word within reach. Two at the same distance are one too many, and so is a known
/// ordinary word that is as near: it may be meant.
fn near(word: &str, lexicon: &Lexicon) -> Option<u32> {
    if !word.bytes().all(|b| b.is_ascii_lowercase()) {
        return None;
    }
    let reach = allowed(word.len());
    let first = word.chars().next()?;
    let letters = word.bytes().fold(0u32, |set, b| set | 1 << (b - b'a'));
    let mut best: Option<(usize, u32, bool)> = None;
    let mut tie = false;
    for (at, known, target, shape) in lexicon.beginning_with(first) {
        let far = known.len().abs_diff(word.len()) > reach || known.len() < 4;
        if far || (shape ^ letters).count_ones() > u32::try_from(reach * 2).unwrap_or(0) {
            continue;
        }
        let distance = strsim::osa_distance(word, known);
        if distance > reach.min(allowed(known.len()).max(1)) {
            continue;
        }
        match best {
            Some((found, ..)) if distance > found => {}
            Some((found, ..)) if distance == found => tie = true,
            _ => {
                best = Some((distance, at, target));
                tie = false;
            }
        }
    }
    best.filter(|(_, _, target)| *target && !tie).map(|(_, at, _)| at)
}
