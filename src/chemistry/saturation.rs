//! The calcite saturation index at the water's own temperature.

use super::carbonate::{Known, Medium};
use super::{CALCIUM_CARBONATE_MG_PER_EQ, Composition, Water, WaterError};

/// The calcite saturation index: log10 of the ion activity product of CaCO3 over the solubility
/// product of Plummer & Busenberg 1982. Below 0 the water dissolves calcium carbonate, above it may lay
/// it down.
///
/// # Errors
/// Readings that cannot be, contradict each other, or hold no calcium.
pub fn saturation_index(water: &Water) -> Result<f64, WaterError> {
    let totals = Composition::readings(water)?;
    if totals.calcium <= 0.0 {
        return Err(WaterError::NoCalcium);
    }
    let medium = Medium::at(water.temperature_c);
    Ok(medium.speciate(&totals, water.ph, Known::Alkalinity)?.calcite_index)
}

/// The index of the same water after it has cooled or warmed to `temperature_c` with nothing lost to
/// the air: the totals stay, the pH moves by itself.
///
/// # Errors
/// As [`saturation_index`].
pub fn saturation_index_at(water: &Water, temperature_c: f64) -> Result<f64, WaterError> {
    let totals = Composition::of(water)?;
    if totals.calcium <= 0.0 {
        return Err(WaterError::NoCalcium);
    }
    // Cooling moves the pH by tenths.
    Ok(totals.settled_near(temperature_c, water.ph)?.calcite_index)
}

/// Carbonate alkalinity, mg/L as CaCO3: the total less what cyanurate and borate hold at this pH
/// and temperature.
///
/// # Errors
/// Readings that cannot be, or contradict each other.
pub fn carbonate_alkalinity(water: &Water) -> Result<f64, WaterError> {
    let totals = Composition::readings(water)?;
    let medium = Medium::at(water.temperature_c);
    let found = medium.speciate(&totals, water.ph, Known::Alkalinity)?;
    Ok(found.carbonate_alkalinity * CALCIUM_CARBONATE_MG_PER_EQ)
}
