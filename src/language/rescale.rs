//! Units put right after their number: "4 °C, I mean F".

use super::measure::Nature;
use super::phrase::Piece;
use crate::knowledge::{Role, Sense};
use crate::units::unit;

/// "4 °C, I mean F": a unit that stands alone behind a correction is that of the number before.
pub fn correct_units(pieces: &mut [Piece<'_>]) {
    for at in 1..pieces.len() {
        let Some(piece) = pieces.get(at).filter(|piece| piece.measure.is_none()) else { continue };
        let named = piece.senses.iter().find_map(|sense| match sense {
            Sense::Unit(id) => Some(*id),
            _ => None,
        });
        let is_comma = |n: usize| pieces.get(n).is_some_and(|p: &Piece<'_>| p.sign == Some(','));
        let back =
            |n: usize| n.checked_sub(1).map(|n| if is_comma(n) { n.saturating_sub(1) } else { n });
        let said = back(at).unwrap_or(0);
        let word = pieces.get(said);
        let corrected = word.is_some_and(|p| p.is(Role::Correct) && !p.is(Role::Not));
        let alone = pieces.get(at + 1).is_none_or(|p| p.sign.is_some() || p.line);
        let Some(id) = named.filter(|_| corrected && alone) else { continue };
        let number = back(said);
        let Some(measure) =
            number.and_then(|n| pieces.get_mut(n)).and_then(|piece| piece.measure.as_mut())
        else {
            continue;
        };
        let same = measure.dimension().is_none_or(|d| d == unit(id).dimension);
        if same && measure.nature == Nature::Reading {
            measure.unit = Some(id);
        }
    }
}
