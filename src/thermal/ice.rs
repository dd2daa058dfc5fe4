//! Ice on still water: growth under cold air, with and without snow, and melt.
//!
//! Thickness is computed to plan heat and to judge what ice does to a pool. No thickness computed
//! here, and no thickness at all, makes the ice of a pool safe to stand on.

use super::material::constants::{
    FUSION_J_KG, ICE_CONDUCTIVITY_W_M_K, ICE_DENSITY_KG_M3, SNOW_CONDUCTIVITY_W_M_K,
};

const LATENT_J_M3: f64 = ICE_DENSITY_KG_M3 * FUSION_J_KG;

/// Ice of zero thickness grown for `hours` under a surface held at `surface_c`, mm: the upper
/// bound of Stefan 1891, h = √(2 k (0 − Ts) t / (ρ L)), 3.54 cm per √(°C day).
#[must_use]
pub fn stefan_thickness_mm(surface_c: f64, hours: f64) -> f64 {
    let cold = (-surface_c).max(0.0);
    (2.0 * ICE_CONDUCTIVITY_W_M_K * cold * hours.max(0.0) * 3600.0 / LATENT_J_M3).sqrt() * 1000.0
}

/// The same with `snow_mm` of snow on it from the start, `surface_c` at the top of the snow, mm.
///
/// Steady conduction through ice and snow, dh/dt = (0 − Ts)/(ρ L (h/k + s/ks)), in closed form.
#[must_use]
pub fn snow_ice_thickness_mm(surface_c: f64, hours: f64, snow_mm: f64) -> f64 {
    let cold = (-surface_c).max(0.0);
    let handicap = ICE_CONDUCTIVITY_W_M_K * snow_mm.max(0.0) / 1000.0 / SNOW_CONDUCTIVITY_W_M_K;
    let grown = 2.0 * ICE_CONDUCTIVITY_W_M_K * cold * hours.max(0.0) * 3600.0 / LATENT_J_M3;
    ((handicap * handicap + grown).sqrt() - handicap) * 1000.0
}

/// A cover of ice and snow between the water and the weather.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ice {
    /// Ice, mm.
    pub thickness_mm: f64,
    /// Snow on it, mm.
    pub snow_mm: f64,
}

impl Ice {
    /// Resistance of ice and snow, m² K/W.
    #[must_use]
    pub fn resistance_m2k_w(&self) -> f64 {
        self.thickness_mm / 1000.0 / ICE_CONDUCTIVITY_W_M_K
            + self.snow_mm / 1000.0 / SNOW_CONDUCTIVITY_W_M_K
    }

    /// Temperature of the upper surface, °C, when the film `film_w_m2k` leads to `air_c`.
    #[must_use]
    pub fn surface_c(&self, air_c: f64, film_w_m2k: f64) -> f64 {
        let through = self.resistance_m2k_w();
        let film = 1.0 / film_w_m2k.max(1e-9);
        air_c * through / (through + film)
    }

    /// After `hours` at `air_c` under a film, with water at 0 °C below: growth below 0 °C, melt
    /// above. Growth is solved exactly for a steady hour; snow lying on melting ice shields it.
    #[must_use]
    pub fn after(&self, air_c: f64, film_w_m2k: f64, hours: f64) -> Self {
        let film = 1.0 / film_w_m2k.max(1e-9);
        let snow = self.snow_mm / 1000.0 / SNOW_CONDUCTIVITY_W_M_K;
        let seconds = hours.max(0.0) * 3600.0;
        if air_c >= 0.0 {
            let melted = air_c / (film + snow) * seconds / LATENT_J_M3 * 1000.0;
            return Self { thickness_mm: (self.thickness_mm - melted).max(0.0), ..*self };
        }
        let start = self.thickness_mm / 1000.0 + ICE_CONDUCTIVITY_W_M_K * (film + snow);
        let grown = 2.0 * ICE_CONDUCTIVITY_W_M_K * -air_c * seconds / LATENT_J_M3;
        let end = (start * start + grown).sqrt();
        Self { thickness_mm: self.thickness_mm + (end - start) * 1000.0, ..*self }
    }
}

/// Growth over the next day at steady `air_c`, mm a day; negative while melting.
#[must_use]
pub fn ice_rate_mm_per_day(ice: &Ice, air_c: f64, film_w_m2k: f64) -> f64 {
    let after = ice.after(air_c, film_w_m2k, 24.0);
    after.thickness_mm - ice.thickness_mm
}
