//! Quantities: what a typed number comes to as a value of a fact, by its unit or by the habit of the message.

use super::measure::Measure;
use super::phrase::Piece;
use crate::knowledge::{FactDef, Kind, Sense};
use crate::units::{Dimension, System, UnitId, base_value, find_unit, from_base, unit};

/// The units a message is written in.
#[derive(Debug, Clone, Default)]
pub struct Habit {
    /// US or SI, where the message does not say.
    pub system: System,
    /// Units typed in the message, the first of each dimension.
    typed: Vec<UnitId>,
}

impl Habit {
    /// The habit of a message: its own units count first, then what they go with, then the setting.
    #[must_use]
    pub fn of(pieces: &[Piece<'_>], setting: System) -> Self {
        let mut typed: Vec<UnitId> = Vec::new();
        for id in pieces.iter().filter_map(|piece| piece.measure.and_then(|m| m.unit)) {
            let dimension = unit(id).dimension;
            if typed.len() < 8 && typed.iter().all(|other| unit(*other).dimension != dimension) {
                typed.push(id);
            }
        }
        // "All celsius": a scale that stands by itself holds for the message.
        if typed.iter().all(|id| unit(*id).dimension != Dimension::Temperature) {
            typed.extend(pieces.iter().filter_map(scale).next());
        }
        let us = ["°F", "psi", "gal", "in", "ft", "mph", "lb", "oz", "fl oz", "qt"];
        let si = ["°C", "bar", "kPa", "L", "m³", "cm", "mm", "km/h", "m/s", "kg", "g", "mL"];
        let count =
            |names: &[&str]| typed.iter().filter(|id| names.contains(&unit(**id).name)).count();
        let (us, si) = (count(&us), count(&si));
        let system = match us.cmp(&si) {
            std::cmp::Ordering::Greater => System::Us,
            std::cmp::Ordering::Less => System::Si,
            std::cmp::Ordering::Equal => setting,
        };
        Self { system, typed }
    }

    fn typed(&self, dimension: Dimension) -> Option<UnitId> {
        self.typed.iter().copied().find(|id| unit(*id).dimension == dimension)
    }

    /// The unit of a bare number of a dimension.
    fn bare(&self, dimension: Dimension, value: f64) -> Option<UnitId> {
        if matches!(dimension, Dimension::Plain | Dimension::Concentration | Dimension::Rotation) {
            let name = match dimension {
                Dimension::Concentration => "mg/L",
                Dimension::Rotation => "rpm",
                _ => "",
            };
            return find_unit(name);
        }
        let us = self.system == System::Us;
        let name = match dimension {
            Dimension::Pressure | Dimension::Speed | Dimension::Temperature => {
                if let Some(id) = self.typed(dimension) {
                    return Some(id);
                }
                match dimension {
                    Dimension::Pressure if us => "psi",
                    Dimension::Pressure if value < 6.0 => "bar",
                    Dimension::Pressure => "kPa",
                    Dimension::Speed if us => "mph",
                    Dimension::Speed => "km/h",
                    _ if us => "°F",
                    _ => "°C",
                }
            }
            Dimension::Volume if value >= 500.0 && us => "gal",
            Dimension::Volume if value >= 500.0 => "L",
            Dimension::Volume if value >= 8.0 && !us => "m³",
            _ => return None,
        };
        find_unit(name)
    }
}

/// The temperature scale that a piece names.
fn scale(piece: &Piece<'_>) -> Option<UnitId> {
    piece.senses.iter().find_map(|sense| match sense {
        Sense::Unit(id) if unit(*id).dimension == Dimension::Temperature => Some(*id),
        _ => None,
    })
}

/// A number as a value of a fact, in the fact's canonical unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// The unit it was read in.
    pub unit: UnitId,
    /// Its value.
    pub value: f64,
    /// How well it fits: a matching unit and a plausible value count for it.
    pub score: f64,
}

/// How a number fits a fact; `None` if it cannot be a value of it.
#[must_use]
pub fn fit(def: &FactDef, measure: &Measure, habit: &Habit) -> Option<Fit> {
    let Kind::Number { unit: canonical, decimals } = def.kind else { return None };
    let whole = measure.spelled.filter(|_| decimals == 0 && measure.range.is_none());
    let typed = whole.unwrap_or(measure.value);
    let dimension = unit(canonical).dimension;
    let (read_in, named) = match measure.unit {
        Some(id) if unit(id).dimension == dimension => (id, true),
        // On a gauge a pound is a pound a square inch.
        Some(id) if unit(id).name == "lb" && dimension == Dimension::Pressure => {
            (find_unit("psi")?, true)
        }
        Some(_) => return None,
        None if measure.degrees && dimension != Dimension::Temperature => return None,
        None => (habit.bare(dimension, typed.abs())?, measure.degrees),
    };
    let read_in = if named && measure.unit.is_some() {
        read_in
    } else {
        other_scale(def, typed, read_in, canonical)
    };
    let value = to_canonical(typed, read_in, canonical);
    let within = |range: Option<(f64, f64)>| {
        range.is_none_or(|(low, high)| (low - 1e-9..=high + 1e-9).contains(&value))
    };
    let mut score = if named { 3.0 } else { 0.0 };
    score += match (within(def.possible), within(def.plausible)) {
        (true, true) => 1.5,
        (true, false) => -1.0,
        _ => -3.5,
    };
    Some(Fit { unit: read_in, value, score })
}

/// A bare temperature is read on the other scale where this one cannot be: water at 37 is no 37 °C.
fn other_scale(def: &FactDef, value: f64, read_in: UnitId, canonical: UnitId) -> UnitId {
    let other = match unit(read_in).name {
        "°F" => find_unit("°C"),
        "°C" => find_unit("°F"),
        _ => None,
    };
    let Some(other) = other else { return read_in };
    let fits = |id: UnitId, range: Option<(f64, f64)>| {
        let value = to_canonical(value, id, canonical);
        range.is_none_or(|(low, high)| (low..=high).contains(&value))
    };
    let here = fits(read_in, def.plausible);
    if !here && fits(other, def.plausible) && !fits(read_in, def.possible) {
        other
    } else {
        read_in
    }
}

/// A typed number in the canonical unit.
#[must_use]
pub fn to_canonical(value: f64, from: UnitId, canonical: UnitId) -> f64 {
    if from == canonical { value } else { from_base(base_value(value, from), canonical) }
}
