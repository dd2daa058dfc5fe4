//! The factor-table index: the printed Langelier value, for people who know that one.
//!
//! Montana ARM 37.115 (pools), Table 7 (superseded version): index = pH + TF + CF + AF − k. The
//! temperature factors were made for warm water: near freezing the table reads up to a quarter lower
//! than equilibrium does (FACTS B24).

use super::{Water, WaterError};

/// °F and temperature factor.
const TEMPERATURE: [(f64, f64); 11] = [
    (32.0, 0.0),
    (37.0, 0.1),
    (46.0, 0.2),
    (53.0, 0.3),
    (60.0, 0.4),
    (66.0, 0.5),
    (76.0, 0.6),
    (84.0, 0.7),
    (94.0, 0.8),
    (105.0, 0.9),
    (128.0, 1.0),
];

/// Calcium hardness, mg/L, and its factor.
const CALCIUM: [(f64, f64); 11] = [
    (5.0, 0.3),
    (25.0, 1.0),
    (50.0, 1.3),
    (75.0, 1.5),
    (100.0, 1.6),
    (150.0, 1.8),
    (200.0, 1.9),
    (300.0, 2.1),
    (400.0, 2.2),
    (800.0, 2.5),
    (1000.0, 2.6),
];

/// Alkalinity, mg/L, and its factor.
const ALKALINITY: [(f64, f64); 11] = [
    (5.0, 0.7),
    (25.0, 1.4),
    (50.0, 1.7),
    (75.0, 1.9),
    (100.0, 2.0),
    (150.0, 2.2),
    (200.0, 2.3),
    (300.0, 2.5),
    (400.0, 2.6),
    (800.0, 2.9),
    (1000.0, 3.0),
];

/// Dissolved solids at which the table's constant changes, mg/L, and its two values.
const SOLIDS_STEP: f64 = 1_000.0;
const CONSTANT_BELOW: f64 = 12.1;
const CONSTANT_ABOVE: f64 = 12.2;

/// The factor-table index. Between rows the factors are interpolated, by the logarithm for hardness and
/// alkalinity; beyond the rows the last one holds. `dissolved_solids` in mg/L; alkalinity is taken as
/// titrated, as the table takes it.
///
/// # Errors
/// Readings that cannot be, or no calcium or alkalinity.
pub fn factor_table_index(water: &Water, dissolved_solids: f64) -> Result<f64, WaterError> {
    let water = water.checked()?;
    if water.calcium_hardness <= 0.0 {
        return Err(WaterError::NoCalcium);
    }
    if water.total_alkalinity <= 0.0 {
        return Err(WaterError::AlkalinityHeldElsewhere { total_alkalinity: 0.0, held: 0.0 });
    }
    let fahrenheit = water.temperature_c * 1.8 + 32.0;
    let constant = if dissolved_solids < SOLIDS_STEP { CONSTANT_BELOW } else { CONSTANT_ABOVE };
    Ok(water.ph
        + interpolated(&TEMPERATURE, fahrenheit, |x| x)
        + interpolated(&CALCIUM, water.calcium_hardness, f64::log10)
        + interpolated(&ALKALINITY, water.total_alkalinity, f64::log10)
        - constant)
}

/// Between the two rows that hold `at`, on a scale.
fn interpolated(rows: &[(f64, f64)], at: f64, scale: impl Fn(f64) -> f64) -> f64 {
    let mut previous: Option<(f64, f64)> = None;
    for &(x, factor) in rows {
        if at <= x {
            return previous.map_or(factor, |(x0, factor0)| {
                let share = (scale(at) - scale(x0)) / (scale(x) - scale(x0));
                factor0 + share * (factor - factor0)
            });
        }
        previous = Some((x, factor));
    }
    previous.map_or(0.0, |(_, factor)| factor)
}

/// Dissolved solids, mg/L, as the sum of the ions that the readings imply (carbon as HCO3⁻): an estimate
/// where nobody measured them.
#[must_use]
pub fn dissolved_solids_estimate(water: &Water) -> f64 {
    let alkalinity = water.total_alkalinity / super::CALCIUM_CARBONATE_MG_PER_EQ;
    let calcium = water.calcium_hardness / super::CALCIUM_CARBONATE_MG_PER_MOL;
    let sodium_mg = alkalinity * 22_990.0;
    let bicarbonate_mg = alkalinity * 61_017.0;
    let calcium_mg = calcium * (40_080.0 + 2.0 * 35_453.0);
    // Sulfate came with sodium.
    let sulfate_mg = water.sulfate * (1.0 + 2.0 * 22_990.0 / super::SULFATE_MG_PER_MOL);
    sodium_mg + bicarbonate_mg + calcium_mg + water.salt + sulfate_mg + 0.8 * water.cyanuric_acid
}
