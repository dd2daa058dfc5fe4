//! A winter by the hour: should this pool stay open, and what will it cost?

mod outage;
mod verdict;

pub use outage::Outage;
pub use verdict::{Cost, Verdict};

use outage::outages;

use chrono::{DateTime, FixedOffset, Timelike as _};

use super::night::{heat_pump, pool_hour};
use super::pad::{Told, pool_heat};
use crate::knowledge::Equipment;
use crate::thermal::{Cover, Ice, Pool, PoolState, heat_pump_cop, scaled_power_kw, step_hour};
use crate::weather::{Counts, Series, Site, counts};

/// Who starts the pump.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Control {
    /// It runs all winter.
    Always,
    /// A timer for some hours a day, and a freeze sensor.
    Sensor,
    /// Only at or below 40 °F.
    Cold,
}

/// What the user says of money and power.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tariff {
    /// Price of a kWh of current.
    pub electricity: Option<f64>,
    /// Price of a kWh of gas.
    pub gas: Option<f64>,
    /// Closing and reopening.
    pub close: Option<f64>,
    /// Upkeep of an open winter.
    pub upkeep: Option<f64>,
    /// Name of the currency.
    pub currency: String,
    /// Longest power failure to reckon with, h.
    pub outage_h: Option<f64>,
}

/// A day of the winter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WinterDay {
    /// Its noon.
    pub at: DateTime<FixedOffset>,
    /// Lowest air, °C.
    pub low_c: f64,
    /// Highest air, °C.
    pub high_c: f64,
    /// Water at noon, °C.
    pub water_c: f64,
    /// Ice at noon, mm.
    pub ice_mm: f64,
    /// Heat of the heater since the noon before, kWh.
    pub heater_kwh: f64,
}

/// What the pump takes at a speed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpeedEnergy {
    /// Speed, rpm.
    pub rpm: f64,
    /// Energy over the winter, kWh.
    pub kwh: f64,
    /// Whether the winter was reckoned at this speed.
    pub chosen: bool,
}

/// A cover compared.
#[derive(Clone, Debug, PartialEq)]
pub struct Covered {
    /// Its kind.
    pub id: String,
    /// Heat of the heater, kWh.
    pub heater_kwh: f64,
    /// Evaporation, mm.
    pub evaporation_mm: f64,
    /// Hours with ice on the pool.
    pub ice_h: usize,
}

/// A simulated winter.
#[derive(Clone, Debug, PartialEq)]
pub struct Winter {
    /// First and last hour.
    pub span: Option<(DateTime<FixedOffset>, DateTime<FixedOffset>)>,
    /// Freeze hours and gaps, of the weather as given.
    pub counts: Counts,
    /// Hours filled in.
    pub filled_h: usize,
    /// Pump hours always on, by timer and sensor, and at or below 40 °F only.
    pub pump_h: [usize; 3],
    /// Pump hours and energy by the control chosen.
    pub pump_hours: usize,
    /// Energy of the pump, kWh.
    pub pump_kwh: f64,
    /// The same at full speed, kWh.
    pub pump_full_kwh: f64,
    /// Heat of the heater, kWh.
    pub heater_kwh: f64,
    /// Gas or current for that, kWh.
    pub heater_input_kwh: f64,
    /// Whether that is gas.
    pub gas: bool,
    /// Water evaporated, mm.
    pub evaporation_mm: f64,
    /// Rain and snow, mm of water; `None` when the file has none.
    pub rain_mm: Option<f64>,
    /// Coldest water, °C.
    pub coldest_c: f64,
    /// Thickest ice, mm.
    pub thickest_ice_mm: f64,
    /// Hours with ice.
    pub ice_h: usize,
    /// Error of the energy balance, as a share of the heat moved.
    pub energy_error: f64,
    /// Hours the exposed run lasts in the worst hour; `None` without one, or without frost.
    pub shortest_h: Option<f64>,
    /// Outages of several lengths: the share of the freezing hours in which one reaches 0 °C in the run.
    pub outages: Vec<Outage>,
    /// Energy of the pump by speed over the hours of the control chosen.
    pub speeds: Vec<SpeedEnergy>,
    /// The days, for charts.
    pub days: Vec<WinterDay>,
    /// What was taken for granted.
    pub assumed: Vec<String>,
}

