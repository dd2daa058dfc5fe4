//! Boric acid: the share of it that is ionised, and so holds alkalinity.

use super::activity::{Activities, DebyeHueckel};
use super::constants::{Constants, kelvin, ten_to};

/// The share of boron present as B(OH)4⁻ at an activity of H⁺.
pub(super) fn share(k: &Constants, g: &Activities, h: f64) -> f64 {
    let ratio = k.boric * g.neutral / (h * g.single);
    ratio / (1.0 + ratio)
}

/// The share of borate that is ionised (0 to 1) at a temperature, pH and ionic strength (mol/kg).
#[must_use]
pub fn borate_ion_share(temperature_c: f64, ph: f64, ionic_strength: f64) -> f64 {
    let k = Constants::at(temperature_c);
    let g = Activities::at(DebyeHueckel::at(kelvin(temperature_c)), ionic_strength.max(0.0));
    share(&k, &g, ten_to(-ph))
}
