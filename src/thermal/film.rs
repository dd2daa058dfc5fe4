//! The film between a surface and the weather: wind, still air, radiation.

use super::air::dry_air;
use super::material::constants::{EMISSIVITY, STEFAN_BOLTZMANN, ZERO_C_K};

/// What the outside takes from a surface, W/(m² K), and where it takes it to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Film {
    /// By wind across it.
    pub forced_w_m2k: f64,
    /// By the air's own rising and sinking.
    pub free_w_m2k: f64,
    /// By radiation, linear about the film temperature.
    pub radiative_w_m2k: f64,
    /// Wind and free convection together, with radiation.
    pub total_w_m2k: f64,
    /// The one temperature that gives the same exchange as air and sky together, °C.
    pub surroundings_c: f64,
}

/// Wind across a cylinder of `diameter_m`, W/(m² K); properties at `film_c`.
///
/// Churchill & Bernstein 1977, Journal of Heat Transfer 99:300. For Re·Pr > 0.2; below that it
/// tends to its still-air limit of Nu 0.3.
#[must_use]
pub fn forced_film_w_m2k(diameter_m: f64, wind_m_s: f64, film_c: f64) -> f64 {
    let air = dry_air(film_c);
    let reynolds = air.density_kg_m3 * wind_m_s.max(0.0) * diameter_m / air.viscosity_pa_s;
    let prandtl = air.prandtl;
    let base = 0.62 * reynolds.sqrt() * prandtl.cbrt()
        / (1.0 + (0.4 / prandtl).powf(2.0 / 3.0)).powf(0.25);
    let nusselt = 0.3 + base * (1.0 + (reynolds / 282_000.0).powf(0.625)).powf(0.8);
    nusselt * air.conductivity_w_m_k / diameter_m
}

/// Still air around a horizontal cylinder whose surface is `difference_k` from the air, W/(m² K).
///
/// Churchill & Chu 1975, International Journal of Heat and Mass Transfer 18:1049. For Ra up to
/// 10¹².
#[must_use]
pub fn free_film_w_m2k(diameter_m: f64, difference_k: f64, film_c: f64) -> f64 {
    let air = dry_air(film_c);
    let kinematic = air.viscosity_pa_s / air.density_kg_m3;
    let rayleigh = 9.806_65 / air.temperature_k * difference_k.abs() * diameter_m.powi(3)
        / (kinematic * kinematic)
        * air.prandtl;
    let spread = (1.0 + (0.559 / air.prandtl).powf(9.0 / 16.0)).powf(8.0 / 27.0);
    let nusselt = (0.6 + 0.387 * rayleigh.powf(1.0 / 6.0) / spread).powi(2);
    nusselt * air.conductivity_w_m_k / diameter_m
}

/// Radiation to surroundings near `film_c`, linear: 4 ε σ T³, W/(m² K).
#[must_use]
pub fn radiative_film_w_m2k(film_c: f64) -> f64 {
    4.0 * EMISSIVITY * STEFAN_BOLTZMANN * (film_c + ZERO_C_K).powi(3)
}

/// Everything the outside takes from a cylinder whose surface is near 0 °C.
///
/// Forced and free convection are joined by their cubes (Churchill 1977, as in VDI Heat Atlas
/// section F, from memory). `sky_view` (0–1) is the share of its view that is sky at `sky_c`; the
/// rest is at the temperature of the air.
#[must_use]
pub fn outside_film(diameter_m: f64, wind_m_s: f64, air_c: f64, sky_c: f64, sky_view: f64) -> Film {
    let film_c = air_c / 2.0;
    let forced = forced_film_w_m2k(diameter_m, wind_m_s, film_c);
    let free = free_film_w_m2k(diameter_m, air_c, film_c);
    let radiative = radiative_film_w_m2k(film_c);
    let total = (forced.powi(3) + free.powi(3)).cbrt() + radiative;
    let pull = radiative * sky_view.clamp(0.0, 1.0) * (air_c - sky_c).max(0.0) / total;
    Film {
        forced_w_m2k: forced,
        free_w_m2k: free,
        radiative_w_m2k: radiative,
        total_w_m2k: total,
        surroundings_c: air_c - pull,
    }
}