/// Simulates the hours of `filled` (no temperature missing) for the pool as it is equipped. `raw` is
/// what was read, for the counts.
#[must_use]
pub fn winter(
    equipment: &Equipment,
    told: &dyn Told,
    (raw, filled, filled_h): (&Series, &Series, usize),
    site: Site,
    (control, tariff): (Control, &Tariff),
) -> Winter {
    let heat = pool_heat(equipment, told);
    let runtime_h = told.number("pump.runtime").unwrap_or(6.0);
    let full_kw = told.number("pump.power").unwrap_or(equipment.pump.full_kw);
    let (share, standing) = speed(equipment, told);
    let mut run = Simulation::new(equipment, told, heat.pool, heat.start_c);
    let mut pump_h = [0usize; 3];
    for hour in filled.hours() {
        let cold = hour.air_c.is_some_and(|air| air <= equipment.night.action_c + 1e-6);
        let since_nine = (hour.at.hour() + 24 - 9) % 24;
        let by_timer = f64::from(since_nine) < runtime_h;
        for (count, runs) in pump_h.iter_mut().zip([true, cold || by_timer, cold]) {
            *count += usize::from(runs);
        }
        run.hour(hour.at, &pool_hour(equipment, hour, Some(site)));
    }
    let [always, sensor, below] = pump_h;
    let pump_hours = match control {
        Control::Always => always,
        Control::Sensor => sensor,
        Control::Cold => below,
    };
    let hours = crate::units::count(pump_hours);
    let (shortest_h, outages) = outages(equipment, told, filled, &run.water_c, tariff.outage_h);
    let has_rain = filled.hours().any(|hour| hour.rain_mm.is_some());
    let mut assumed = heat.assumed.clone();
    if told.number("pump.power").is_none() {
        assumed.push(format!("a pump that takes {full_kw} kW at full speed"));
    }
    Winter {
        span: raw.span(),
        counts: counts(raw),
        filled_h,
        pump_h,
        pump_hours,
        pump_kwh: hours * scaled_power_kw(full_kw, share, standing),
        pump_full_kwh: hours * full_kw,
        heater_kwh: run.heater_kwh,
        heater_input_kwh: run.input_kwh,
        gas: told.choice("heater.kind") == Some("gas"),
        evaporation_mm: run.evaporation_mm,
        rain_mm: has_rain.then(|| filled.hours().filter_map(|hour| hour.rain_mm).sum()),
        coldest_c: run.coldest_c,
        thickest_ice_mm: run.thickest_mm,
        ice_h: run.ice_h,
        energy_error: run.energy_error(),
        shortest_h,
        outages,
        speeds: speeds(equipment, told, hours, full_kw, share),
        days: run.days,
        assumed,
    }
}

/// The share of full speed that the pump runs at, and what its drive takes besides, kW.
fn speed(equipment: &Equipment, told: &dyn Told) -> (f64, f64) {
    let pump = &equipment.pump;
    let set = told.number("pump.speed").map(|rpm| (rpm / pump.full_rpm).clamp(0.05, 1.0));
    if told.flag("pump.variable_speed") == Some(true) || set.is_some_and(|set| set < 0.99) {
        (set.unwrap_or(pump.runs_at), pump.standing_kw)
    } else {
        (1.0, 0.0)
    }
}

/// The pump's energy at full speed, at the usual winter speed, at the least and at its own, by the
/// affinity laws, fastest first.
fn speeds(
    equipment: &Equipment,
    told: &dyn Told,
    hours: f64,
    full_kw: f64,
    chosen: f64,
) -> Vec<SpeedEnergy> {
    let pump = &equipment.pump;
    let fixed = told.flag("pump.variable_speed") == Some(false);
    let mut shares = if fixed { vec![1.0] } else { vec![1.0, pump.runs_at, pump.least_speed] };
    shares.push(chosen);
    shares.sort_by(|a, b| b.total_cmp(a));
    shares.dedup_by(|a, b| (*a - *b).abs() < 0.01);
    let energy = |share: f64| SpeedEnergy {
        rpm: (share * pump.full_rpm / 10.0).round() * 10.0,
        kwh: hours
            * scaled_power_kw(full_kw, share, if share < 0.99 { pump.standing_kw } else { 0.0 }),
        chosen: (share - chosen).abs() < 0.01,
    };
    shares.into_iter().map(energy).collect()
}

