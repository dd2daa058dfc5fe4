//! What water, ice and the walls around them are made of.

/// Handbook constants of water and ice near 0 °C, and of the world around them.
///
/// Values as in the CRC Handbook of Chemistry and Physics (from memory); they are those of the
/// independent reference runs, so that a difference from these is one of method.
pub mod constants {
    /// Density of water at 0 °C, kg/m³.
    pub const WATER_DENSITY_KG_M3: f64 = 999.8;
    /// Specific heat of water near 0 °C, J/(kg K).
    pub const WATER_HEAT_J_KG_K: f64 = 4210.0;
    /// Conductivity of water at 0 °C, W/(m K).
    pub const WATER_CONDUCTIVITY_W_M_K: f64 = 0.56;
    /// Latent heat of fusion, J/kg.
    pub const FUSION_J_KG: f64 = 333_600.0;
    /// Conductivity of ice at 0 °C, W/(m K).
    pub const ICE_CONDUCTIVITY_W_M_K: f64 = 2.22;
    /// Specific heat of ice near 0 °C, J/(kg K).
    pub const ICE_HEAT_J_KG_K: f64 = 2050.0;
    /// Density of ice at 0 °C, kg/m³.
    pub const ICE_DENSITY_KG_M3: f64 = 917.0;
    /// Conductivity of settled snow, W/(m K); quoted from 0.04 (fresh) to 0.4 (old, wet).
    pub const SNOW_CONDUCTIVITY_W_M_K: f64 = 0.15;
    /// Stefan–Boltzmann constant, W/(m² K⁴) (CODATA 2018).
    pub const STEFAN_BOLTZMANN: f64 = 5.670_374e-8;
    /// 0 °C in kelvin.
    pub const ZERO_C_K: f64 = 273.15;
    /// Emissivity taken for plastics, water and ice outdoors.
    pub const EMISSIVITY: f64 = 0.9;
}

use constants::{
    FUSION_J_KG, ICE_CONDUCTIVITY_W_M_K, ICE_HEAT_J_KG_K, WATER_CONDUCTIVITY_W_M_K,
    WATER_DENSITY_KG_M3, WATER_HEAT_J_KG_K,
};

/// A solid of a wall or an insulation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Material {
    /// Conductivity, W/(m K).
    pub conductivity_w_m_k: f64,
    /// Density, kg/m³.
    pub density_kg_m3: f64,
    /// Specific heat, J/(kg K).
    pub heat_j_kg_k: f64,
}

impl Material {
    /// Heat held by a cubic metre for each kelvin, J/(m³ K).
    #[must_use]
    pub fn heat_j_m3_k(&self) -> f64 {
        self.density_kg_m3 * self.heat_j_kg_k
    }
}

/// What stands in a part: water, or water between grains.
///
/// Ice keeps the volume of the water it froze from: swelling is left out, as in the reference
/// runs, since it moves the answer by less than the wind does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Content {
    /// Conductivity while liquid, W/(m K).
    pub liquid_conductivity_w_m_k: f64,
    /// Conductivity when frozen, W/(m K).
    pub frozen_conductivity_w_m_k: f64,
    /// Heat of a cubic metre while liquid, J/(m³ K).
    pub liquid_heat_j_m3_k: f64,
    /// Heat of a cubic metre when frozen, J/(m³ K).
    pub frozen_heat_j_m3_k: f64,
    /// Latent heat of a cubic metre, J/m³.
    pub latent_j_m3: f64,
}

impl Content {
    /// Plain water.
    #[must_use]
    pub fn water() -> Self {
        Self {
            liquid_conductivity_w_m_k: WATER_CONDUCTIVITY_W_M_K,
            frozen_conductivity_w_m_k: ICE_CONDUCTIVITY_W_M_K,
            liquid_heat_j_m3_k: WATER_DENSITY_KG_M3 * WATER_HEAT_J_KG_K,
            frozen_heat_j_m3_k: WATER_DENSITY_KG_M3 * ICE_HEAT_J_KG_K,
            latent_j_m3: WATER_DENSITY_KG_M3 * FUSION_J_KG,
        }
    }

    /// Water filling the pores between grains of `grain`; `porosity` is the water's share of the
    /// volume (0–1). Conductivity by the geometric mean (Woodside & Messmer 1961, from memory).
    #[must_use]
    pub fn between_grains(grain: Material, porosity: f64) -> Self {
        let water = Self::water();
        let porosity = porosity.clamp(0.01, 1.0);
        let mean =
            |fluid: f64| grain.conductivity_w_m_k.powf(1.0 - porosity) * fluid.powf(porosity);
        let heat = |fluid: f64| (1.0 - porosity) * grain.heat_j_m3_k() + porosity * fluid;
        Self {
            liquid_conductivity_w_m_k: mean(water.liquid_conductivity_w_m_k),
            frozen_conductivity_w_m_k: mean(water.frozen_conductivity_w_m_k),
            liquid_heat_j_m3_k: heat(water.liquid_heat_j_m3_k),
            frozen_heat_j_m3_k: heat(water.frozen_heat_j_m3_k),
            latent_j_m3: porosity * water.latent_j_m3,
        }
    }
}
