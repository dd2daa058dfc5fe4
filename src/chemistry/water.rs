//! A tested water: the readings that its equilibrium follows from, checked.

use thiserror::Error;

/// What a test kit and a thermometer say of a water. mg/L throughout.
///
/// Salt is sodium chloride beside the chloride that came with the calcium; borate is counted as
/// boron, as test strips count it (common practice). What nobody measured is 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Water {
    /// Temperature, °C.
    pub temperature_c: f64,
    /// pH as a meter reads it: minus the logarithm of the activity of H⁺.
    pub ph: f64,
    /// Total alkalinity as titrated, mg/L as CaCO3: cyanurate and borate are in it.
    pub total_alkalinity: f64,
    /// Calcium hardness, mg/L as CaCO3.
    pub calcium_hardness: f64,
    /// Cyanuric acid, mg/L.
    pub cyanuric_acid: f64,
    /// Salt, mg/L as NaCl.
    pub salt: f64,
    /// Borate, mg/L as boron.
    pub borate: f64,
    /// Sulfate, mg/L as SO4.
    pub sulfate: f64,
    /// Free chlorine, mg/L as Cl2, bound to cyanurate or not.
    pub free_chlorine: f64,
    /// Bromine, mg/L as Br2.
    pub bromine: f64,
}

impl Default for Water {
    /// Soft, unbuffered water at 25 °C: a place to start from with `..Water::default()`.
    fn default() -> Self {
        Self {
            temperature_c: 25.0,
            ph: 7.5,
            total_alkalinity: 0.0,
            calcium_hardness: 0.0,
            cyanuric_acid: 0.0,
            salt: 0.0,
            borate: 0.0,
            sulfate: 0.0,
            free_chlorine: 0.0,
            bromine: 0.0,
        }
    }
}

/// Why a water cannot be computed.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum WaterError {
    /// A reading is not a number, or outside of what liquid pool water can show.
    #[error(
        "{quantity} of {value} is outside {low} to {high} {unit}, so the water cannot be computed"
    )]
    OutOfRange {
        /// What was read.
        quantity: &'static str,
        /// What it said.
        value: f64,
        /// The smallest that can be computed.
        low: f64,
        /// The largest that can be computed.
        high: f64,
        /// The unit of all three.
        unit: &'static str,
    },
    /// Cyanurate and borate alone would hold more alkalinity than was titrated.
    #[error(
        "total alkalinity of {total_alkalinity:.0} mg/L is no more than what cyanurate, borate and pH \
         alone would hold ({held:.0} mg/L), so the readings contradict each other"
    )]
    AlkalinityHeldElsewhere {
        /// As titrated, mg/L as CaCO3.
        total_alkalinity: f64,
        /// What the side systems hold, mg/L as CaCO3.
        held: f64,
    },
    /// There is nothing to take the index of.
    #[error("no calcium in the water, so it has no saturation index")]
    NoCalcium,
    /// The equilibrium did not settle; a defect, reported rather than hidden.
    #[error("the equilibrium of this water did not settle")]
    Unsettled,
}

/// One reading's name, value, bounds and unit.
type Bound = (&'static str, f64, f64, f64, &'static str);

impl Water {
    /// Checks that every reading is one that liquid pool water can show.
    ///
    /// # Errors
    /// The first reading that is not, with its bounds.
    pub fn checked(self) -> Result<Self, WaterError> {
        let bounds: [Bound; 10] = [
            ("temperature", self.temperature_c, -2.0, 50.0, "°C"),
            ("pH", self.ph, 3.0, 11.5, ""),
            ("total alkalinity", self.total_alkalinity, 0.0, 2_000.0, "mg/L"),
            ("calcium hardness", self.calcium_hardness, 0.0, 5_000.0, "mg/L"),
            ("cyanuric acid", self.cyanuric_acid, 0.0, 1_000.0, "mg/L"),
            ("salt", self.salt, 0.0, 40_000.0, "mg/L"),
            ("borate", self.borate, 0.0, 500.0, "mg/L"),
            ("sulfate", self.sulfate, 0.0, 5_000.0, "mg/L"),
            ("free chlorine", self.free_chlorine, 0.0, 500.0, "mg/L"),
            ("bromine", self.bromine, 0.0, 500.0, "mg/L"),
        ];
        for (quantity, value, low, high, unit) in bounds {
            if !(low..=high).contains(&value) {
                return Err(WaterError::OutOfRange { quantity, value, low, high, unit });
            }
        }
        Ok(self)
    }

    /// The same water at another temperature, nothing else moved: what [`super::saturation_index_at`]
    /// refines.
    #[must_use]
    pub fn at_temperature(self, temperature_c: f64) -> Self {
        Self { temperature_c, ..self }
    }
}
