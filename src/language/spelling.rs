//! Misspelt words: read as a known word only where exactly one is near.

use super::token::{TokenKind, Tokens};
use crate::knowledge::{Lexicon, Role, Sense};
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
                let found = singular(&word, lexicon)
                    .or_else(|| inflected(&word, lexicon))
                    .or_else(|| near(&word, lexicon));
                seen.insert(text.to_owned(), found);
                found
            }
        };
    }
}

/// "There is know ice", "heater is of": a word of dictation that sounds like another, where only that one makes sense.
pub fn mend_heard(tokens: &mut Tokens, lexicon: &Lexicon) {
    let (denial, away) = (lexicon.word("no"), lexicon.word("off"));
    for at in 0..tokens.list.len() {
        let here = senses(tokens, lexicon, Some(at));
        let meant = if plays(here, Role::HeardNo) {
            denial.filter(|_| denies(tokens, lexicon, at))
        } else if plays(here, Role::HeardOff) {
            away.filter(|_| ends_there(tokens, lexicon, at))
        } else {
            continue;
        };
        if let Some(token) = tokens.list.get_mut(at).filter(|_| meant.is_some()) {
            token.word = meant;
        }
    }
}

fn senses<'k>(tokens: &Tokens, lexicon: &'k Lexicon, at: Option<usize>) -> &'k [Sense] {
    let word = at.and_then(|at| tokens.list.get(at)).and_then(|token| token.word);
    let step = word.and_then(|word| lexicon.step(lexicon.root(), word));
    step.map_or(&[][..], |step| lexicon.senses(step))
}

fn plays(senses: &[Sense], role: Role) -> bool {
    senses.contains(&Sense::Role(role))
}

/// Before the name of a thing or a number, unless somebody knows.
fn denies(tokens: &Tokens, lexicon: &Lexicon, at: usize) -> bool {
    let before = senses(tokens, lexicon, at.checked_sub(1));
    let knows = [Role::Own, Role::Not, Role::AskAux, Role::To];
    let knows = knows.into_iter().any(|role| plays(before, role)) && !plays(before, Role::Copula);
    let next = senses(tokens, lexicon, Some(at + 1));
    let named = |s: &Sense| matches!(s, Sense::Thing(_) | Sense::State(..) | Sense::Label(_));
    !knows && next.iter().any(named)
}

/// Behind "is", with nothing after it that could be spoken of.
fn ends_there(tokens: &Tokens, lexicon: &Lexicon, at: usize) -> bool {
    let before = senses(tokens, lexicon, at.checked_sub(1));
    let next = senses(tokens, lexicon, Some(at + 1));
    let closed = tokens.get(at + 1).is_none_or(|token| token.kind != TokenKind::Word);
    let number = tokens.number(at + 1).is_some();
    let parted = [Role::And, Role::Turn].into_iter().any(|role| plays(next, role));
    plays(before, Role::Copula) && (parted || closed && !number)
}

/// "pumps" is the word "pump".
fn singular(word: &str, lexicon: &Lexicon) -> Option<u32> {
    let stem = word.strip_suffix('s')?;
    if stem.len() < 3 || stem.ends_with('s') {
        return None;
    }
    lexicon.word(stem).or_else(|| lexicon.word(stem.strip_suffix('e')?))
}

/// "Touching" is a form of the ordinary word "touch", and no slip for "torching".
fn inflected(word: &str, lexicon: &Lexicon) -> Option<u32> {
    ["ing", "ed", "er", "ers", "ly", "es", "d"].into_iter().find_map(|ending| {
        let stem = word.strip_suffix(ending).filter(|stem| stem.len() >= 3)?;
        let doubled = stem.chars().rev().nth(1) == stem.chars().next_back();
        let single = stem.get(..stem.len() - 1).filter(|_| doubled);
        let silent = lexicon.word(&[stem, "e"].concat());
        let found = lexicon.word(stem).or(silent).or_else(|| lexicon.word(single?));
        found.filter(|stem| lexicon.is_ordinary(*stem) || !leads_elsewhere(word, lexicon))
    })
}

/// Whether a letter left out or doubled leads to a known word: "runing" is "running" rather than a form of "run".
fn leads_elsewhere(word: &str, lexicon: &Lexicon) -> bool {
    near(word, lexicon).is_some_and(|found| {
        let found = lexicon.spelling(found);
        strsim::osa_distance(word, found) == 1 && slip(word, found) <= 2
    })
}

/// How many slips a word of a length may hold.
fn allowed(length: usize) -> usize {
    match length {
        0..=3 => 0,
        4..=7 => 1,
        _ => 2,
    }
}

/// The one known word within reach: the likeliest slip counts, of two equally likely a word of the trade before an
/// ordinary one, and two such are one too many. A nearer ordinary word is meant, and says nothing.
fn near(word: &str, lexicon: &Lexicon) -> Option<u32> {
    if !word.bytes().all(|b| b.is_ascii_lowercase()) {
        return None;
    }
    let reach = allowed(word.len());
    let first = word.chars().next()?;
    let letters = word.bytes().fold(0u32, |set, b| set | 1 << (b - b'a'));
    let mut best: Option<((usize, u32, bool), u32)> = None;
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
        let rank = (distance, if distance == 1 { slip(word, known) } else { 0 }, !target);
        // A short word with another letter in it is rather another word: a lane is no line.
        if word.len() < 5 && rank.1 > 2 {
            continue;
        }
        match best {
            Some((found, ..)) if rank > found => {}
            Some((found, ..)) if rank == found => tie = true,
            _ => {
                best = Some((rank, at));
                tie = false;
            }
        }
    }
    best.filter(|((_, _, ordinary), _)| !ordinary && !tie).map(|(_, at)| at)
}

/// How unlikely one slip is, the likeliest first: two letters swapped, a letter left out or doubled, a vowel for a
/// vowel or one too many, any other letter, a consonant too many.
fn slip(typed: &str, meant: &str) -> u32 {
    let (typed, meant) = (typed.as_bytes(), meant.as_bytes());
    let same = typed.iter().zip(meant).take_while(|(a, b)| a == b).count();
    let vowel = |b: Option<&u8>| b.is_some_and(|b| b"aeiouy".contains(b));
    let doubled = |word: &[u8]| {
        let letter = word.get(same);
        letter.is_some()
            && (letter == word.get(same + 1)
                || same.checked_sub(1).is_some_and(|n| word.get(n) == letter))
    };
    match typed.len().cmp(&meant.len()) {
        std::cmp::Ordering::Less if vowel(meant.get(same)) || doubled(meant) => 1,
        std::cmp::Ordering::Less => 2,
        std::cmp::Ordering::Greater if doubled(typed) => 2,
        std::cmp::Ordering::Greater if vowel(typed.get(same)) => 3,
        std::cmp::Ordering::Greater => 5,
        std::cmp::Ordering::Equal
            if typed.get(same) == meant.get(same + 1) && typed.get(same + 1) == meant.get(same) =>
        {
            1
        }
        std::cmp::Ordering::Equal if vowel(typed.get(same)) && vowel(meant.get(same)) => 3,
        std::cmp::Ordering::Equal => 4,
    }
}
