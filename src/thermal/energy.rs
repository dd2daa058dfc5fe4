//! Pump and heater power over hours.

use super::material::constants::WATER_HEAT_J_KG_K;

/// Flow at `speed` as a share of full speed: Q ∝ N (affinity laws; DOE, Improving Pumping System
/// Performance, 2006, section 1, from memory).
#[must_use]
pub fn scaled_flow(full_flow: f64, speed_share: f64) -> f64 {
    full_flow * speed_share.max(0.0)
}

/// Power at `speed_share` of full speed: P ∝ N³ (affinity laws), with `standing_kw` drawn by motor
/// and drive whatever the speed. Real drives draw more than the cube at low speed.
#[must_use]
pub fn scaled_power_kw(full_kw: f64, speed_share: f64, standing_kw: f64) -> f64 {
    let share = speed_share.max(0.0);
    standing_kw + (full_kw - standing_kw).max(0.0) * share * share * share
}

/// Heat to raise `volume_l` litres by `rise_k`, kWh. A litre is taken for a kilogram.
#[must_use]
pub fn heating_kwh(volume_l: f64, rise_k: f64) -> f64 {
    volume_l * WATER_HEAT_J_KG_K * rise_k / 3.6e6
}

/// Fuel or current for `heat_kwh` of heat at `efficiency` (0.8 for a gas heater; the COP of a heat
/// pump; 1 for electric resistance), kWh.
#[must_use]
pub fn fuel_kwh(heat_kwh: f64, efficiency: f64) -> f64 {
    heat_kwh / efficiency.max(1e-3)
}

/// Gas heater output by rule of thumb: 12 Btu/h per ft² and °F of rise, for wind of about 1.5 m/s,
/// kW for `area_m2` and `rise_k` over the air.
///
/// DOE, Energy Saver, Gas Swimming Pool Heaters (sizing): 720 ft² × 25 °F × 12 = 216,000 Btu/h.
#[must_use]
pub fn gas_heater_output_kw(area_m2: f64, rise_k: f64) -> f64 {
    let btu_h = area_m2 / 0.092_903_04 * rise_k * 1.8 * 12.0;
    btu_h * 0.293_071_07e-3
}

/// How a heat pump fades as the air cools.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeatPump {
    /// COP as rated.
    pub rated_cop: f64,
    /// Air at rating, °C (26.7 °C, 80 °F).
    pub rated_air_c: f64,
    /// COP lost for each kelvin below it.
    pub lost_per_k: f64,
    /// Air below which it stops, °C.
    pub stops_below_c: f64,
}

/// COP at `air_c`; `None` where the heat pump stops. Linear between rating and stop.
#[must_use]
pub fn heat_pump_cop(pump: &HeatPump, air_c: f64) -> Option<f64> {
    let below = (pump.rated_air_c - air_c).max(0.0);
    (air_c >= pump.stops_below_c).then(|| (pump.rated_cop - pump.lost_per_k * below).max(1.0))
}
