//! The pool's own water through the hours ahead, and what a heater would have to do.

use super::super::pad::{PoolHeat, Told};
use crate::knowledge::Equipment;
use crate::thermal::{
    HeatPump, Ice, Pool, PoolHour, PoolState, fuel_kwh, heat_pump_cop, heating_kwh, step_hour,
};

/// What a heater would have to do to hold the water.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct HeaterNeed {
    /// Whether moving water alone is not enough.
    pub needed: bool,
    /// Most power to hold it, kW of heat.
    pub kw: f64,
    /// Heat over the hours ahead, kWh.
    pub kwh: f64,
    /// Gas or current for that, kWh, by the heater that is there.
    pub input_kwh: Option<f64>,
    /// Heat of the heater that is there, kW; `None` when none is known.
    pub has_kw: Option<f64>,
    /// Coldest water without it, °C.
    pub coldest_c: f64,
    /// What it would hold, °C.
    pub hold_c: f64,
}

/// The water hour by hour without a heater, and the need of one.
#[derive(Clone, Debug)]
pub(super) struct Followed {
    pub(super) water_c: Vec<f64>,
    pub(super) need: HeaterNeed,
    /// A heat pump that stops in this air.
    pub(super) heat_pump_stops: bool,
    /// Thickest ice on the pool and the snow on it then, mm.
    pub(super) ice: Option<(f64, f64)>,
    /// First hour in which moving water alone is not enough.
    pub(super) not_enough_at: Option<usize>,
}

pub(super) fn follow(
    equipment: &Equipment,
    heat: &PoolHeat,
    hours: &[PoolHour],
    told: &dyn Told,
) -> Followed {
    let night = &equipment.night;
    let mut state = PoolState { water_c: heat.start_c, ice: Ice::default() };
    let mut water_c = Vec::with_capacity(hours.len() + 1);
    water_c.push(state.water_c);
    let mut ice: Option<(f64, f64)> = None;
    for hour in hours {
        state = step_hour(&heat.pool, &state, hour).0;
        water_c.push(state.water_c);
        if state.ice.thickness_mm > ice.map_or(0.0, |(thick, _)| thick) {
            ice = Some((state.ice.thickness_mm, state.ice.snow_mm));
        }
    }
    let coldest_c = water_c.iter().copied().fold(f64::INFINITY, f64::min);
    let not_enough_at = water_c.iter().position(|water| *water < night.last_water_c);
    let held = hold(&heat.pool, heat.start_c.max(night.hold_c), night.hold_c, hours);
    let first = heating_kwh(heat.pool.volume_l, (night.hold_c - heat.start_c).max(0.0));
    let (has_kw, input, heat_pump_stops) = heater(equipment, told, hours);
    let needed = not_enough_at.is_some();
    let kwh = held.1 + if needed { first } else { 0.0 };
    Followed {
        need: HeaterNeed {
            needed,
            kw: held.0,
            kwh,
            input_kwh: input.map(|efficiency| fuel_kwh(kwh, efficiency)),
            has_kw,
            coldest_c,
            hold_c: night.hold_c,
        },
        water_c,
        ice,
        heat_pump_stops,
        not_enough_at,
    }
}

/// Most power, kW, and heat, kWh, to hold `hold_c` from `start_c` on.
fn hold(pool: &Pool, start_c: f64, hold_c: f64, hours: &[PoolHour]) -> (f64, f64) {
    let heated = Pool { heater_w: 1e9, hold_c, ..*pool };
    let mut state = PoolState { water_c: start_c, ice: Ice::default() };
    let (mut most, mut sum) = (0.0f64, 0.0);
    for hour in hours {
        let (next, losses) = step_hour(&heated, &state, hour);
        let kw = -losses.heater_w_m2 * pool.area_m2 / 1000.0;
        most = most.max(kw);
        sum += kw;
        state = next;
    }
    (most, sum)
}

/// Heat that the heater gives, kW, its efficiency in the coldest hour, and whether the cold stops it.
fn heater(
    equipment: &Equipment,
    told: &dyn Told,
    hours: &[PoolHour],
) -> (Option<f64>, Option<f64>, bool) {
    let settings = &equipment.heater;
    match told.choice("heater.kind") {
        Some("gas") => (Some(settings.gas_kw), Some(settings.gas_efficiency), false),
        Some("electric") => (Some(settings.electric_kw), Some(1.0), false),
        Some("heat-pump") => {
            let coldest = hours.iter().map(|hour| hour.air_c).fold(f64::INFINITY, f64::min);
            let cop = heat_pump_cop(&heat_pump(equipment), coldest);
            (cop.map(|_| settings.heat_pump_kw), cop, cop.is_none())
        }
        _ => (None, None, false),
    }
}

/// The heat pump of `equipment.toml`.
pub(in crate::plan) fn heat_pump(equipment: &Equipment) -> HeatPump {
    let settings = &equipment.heater;
    HeatPump {
        rated_cop: settings.heat_pump_cop,
        rated_air_c: settings.heat_pump_rated_c,
        lost_per_k: settings.heat_pump_lost_per_k,
        stops_below_c: settings.heat_pump_stops_c,
    }
}
