//! Polarity: whether a state is said to be so, or not to be so. "Never lost prime" is two denials.

use super::phrase::Piece;
use crate::knowledge::{Manner, Role, Sense};

/// How far a denial reaches, in pieces.
const REACH: usize = 5;

/// Whether what is told between two pieces (a thing and its state, or one piece alone) is denied.
#[must_use]
pub fn denied(pieces: &[Piece<'_>], low: usize, high: usize) -> bool {
    let mut count = 0;
    for at in (low + 1..high).rev() {
        let Some(piece) = pieces.get(at) else { break };
        let denied = denies(pieces, at, high);
        count += usize::from(denied);
        let state = piece.is_state() && !piece.is_clear() && !denied;
        if piece.sign == Some(',') || piece.is(Role::Turn) || state {
            break;
        }
    }
    count += before(pieces, low, high);
    // "There's no cover on it": the phrase of the thing denies it itself.
    count +=
        usize::from(low < high && pieces.get(low).is_some_and(|p| p.denies && !p.inner.is_empty()));
    count += usize::from(answered_no(pieces, high));
    count += usize::from(is_not_so(pieces, high));
    count += usize::from(
        (low + 1..=high + REACH + 1)
            .filter(|at| *at != high)
            .any(|at| ends(pieces, at).is_some_and(|noun| noun == high || noun == low)),
    );
    count % 2 == 1
}

/// Whether the piece at a place denies what stands at `target`.
fn denies(pieces: &[Piece<'_>], at: usize, target: usize) -> bool {
    let Some(piece) = pieces.get(at) else { return false };
    // "No, the pump never stopped": an answer, and no denial of what follows.
    let answer = piece.is(Role::Denied) && pieces.get(at + 1).is_some_and(|p| p.is(Role::Definite));
    // "It isn't" is also a short answer, by itself.
    let short = piece.is(Role::No) && piece.denies && piece.end > piece.first + 1;
    ((piece.is(Role::Not) || short) && !answer)
        || (piece.is(Role::Cease) && ceases(pieces, at, target))
}

/// "Stopped leaking", "quit making noise": the word ends what follows directly.
#[must_use]
pub fn ceases(pieces: &[Piece<'_>], at: usize, target: usize) -> bool {
    pieces.get(at).is_some_and(|piece| piece.is(Role::Cease))
        && at < target
        && (at + 1..target)
            .all(|n| pieces.get(n).is_some_and(|p| p.is(Role::Filler) || p.is(Role::Definite)))
        && pieces.get(target).is_some_and(Piece::is_ongoing)
}

/// Denials in front of the first piece, as far as they reach.
fn before(pieces: &[Piece<'_>], low: usize, high: usize) -> usize {
    let mut count = 0;
    for steps in 1..=REACH {
        let Some(at) = low.checked_sub(steps) else { break };
        let Some(piece) = pieces.get(at) else { break };
        if denies(pieces, at, high) || denies(pieces, at, low) {
            count += 1;
            continue;
        }
        let clear = piece.is(Role::Filler)
            || piece.is(Role::Definite)
            || piece.is(Role::Indefinite)
            || piece.is(Role::Common)
            || piece.is(Role::Preposition)
            || piece.is(Role::Pronoun)
            || piece.is(Role::Own)
            || piece.is(Role::Now)
            || piece.is(Role::Past);
        if piece.is(Role::Or) {
            // "No leaks or cracks": what is denied before the "or" is denied after it.
            return count + carried(pieces, at);
        }
        if !clear || piece.measure.is_some() {
            break;
        }
    }
    count
}

/// "It's not like we don't have a timer": a denial of the whole clause.
fn is_not_so(pieces: &[Piece<'_>], state: usize) -> bool {
    (state.saturating_sub(2 * REACH)..state)
        .rev()
        .filter_map(|n| pieces.get(n))
        .take_while(|p| !(p.ends_sentence() || p.sign == Some(',') || p.is(Role::Turn)))
        .any(|piece| piece.is(Role::NotSo))
}

/// Whether what stands before an "or" was denied.
fn carried(pieces: &[Piece<'_>], or: usize) -> usize {
    let mut count = 0;
    for steps in 1..=REACH + 2 {
        let Some(at) = or.checked_sub(steps) else { break };
        let Some(piece) = pieces.get(at) else { break };
        if piece.ends_sentence() || piece.is(Role::Turn) || piece.is(Role::And) {
            break;
        }
        if piece.denies {
            count += 1;
        }
    }
    count
}

/// "Leaks: none", "spa - no".
fn answered_no(pieces: &[Piece<'_>], at: usize) -> bool {
    let mut next = at + 1;
    if pieces.get(next).is_some_and(|p| matches!(p.sign, Some(':' | '-' | '=' | '?'))) {
        next += 1;
    }
    pieces.get(next).is_some_and(|piece| piece.is(Role::Denied))
        && pieces.get(next + 1).is_none_or(|after| after.sign.is_some() || after.line)
}

/// "The noise from the pump has stopped": the noun that a word of ending is said of.
#[must_use]
pub fn ends(pieces: &[Piece<'_>], at: usize) -> Option<usize> {
    let after = pieces.get(at + 1);
    // "Came off the pipe" acts on nothing: its particle leads to the place.
    let particle = |sense: &Sense| matches!(sense, Sense::State(_, Manner::Particle));
    let led = pieces.get(at)?.ends.last().is_some_and(|end| end.iter().any(particle));
    let acts =
        !led && after.is_some_and(|p| p.is(Role::Definite) || p.is_thing() || p.is_ongoing());
    if acts || !pieces.get(at)?.is(Role::Gone) {
        return None;
    }
    let mut n = at.checked_sub(1)?;
    for _ in 0..=REACH {
        let piece = pieces.get(n)?;
        if piece.is_noun_state() || (piece.is_state() && !piece.is_clear() && !piece.is(Role::Gone))
        {
            return Some(n);
        }
        // "At the filter" is one piece where it names a gauge too.
        let placed = piece.is_thing()
            && (piece.is_label()
                || (n.saturating_sub(2)..n)
                    .any(|n| pieces.get(n).is_some_and(|piece| piece.is(Role::Preposition))));
        let passes = piece.is(Role::Filler)
            || piece.is(Role::Copula)
            || piece.is(Role::Now)
            || piece.is(Role::Definite)
            || piece.is(Role::Preposition);
        if !(passes || placed) || piece.is(Role::Not) {
            return None;
        }
        n = n.checked_sub(1)?;
    }
    None
}
