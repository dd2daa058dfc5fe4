//! Two values of one thing in one breath, with no word that tells which of them holds: "ph 7.2 ph 7.8".
//!
//! Words of time, of change and of correction, another place, a stranger's word or a range between the two tell that
//! both may be so, or that the later one holds. Only what is told side by side without any of these is a contradiction.

use super::measure::Nature;
use super::phrase::Piece;
use super::reading::Message;
use super::statement::Statement;
use crate::facts::Value;
use crate::knowledge::{FactDef, Role};
use crate::units::{Dimension, System};

/// So many pieces before a statement may name where it was measured.
const NEAR: usize = 3;

/// Whether a later statement contradicts an earlier one of the same fact.
#[must_use]
pub fn contradicts(message: &Message<'_, '_>, held: &Statement, next: &Statement) -> bool {
    let plain = |s: &Statement| !s.past && !s.supposed && s.bounds.is_none() && !s.item;
    if held.value == next.value || !plain(held) || !plain(next) || held.last >= next.first {
        return false;
    }
    let pieces = message.pieces;
    let named = match (held.value, next.value) {
        (Value::Number(_), Value::Number(_)) => {
            is_named_number(pieces, held) && is_named_number(pieces, next)
        }
        (Value::Flag(_), Value::Flag(_)) => {
            is_being(pieces, held) && is_being(pieces, next) && same_thing(pieces, held, next)
        }
        _ => false,
    };
    let between = pieces.get(held.last + 1..next.first).unwrap_or(&[]);
    let lead = pieces.get(held.first.saturating_sub(NEAR)..held.first).unwrap_or(&[]);
    let lead = lead.iter().rev().take_while(|piece| !piece.ends_sentence());
    let after = pieces.get(next.last + 1..).unwrap_or(&[]);
    let after = after.iter().take(NEAR).take_while(|piece| !piece.ends_sentence());
    named && between.iter().chain(lead).chain(after).all(tells_nothing_apart)
}

/// "7.2 and 7.8", "pump running and pump stopped": both values in words.
#[must_use]
pub fn said_twice(def: &FactDef, first: Value, second: Value, system: System) -> Option<String> {
    let (first, second) = (def.show(first, system), def.show(second, system));
    (first != second).then(|| format!("said twice: {first} and {second}"))
}

/// Whether a piece leaves open which of two values holds.
fn tells_nothing_apart(piece: &Piece<'_>) -> bool {
    if let Some(measure) = piece.measure {
        let timed = measure.dimension() == Some(Dimension::Time);
        return measure.nature == Nature::Reading && !timed;
    }
    let parts =
        [Role::Now, Role::Past, Role::Change, Role::Turn, Role::To, Role::From, Role::Ahead]
            .into_iter()
            .chain([
                Role::Correct,
                Role::Not,
                Role::Or,
                Role::Today,
                Role::Formerly,
                Role::Ago,
                Role::Preposition,
            ])
            .any(|role| piece.is(role));
    let passes = piece.sign.is_some_and(|sign| matches!(sign, '.' | ',' | ';' | ':' | '!'))
        || piece.line
        || piece.is(Role::Filler)
        || piece.is(Role::And)
        || piece.is(Role::Definite)
        || piece.is(Role::Copula)
        || piece.is_label() && !piece.is_thing();
    passes && !parts
}

/// A number with a name of its own right by it, told without where it came from: no range, no change.
fn is_named_number(pieces: &[Piece<'_>], one: &Statement) -> bool {
    let inside = pieces.get(one.first..=one.last).unwrap_or(&[]);
    let single = |piece: &Piece<'_>| {
        piece.measure.is_none_or(|measure| measure.from.is_none() && measure.range.is_none())
    };
    inside.iter().any(Piece::is_label)
        && inside.iter().filter(|piece| piece.measure.is_some()).count() == 1
        && inside.iter().all(|piece| single(piece) && tells_nothing_apart(piece))
}

/// "The pump is off" tells how a thing is; "the pump tripped" tells what came next, and holds over what was before.
fn is_being(pieces: &[Piece<'_>], one: &Statement) -> bool {
    let inside = pieces.get(one.first..=one.last).unwrap_or(&[]);
    let (Some((thing, rest)), Some(state)) = (inside.split_first(), inside.last()) else {
        return false;
    };
    thing.is_thing()
        && state.is_state()
        && rest.iter().any(|piece| piece.is(Role::Copula))
        && inside.iter().all(|piece| piece.measure.is_none())
}

fn same_thing(pieces: &[Piece<'_>], a: &Statement, b: &Statement) -> bool {
    let (Some(a), Some(b)) = (pieces.get(a.first), pieces.get(b.first)) else { return false };
    a.things().any(|thing| b.things().any(|other| other == thing))
}