/// The covers compared over the same hours.
#[must_use]
pub fn covers(equipment: &Equipment, told: &dyn Told, filled: &Series, site: Site) -> Vec<Covered> {
    let heat = pool_heat(equipment, told);
    let hours: Vec<_> =
        filled.hours().map(|hour| (hour.at, pool_hour(equipment, hour, Some(site)))).collect();
    let compare = |def: &crate::knowledge::CoverDef| {
        let cover = Cover {
            evaporation: def.evaporation,
            resistance_m2k_w: def.resistance_m2k_w,
            sun: def.sun,
        };
        let mut run = Simulation::new(equipment, told, Pool { cover, ..heat.pool }, heat.start_c);
        for (at, hour) in &hours {
            run.hour(*at, hour);
        }
        Covered {
            id: def.id.clone(),
            heater_kwh: run.heater_kwh,
            evaporation_mm: run.evaporation_mm,
            ice_h: run.ice_h,
        }
    };
    equipment.covers.iter().map(compare).collect()
}

/// Lowest and highest air and heat of a day that has not begun.
const NEW_DAY: (f64, f64, f64) = (f64::INFINITY, f64::NEG_INFINITY, 0.0);

/// One pool through the hours.
struct Simulation<'e> {
    equipment: &'e Equipment,
    pool: Pool,
    heat_pump: bool,
    efficiency: f64,
    state: PoolState,
    started_with: f64,
    lost: f64,
    moved: f64,
    heater_kwh: f64,
    input_kwh: f64,
    evaporation_mm: f64,
    coldest_c: f64,
    thickest_mm: f64,
    ice_h: usize,
    water_c: Vec<f64>,
    days: Vec<WinterDay>,
    day: (f64, f64, f64),
}

impl<'e> Simulation<'e> {
    fn new(equipment: &'e Equipment, told: &dyn Told, pool: Pool, start_c: f64) -> Self {
        let settings = &equipment.heater;
        let (kw, efficiency) = match told.choice("heater.kind") {
            Some("gas") => (settings.gas_kw, settings.gas_efficiency),
            Some("electric") => (settings.electric_kw, 1.0),
            Some("heat-pump") => (settings.heat_pump_kw, settings.heat_pump_cop),
            _ => (0.0, 1.0),
        };
        let pool = Pool { heater_w: kw * 1000.0, ..pool };
        let state = PoolState { water_c: start_c, ice: Ice::default() };
        Self {
            equipment,
            heat_pump: told.choice("heater.kind") == Some("heat-pump"),
            efficiency,
            started_with: pool.energy_j_m2(&state),
            pool,
            state,
            lost: 0.0,
            moved: 0.0,
            heater_kwh: 0.0,
            input_kwh: 0.0,
            evaporation_mm: 0.0,
            coldest_c: start_c,
            thickest_mm: 0.0,
            ice_h: 0,
            water_c: Vec::new(),
            days: Vec::new(),
            day: NEW_DAY,
        }
    }

    fn hour(&mut self, at: DateTime<FixedOffset>, hour: &crate::thermal::PoolHour) {
        let mut pool = self.pool;
        let mut efficiency = self.efficiency;
        if self.heat_pump {
            match heat_pump_cop(&heat_pump(self.equipment), hour.air_c) {
                Some(cop) => efficiency = cop,
                None => pool.heater_w = 0.0,
            }
        }
        self.water_c.push(self.state.water_c);
        let (next, losses) = step_hour(&pool, &self.state, hour);
        let total = losses.total_w_m2() * 3600.0;
        self.lost += total;
        self.moved += total.abs();
        let heat_kwh = -losses.heater_w_m2 * pool.area_m2 / 1000.0;
        self.heater_kwh += heat_kwh;
        self.input_kwh += heat_kwh / efficiency;
        self.evaporation_mm += losses.evaporated_mm_h;
        self.state = next;
        self.coldest_c = self.coldest_c.min(next.water_c);
        self.thickest_mm = self.thickest_mm.max(next.ice.thickness_mm);
        self.ice_h += usize::from(next.ice.thickness_mm > 0.0);
        let (low_c, high_c, kwh) = self.day;
        self.day = (low_c.min(hour.air_c), high_c.max(hour.air_c), kwh + heat_kwh);
        if at.hour() == 12 {
            let (low_c, high_c, heater_kwh) = std::mem::replace(&mut self.day, NEW_DAY);
            let (water_c, ice_mm) = (next.water_c, next.ice.thickness_mm);
            self.days.push(WinterDay { at, low_c, high_c, water_c, ice_mm, heater_kwh });
        }
    }

    fn energy_error(&self) -> f64 {
        let change = self.started_with - self.pool.energy_j_m2(&self.state);
        (change - self.lost).abs() / self.moved.max(1.0)
    }
}
