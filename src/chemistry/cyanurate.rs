//! Cyanuric acid: the share of it that is ionised, and so holds alkalinity.

use super::activity::{Activities, DebyeHueckel};
use super::constants::{Constants, kelvin, pk_cyanuric_first, ten_to};

/// Concentrations of the ionised forms per mole of cyanuric acid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct CyanurateShares {
    /// H2Cy⁻.
    pub single: f64,
    /// HCy²⁻.
    pub double: f64,
}

impl CyanurateShares {
    /// Equivalents of alkalinity held per mole.
    pub(super) fn held(self) -> f64 {
        self.single + 2.0 * self.double
    }
}

/// How cyanuric acid shares itself out at an activity of H⁺.
pub(super) fn shares(k: &Constants, g: &Activities, h: f64) -> CyanurateShares {
    let first = k.cyanuric_first * g.neutral / (h * g.single);
    let second = k.cyanuric_second * g.single / (h * g.double);
    let total = 1.0 + first + first * second;
    CyanurateShares { single: first / total, double: first * second / total }
}

/// The share of cyanuric acid that is ionised (0 to 1) at a temperature, pH and ionic strength
/// (mol/kg). Wahman 2018 for the temperature; at ionic strength 0 this is 1 / (1 + 10^(pK − pH)).
#[must_use]
pub fn cyanurate_ion_share(temperature_c: f64, ph: f64, ionic_strength: f64) -> f64 {
    let t = kelvin(temperature_c);
    let g = Activities::at(DebyeHueckel::at(t), ionic_strength.max(0.0));
    let first = ten_to(ph - pk_cyanuric_first(t)) * g.neutral / g.single;
    first / (1.0 + first)
}
