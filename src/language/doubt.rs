//! Readings that cannot be: said in words, with what was probably meant.

use crate::facts::Value;
use crate::knowledge::{FactDef, Kind};
use crate::units::{System, display_number, display_unit, unit};

/// Why a value looks wrong, and what was probably meant.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubt {
    /// In words, lower case, without a full stop.
    pub why: String,
    /// A value that would make sense, in the canonical unit.
    pub likely: Option<f64>,
}

/// The doubt about a number, if there is any.
#[must_use]
pub fn doubt(def: &FactDef, value: Value, system: System) -> Option<Doubt> {
    let (Value::Number(number), Kind::Number { unit: canonical, decimals }) = (value, &def.kind)
    else {
        return None;
    };
    let outside = |range: Option<(f64, f64)>| {
        range.filter(|(low, high)| number < low - 1e-9 || number > high + 1e-9)
    };
    let show = |n: f64| display_number(n, *canonical, *decimals, system);
    let name = unit(display_unit(*canonical, system)).name;
    let (range, word) = match (outside(def.possible), outside(def.plausible)) {
        (Some(range), _) => (range, "no test or instrument shows that"),
        (None, Some(range)) => (range, "that would be unusual"),
        _ => return None,
    };
    let (low, high) = (show(range.0), show(range.1));
    let spaced = if name.is_empty() { String::new() } else { format!(" {name}") };
    let likely = [10.0, 0.1, 100.0, 0.01].into_iter().map(|by| number * by).find(|n| {
        def.plausible.or(def.possible).is_some_and(|(low, high)| (low..=high).contains(n))
            && unit(*canonical).offset == 0.0
            && name != "°F"
            && name != "°C"
    });
    let why = format!("{} runs from {low} to {high}{spaced}; {word}", def.title);
    Some(Doubt { why, likely })
}
