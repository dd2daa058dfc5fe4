//! Words that nothing here knows, where a thing would stand: what is said of them is said of nothing else.

use super::phrase::Piece;
use crate::knowledge::Role;

/// How far a state may stand from its subject when only words between them say nothing.
const NEAR: usize = 6;

/// An unknown word that stands as the subject of a state.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unknown {
    /// "The heatr isn't running": the state is said of it alone.
    Alone,
    /// "Pump and heatr are off": it is said of both.
    Joined,
}

/// Whether the subject of the state at a place is a word that nothing here knows, or a thing of which the state says
/// nothing (`fits` tells of which it does).
#[must_use]
pub fn unknown_subject(
    pieces: &[Piece<'_>],
    state: usize,
    fits: impl Fn(usize) -> bool,
) -> Option<Unknown> {
    let stranger =
        |n: usize| pieces.get(n).is_some_and(|p| is_stranger(p) || (p.is_thing() && !fits(n)));
    let unknown_at = |n: usize| pieces.get(n).is_some_and(|p| p.is_unknown() || p.is_thing());
    let mut at = state.checked_sub(1)?;
    for _ in 0..NEAR {
        let piece = pieces.get(at)?;
        if stranger(at) {
            break;
        }
        let passes = (piece.is_clear() && piece.sign.is_none())
            || piece.is(Role::Not)
            || piece.is(Role::AskAux);
        let named = piece.is(Role::Definite) || piece.is(Role::Own) || piece.is(Role::Pronoun);
        if !passes || piece.is_thing() || named {
            return None;
        }
        at = at.checked_sub(1)?;
    }
    if !stranger(at) {
        return None;
    }
    let mut unknown = unknown_at(at);
    while let Some(before) = at.checked_sub(1).filter(|n| stranger(*n)) {
        at = before;
        unknown |= unknown_at(at);
    }
    let mut before = at.checked_sub(1);
    let mut article = false;
    while let Some(piece) = before.and_then(|n| pieces.get(n)) {
        // "At the back pool": a plain word between the article and its noun.
        let plain = piece.is(Role::Filler)
            && !(piece.is(Role::Copula) || piece.is(Role::AskAux) || piece.is(Role::Preposition));
        if !(is_article(piece) || plain) {
            break;
        }
        article |= is_article(piece);
        before = before.and_then(|n| n.checked_sub(1));
    }
    // "It suddenly died": an ordinary word is a subject only with an article.
    if !(unknown || article) {
        return None;
    }
    let Some(lead) = before.and_then(|n| pieces.get(n)) else { return Some(Unknown::Alone) };
    if lead.is(Role::Copula) && !article {
        // "The sensor is mounted indoors": a word about the thing before.
        return None;
    }
    if lead.is(Role::Preposition) && (article || !lead.is_particle()) {
        // "The pump at Fernhill died": only where the pump is.
        return None;
    }
    let joins =
        lead.is(Role::And) || lead.is(Role::Or) || matches!(lead.sign, Some('/' | '&' | '+'));
    let listed = before.and_then(|n| n.checked_sub(1)).and_then(|n| pieces.get(n));
    if joins && listed.is_some_and(Piece::is_thing) {
        return Some(Unknown::Joined);
    }
    Some(Unknown::Alone)
}

/// Whether a piece is a word that names nothing here: unknown, or an ordinary word.
fn is_stranger(piece: &Piece<'_>) -> bool {
    piece.is_unknown()
        || (piece.is(Role::Common)
            && !piece.is_clear()
            && !piece.is_thing()
            && !piece.is_state()
            && !piece.is_label()
            && !piece.is(Role::Not))
}

fn is_article(piece: &Piece<'_>) -> bool {
    piece.is(Role::Definite) || piece.is(Role::Indefinite)
}

/// "A leak at the heatr": the place is named, and nothing here knows it.
#[must_use]
pub fn unknown_place(pieces: &[Piece<'_>], state: usize) -> bool {
    let mut at = state + 1;
    if !pieces.get(at).is_some_and(|piece| piece.is(Role::Preposition)) {
        return false;
    }
    while pieces.get(at).is_some_and(|piece| is_article(piece) || piece.is(Role::Preposition)) {
        at += 1;
    }
    pieces.get(at).is_some_and(Piece::is_unknown)
}
