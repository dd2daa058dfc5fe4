//! Units put right after their number: "4 °C, I mean F".

use super::measure::Nature;
use super::phrase::Piece;
use crate::knowledge::{Role, Sense};
use crate::units::{Dimension, UnitId, find_unit, unit};

/// How far behind a unit that stands alone the number may be that is told in it, in pieces.
const TOLD: usize = 6;

/// "Outdoor one is celsius and says -2", "pressure in bar, filter reads 1.2": a unit that stands alone is that of the
/// next number, if that has none.
pub fn tell_units(pieces: &mut [Piece<'_>]) {
    for at in 1..pieces.len() {
        let Some(id) = told_alone(pieces, at) else { continue };
        for n in at + 1..(at + 1 + TOLD).min(pieces.len()) {
            let Some(piece) = pieces.get_mut(n) else { break };
            if let Some(measure) = piece.measure.as_mut() {
                let bare = measure.unit.is_none() && measure.nature == Nature::Reading;
                if bare && measure.dimension().is_none_or(|d| d == unit(id).dimension) {
                    measure.unit = Some(id);
                }
                break;
            }
            if piece.ends_sentence() || piece.is(Role::Turn) {
                break;
            }
        }
    }
}

/// The unit that a piece names without a number of its own: "in bar", "is celsius".
fn told_alone(pieces: &[Piece<'_>], at: usize) -> Option<UnitId> {
    let piece = pieces.get(at).filter(|piece| piece.measure.is_none())?;
    let lead = at.checked_sub(1).and_then(|n| pieces.get(n))?;
    if !(lead.is(Role::Preposition) || lead.is(Role::Copula)) {
        return None;
    }
    let readings =
        [Dimension::Pressure, Dimension::Speed, Dimension::Volume, Dimension::Temperature];
    piece.senses.iter().find_map(|sense| match sense {
        Sense::Unit(id) if readings.contains(&unit(*id).dimension) => Some(*id),
        _ => None,
    })
}

/// "9,000 gallon (imperial)": the word beside a number of gallons.
pub fn imperial(pieces: &mut [Piece<'_>]) {
    let larger = find_unit("imp gal");
    for at in 0..pieces.len() {
        if !pieces.get(at).is_some_and(|p| p.measure.is_none() && p.is(Role::Imperial)) {
            continue;
        }
        for n in (at.saturating_sub(4)..at + 2).rev() {
            let Some(measure) = pieces.get_mut(n).and_then(|p| p.measure.as_mut()) else {
                continue;
            };
            if measure.unit.is_some_and(|id| unit(id).name == "gal") {
                measure.unit = larger;
                break;
            }
        }
    }
}

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
