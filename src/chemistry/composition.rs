//! What a water is made of: totals that add up when waters mix and products go in.

use super::carbonate::{Known, Medium, Speciation};
use super::constants::ten_to;
use super::solve::rising_root;
use super::{
    BORON_MG_PER_MOL, BROMINE_MG_PER_MOL, CALCIUM_CARBONATE_MG_PER_EQ,
    CALCIUM_CARBONATE_MG_PER_MOL, CHLORINE_MG_PER_MOL, CYANURIC_ACID_MG_PER_MOL,
    SODIUM_CHLORIDE_MG_PER_MOL, SULFATE_MG_PER_MOL, Water, WaterError,
};

/// The first of the secants that look for a pH near a guess is so far from it.
const FIRST_STEP: f64 = 0.02;
/// They may go so far from the guess.
const NEAR: f64 = 1.5;
/// More than ordinary water takes.
const SECANTS: usize = 12;

/// The totals of a water, mol per kg (equivalents for alkalinity).
///
/// Sodium is whatever the charges leave over, as in the reference set. Alkalinity counts every
/// proton acceptor against CO2, H2O, H3Cy, B(OH)3, HOCl and SO4²⁻: it neither changes when CO2 comes or
/// goes nor with temperature.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Composition {
    /// Total alkalinity, eq/kg.
    pub alkalinity: f64,
    /// All inorganic carbon: CO2, HCO3⁻, CO3²⁻ and their pairs.
    pub inorganic_carbon: f64,
    /// Calcium, free or paired.
    pub calcium: f64,
    /// Chloride.
    pub chloride: f64,
    /// Sulfate, free or paired.
    pub sulfate: f64,
    /// Cyanuric acid in all its forms.
    pub cyanurate: f64,
    /// Boron.
    pub boron: f64,
    /// Free chlorine that went in as a product and takes part in acid and base.
    pub hypochlorite: f64,
    /// Free chlorine by the test, acting or bound, the added included.
    pub free_chlorine: f64,
    /// Bromine by the test, as Br2. It is counted, and left out of acid and base.
    pub bromine: f64,
    /// Salt as a test would count it, mol NaCl.
    pub salt: f64,
}

impl Composition {
    /// What a tested water is made of.
    ///
    /// Free chlorine already there is carried along but kept out of the acid–base balance: the tests
    /// for pH and alkalinity are read after it has been neutralised.
    ///
    /// # Errors
    /// A reading that cannot be, or readings that contradict each other.
    pub fn of(water: &Water) -> Result<Self, WaterError> {
        let totals = Self::readings(water)?;
        let medium = Medium::at(water.temperature_c);
        let found = medium.speciate(&totals, water.ph, Known::Alkalinity)?;
        Ok(Self { inorganic_carbon: found.inorganic_carbon, ..totals })
    }

    /// The totals that are read directly; inorganic carbon is still unknown and stays 0.
    ///
    /// # Errors
    /// A reading that cannot be.
    pub fn readings(water: &Water) -> Result<Self, WaterError> {
        let water = water.checked()?;
        let calcium = water.calcium_hardness / CALCIUM_CARBONATE_MG_PER_MOL;
        let salt = water.salt / SODIUM_CHLORIDE_MG_PER_MOL;
        Ok(Self {
            alkalinity: water.total_alkalinity / CALCIUM_CARBONATE_MG_PER_EQ,
            inorganic_carbon: 0.0,
            calcium,
            chloride: 2.0 * calcium + salt,
            sulfate: water.sulfate / SULFATE_MG_PER_MOL,
            cyanurate: water.cyanuric_acid / CYANURIC_ACID_MG_PER_MOL,
            boron: water.borate / BORON_MG_PER_MOL,
            hypochlorite: 0.0,
            free_chlorine: water.free_chlorine / CHLORINE_MG_PER_MOL,
            bromine: water.bromine / BROMINE_MG_PER_MOL,
            salt,
        })
    }

    /// Sodium, mol/kg: what the charges leave over. Never below zero.
    #[must_use]
    pub fn sodium(&self) -> f64 {
        (self.chloride + 2.0 * self.sulfate + self.alkalinity - 2.0 * self.calcium).max(0.0)
    }

