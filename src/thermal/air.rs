//! Outside air: its properties, its moisture, and the sky above it.

use super::material::constants::ZERO_C_K;

/// Dry air at one atmosphere.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DryAir {
    /// Density, kg/m³.
    pub density_kg_m3: f64,
    /// Dynamic viscosity, Pa s.
    pub viscosity_pa_s: f64,
    /// Conductivity, W/(m K).
    pub conductivity_w_m_k: f64,
    /// Prandtl number.
    pub prandtl: f64,
    /// Absolute temperature, K.
    pub temperature_k: f64,
}

const PRESSURE_PA: f64 = 101_325.0;
const GAS_CONSTANT_J_KG_K: f64 = 287.05;
const AIR_HEAT_J_KG_K: f64 = 1006.0;

/// Dry air at 101.325 kPa and `temperature_c`.
///
/// Viscosity and conductivity: US Standard Atmosphere 1976, part 1, equations 51 and 53.
/// Specific heat 1006 J/(kg K). Valid from −60 to 60 °C.
#[must_use]
pub fn dry_air(temperature_c: f64) -> DryAir {
    let kelvin = (temperature_c + ZERO_C_K).max(100.0);
    let viscosity = 1.458e-6 * kelvin.powf(1.5) / (kelvin + 110.4);
    let conductivity =
        2.646_38e-3 * kelvin.powf(1.5) / (kelvin + 245.4 * 10f64.powf(-12.0 / kelvin));
    DryAir {
        density_kg_m3: PRESSURE_PA / (GAS_CONSTANT_J_KG_K * kelvin),
        viscosity_pa_s: viscosity,
        conductivity_w_m_k: conductivity,
        prandtl: AIR_HEAT_J_KG_K * viscosity / conductivity,
        temperature_k: kelvin,
    }
}

/// Saturation pressure of water vapour over liquid water, kPa.
///
/// WMO-No. 8, Guide to Meteorological Instruments and Methods of Observation, 2008, annex 4.B.
/// Valid from −45 to 60 °C.
#[must_use]
pub fn vapour_pressure_kpa(temperature_c: f64) -> f64 {
    let t = temperature_c.clamp(-90.0, 100.0);
    0.6112 * (17.62 * t / (243.12 + t)).exp()
}

/// Dew point of air at `air_c` and relative humidity `humidity` (0–1), °C. The inverse of
/// [`vapour_pressure_kpa`].
#[must_use]
pub fn dew_point_c(air_c: f64, humidity: f64) -> f64 {
    let pressure = vapour_pressure_kpa(air_c) * humidity.clamp(0.01, 1.0);
    let x = (pressure / 0.6112).ln();
    243.12 * x / (17.62 - x)
}

/// Temperature of the sky as a black body, °C; `cloud` is the share of sky covered (0–1),
/// `humidity` relative (0–1).
///
/// Clear sky by Clark & Allen 1978 (emissivity 0.787 + 0.764 ln(dew point / 273 K)), clouds by
/// Walton 1983 (polynomial in tenths). Both from memory. Never above the air.
#[must_use]
pub fn sky_temperature_c(air_c: f64, humidity: f64, cloud: f64) -> f64 {
    let dew_k = dew_point_c(air_c, humidity) + ZERO_C_K;
    let clear = 0.787 + 0.764 * (dew_k / 273.0).ln();
    let n = cloud.clamp(0.0, 1.0) * 10.0;
    let clouded = clear * (1.0 + 0.0224 * n - 0.0035 * n * n + 0.000_28 * n * n * n);
    let emissivity = clouded.clamp(0.4, 1.0);
    (air_c + ZERO_C_K) * emissivity.sqrt().sqrt() - ZERO_C_K
}

/// Latent heat of evaporation at `water_c`, kJ/kg (2501 − 2.36 T, from memory; steam tables give
/// 2500.9 at 0 °C and 2430 at 30 °C).
#[must_use]
pub fn latent_heat_kj_kg(water_c: f64) -> f64 {
    2501.0 - 2.36 * water_c
}
