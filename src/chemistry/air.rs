//! Exchange of carbon dioxide with the air over time.

use super::constants::{kelvin, log_henry, ten_to};
use super::{Composition, WaterError};

/// CO2 in the air, atm: 420 parts per million (NOAA Global Monitoring Laboratory, annual mean of 2023:
/// 419.3; from memory).
const CARBON_DIOXIDE_OF_AIR_ATM: f64 = 420e-6;

/// Dissolved CO2 of water in balance with the air, mol/kg (Plummer & Busenberg 1982 for Henry's law).
#[must_use]
pub fn carbon_dioxide_of_air_mol_kg(temperature_c: f64) -> f64 {
    let t = kelvin(temperature_c);
    ten_to(log_henry(t, t.log10())) * CARBON_DIOXIDE_OF_AIR_ATM
}

/// The share of the way to balance covered in `days`, when half is covered in `half_life_days`.
#[must_use]
pub fn share_lost_after(days: f64, half_life_days: f64) -> f64 {
    if half_life_days <= 0.0 {
        return 1.0;
    }
    1.0 - (-days.max(0.0) / half_life_days * std::f64::consts::LN_2).exp()
}

/// The water after its CO2 has come `share` (0 to 1) of the way from where it is to balance with the
/// air. Alkalinity stays; only carbon goes.
///
/// # Errors
/// As [`Composition::settled`].
pub fn with_carbon_dioxide_lost(
    composition: &Composition,
    temperature_c: f64,
    share: f64,
) -> Result<Composition, WaterError> {
    let balanced = balanced_with_air(composition, temperature_c)?;
    let carbon = composition.inorganic_carbon
        + share.clamp(0.0, 1.0) * (balanced - composition.inorganic_carbon);
    Ok(Composition { inorganic_carbon: carbon, ..*composition })
}

/// The inorganic carbon at which dissolved CO2 is in balance with the air, mol/kg.
fn balanced_with_air(composition: &Composition, temperature_c: f64) -> Result<f64, WaterError> {
    let target = carbon_dioxide_of_air_mol_kg(temperature_c);
    let mut failure = None;
    let high = composition.alkalinity.max(0.0) * 2.0 + target * 10.0 + composition.inorganic_carbon;
    let carbon = super::solve::rising_root(0.0, high, 1e-10, 1e-14, |carbon| {
        let trial = Composition { inorganic_carbon: carbon, ..*composition };
        match trial.settled(temperature_c) {
            Ok(found) => found.carbon_dioxide - target,
            Err(error) => {
                failure = Some(error);
                0.0
            }
        }
    });
    failure.map_or(Ok(carbon), Err)
}