    /// The pH that these totals have at a temperature, and how they share themselves out there.
    ///
    /// Alkalinity rises with pH at fixed totals, so the one root is bracketed between pH −1 and 15.
    ///
    /// # Errors
    /// [`WaterError::Unsettled`] if the activities do not settle.
    pub fn settled(&self, temperature_c: f64) -> Result<Speciation, WaterError> {
        let medium = Medium::at(temperature_c);
        let mut failure = None;
        let ph = rising_root(-1.0, 15.0, 1e-11, 1e-14, |ph| {
            match medium.speciate(self, ph, Known::InorganicCarbon) {
                Ok(found) => found.alkalinity - self.alkalinity,
                Err(error) => {
                    failure = Some(error);
                    0.0
                }
            }
        });
        match failure {
            Some(error) => Err(error),
            None => medium.speciate(self, ph, Known::InorganicCarbon),
        }
    }

    /// As [`Composition::settled`], for a pH that is likely near `guess`: several times as quick there, and
    /// good to 1e-8 in pH. By secants from the guess; where they leave its neighbourhood or do not close in, by the
    /// bracketed search.
    ///
    /// # Errors
    /// As [`Composition::settled`].
    pub fn settled_near(&self, temperature_c: f64, guess: f64) -> Result<Speciation, WaterError> {
        let medium = Medium::at(temperature_c);
        let at = |ph: f64| medium.speciate(self, ph, Known::InorganicCarbon);
        let off = |found: &Speciation| found.alkalinity - self.alkalinity;
        let first = at(guess)?;
        let mut last = (guess, off(&first));
        // Alkalinity rises with pH: the first step goes the right way.
        let mut found = at(guess - FIRST_STEP.copysign(last.1))?;
        for _ in 0..SECANTS {
            let here = off(&found);
            let slope = (here - last.1) / (found.ph - last.0);
            let step = -here / slope;
            if !step.is_finite() || (found.ph + step - guess).abs() > NEAR {
                break;
            }
            if step.abs() <= 1e-8 {
                return Ok(found);
            }
            last = (found.ph, here);
            found = at(found.ph + step)?;
        }
        self.settled(temperature_c)
    }

    /// The readings that a test of this water would show at a temperature.
    ///
    /// # Errors
    /// As [`Composition::settled`].
    pub fn reading(&self, temperature_c: f64) -> Result<Water, WaterError> {
        let settled = self.settled(temperature_c)?;
        Ok(self.reading_at(temperature_c, settled.ph))
    }

    /// The readings of these totals where the pH is known already.
    #[must_use]
    pub fn reading_at(&self, temperature_c: f64, ph: f64) -> Water {
        Water {
            temperature_c,
            ph,
            total_alkalinity: self.alkalinity * CALCIUM_CARBONATE_MG_PER_EQ,
            calcium_hardness: self.calcium * CALCIUM_CARBONATE_MG_PER_MOL,
            cyanuric_acid: self.cyanurate * CYANURIC_ACID_MG_PER_MOL,
            salt: self.salt * SODIUM_CHLORIDE_MG_PER_MOL,
            borate: self.boron * BORON_MG_PER_MOL,
            sulfate: self.sulfate * SULFATE_MG_PER_MOL,
            free_chlorine: self.free_chlorine * CHLORINE_MG_PER_MOL,
            bromine: self.bromine * BROMINE_MG_PER_MOL,
        }
    }

    /// Each total taken through `f` with the same total of another water.
    #[must_use]
    pub(super) fn zip(&self, other: &Self, f: impl Fn(f64, f64) -> f64) -> Self {
        Self {
            alkalinity: f(self.alkalinity, other.alkalinity),
            inorganic_carbon: f(self.inorganic_carbon, other.inorganic_carbon),
            calcium: f(self.calcium, other.calcium),
            chloride: f(self.chloride, other.chloride),
            sulfate: f(self.sulfate, other.sulfate),
            cyanurate: f(self.cyanurate, other.cyanurate),
            boron: f(self.boron, other.boron),
            hypochlorite: f(self.hypochlorite, other.hypochlorite),
            free_chlorine: f(self.free_chlorine, other.free_chlorine),
            bromine: f(self.bromine, other.bromine),
            salt: f(self.salt, other.salt),
        }
    }

    /// The activity of H⁺ at a pH.
    pub(super) fn proton_activity(ph: f64) -> f64 {
        ten_to(-ph)
    }
}
