//! A forecast made into a plan for one cold night, for one pool or for thousands.
//!
//! A [`Planner`] holds the forecast and the tables computed from it once for each kind of part
//! (`tables`); a pool's plan is then a scan through them. `heat` follows the pool's own water, `pump`
//! judges flow and speed, `judge` turns what was found into urgency, checks and cautions, and `after`
//! reconstructs a night in which the pump has stopped.

mod after;
mod forecast;
mod heat;
mod judge;
mod pump;
mod tables;

pub use after::{AfterFailure, AirTold, PartAfter, PartState, after_failure};
pub use forecast::stated_night;
pub use heat::HeaterNeed;
pub(in crate::plan) use heat::heat_pump;
pub use pump::SpeedNeed;

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::{DateTime, Duration, FixedOffset};

use super::pad::{Pad, PadPart, Told, pad, pool_heat, wind_assumed, wind_told};
use crate::clock::Moment;
use crate::knowledge::{Equipment, Knowledge, NightCheck, Range, Urgency, Winter};
use crate::thermal::{PoolHour, sky_temperature_c};
use crate::weather::{Hour, Site, Spell, clear_sky_w_m2, cloudy_share, sine_of_elevation};
use tables::{Corner, PartTable};

/// The fact whose range says where a freeze sensor should be set.
const SETPOINT: &str = "freeze_sensor.setpoint";

/// A stretch of hours.
#[derive(Clone, Debug, PartialEq)]
pub struct Window {
    /// Its first hour.
    pub from: DateTime<FixedOffset>,
    /// Its end.
    pub to: DateTime<FixedOffset>,
    /// How long, h.
    pub hours: f64,
    /// Lowest air in it, °C.
    pub lowest_c: f64,
}

/// How long one part lasts if the flow stops at the worst time.
#[derive(Clone, Debug, PartialEq)]
pub struct PartTime {
    /// Its id.
    pub id: String,
    /// What people call it.
    pub title: String,
    /// Hours until its water is at 0 °C: best estimate; `None` when not within the forecast.
    pub cool_h: Option<f64>,
    /// Hours until it is slush: best, earliest, latest.
    pub slush_h: [Option<f64>; 3],
    /// Hours until it is blocked.
    pub freeze_h: Option<f64>,
    /// Earliest and latest of that, h.
    pub freeze_band_h: [Option<f64>; 2],
    /// Earliest ice at its wall, h.
    pub low_h: Option<f64>,
    /// Latest 0 °C, h.
    pub high_h: Option<f64>,
    /// What breaks.
    pub breaks: String,
    /// How bad, 1 to 3.
    pub damage: f64,
}

impl PartTime {
    /// Whether it is dear to lose: a gauge's thin tube freezes within minutes and costs little.
    #[must_use]
    pub fn dear(&self) -> bool {
        self.damage >= 2.0
    }
}

/// The plan for one pool.
#[derive(Clone, Debug, PartialEq)]
pub struct NightPlan<'k> {
    /// The pool.
    pub pool: String,
    /// How soon something has to be done.
    pub urgency: Urgency,
    /// Lowest air ahead, °C, and when.
    pub lowest: Option<(f64, DateTime<FixedOffset>)>,
    /// Windows at or below 0 °C.
    pub freezing: Vec<Window>,
    /// Windows at or below the action temperature.
    pub action: Vec<Window>,
    /// When the pump runs, with margins.
    pub pump: Vec<Window>,
    /// The flow and speed that keep the exposed runs above freezing.
    pub speed: Option<SpeedNeed>,
    /// What a heater would have to do.
    pub heater: HeaterNeed,
    /// Thickest ice on the pool and the snow on it, mm, if any forms.
    pub ice: Option<(f64, f64)>,
    /// When a failure would be worst.
    pub worst_at: Option<DateTime<FixedOffset>>,
    /// How long the parts last from then on, soonest first.
    pub if_stopped: Vec<PartTime>,
    /// What to do, in order.
    pub checks: Vec<&'k NightCheck>,
    /// What to beware of.
    pub cautions: Vec<&'k NightCheck>,
    /// What was taken for granted.
    pub assumed: Vec<String>,
    /// Water in the exposed run if it stops at the worst time, °C by the hour; for the chart.
    pub stopped_water: Vec<(DateTime<FixedOffset>, f64)>,
}

impl NightPlan<'_> {
    /// Least hours in hand if the flow stops at the worst time, over the parts that are dear to lose:
    /// a gauge's thin tube freezes within minutes and costs little.
    #[must_use]
    pub fn in_hand_h(&self) -> Option<f64> {
        let dear = self.if_stopped.iter().filter(|part| part.dear());
        dear.filter_map(|part| part.low_h).min_by(f64::total_cmp)
    }

    /// Orders plans worst first: by urgency, then hours in hand, then name.
    #[must_use]
    pub fn before(&self, other: &NightPlan<'_>) -> std::cmp::Ordering {
        let hand = |plan: &NightPlan<'_>| plan.in_hand_h().unwrap_or(f64::INFINITY);
        (self.urgency.cmp(&other.urgency))
            .then(hand(self).total_cmp(&hand(other)))
            .then_with(|| self.pool.cmp(&other.pool))
    }
}

/// A forecast, and what has been computed from it.
#[derive(Debug)]
pub struct Planner<'k> {
    equipment: &'k Equipment,
    winter: &'k Winter,
    /// What the set point of a freeze sensor should be.
    sensor: Option<&'k Range>,
    at: Moment,
    hours: Vec<Hour>,
    pool_hours: Vec<PoolHour>,
    freezing: Vec<Window>,
    action: Vec<Window>,
    lowest: Option<(f64, DateTime<FixedOffset>)>,
    tables: BTreeMap<tables::Key, Arc<PartTable>>,
}

impl<'k> Planner<'k> {
    /// Prepares the hours ahead of `at` (filled, none missing). `site` places the sun.
    #[must_use]
    pub fn new(knowledge: &'k Knowledge, hours: Vec<Hour>, at: Moment, site: Option<Site>) -> Self {
        let equipment = &knowledge.equipment;
        let windows = |limit: f64| {
            crate::weather::spells_at_or_below(&hours, limit).iter().map(window).collect::<Vec<_>>()
        };
        let lowest = hours
            .iter()
            .filter_map(|hour| Some((hour.air_c?, hour.at)))
            .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        Self {
            equipment,
            winter: &knowledge.winter,
            sensor: knowledge
                .vocabulary
                .find(SETPOINT)
                .and_then(|fact| knowledge.range(fact, None)),
            at,
            freezing: windows(0.0),
            action: windows(equipment.night.action_c),
            lowest,
            pool_hours: hours.iter().map(|hour| pool_hour(equipment, hour, site)).collect(),
            hours,
            tables: BTreeMap::new(),
        }
    }

    /// The hours planned for.
    #[must_use]
    pub fn hours(&self) -> &[Hour] {
        &self.hours
    }

    /// Plans for one pool.
    pub fn plan(&mut self, name: &str, told: &dyn Told) -> NightPlan<'k> {
        let pad = pad(self.equipment, told);
        let heat = pool_heat(self.equipment, told);
        let stated_wind = wind_told(self.equipment, told);
        let warmed = heat::follow(self.equipment, &heat, &self.pool_hours, told);
        let (worst, if_stopped, water) = self.if_stopped(&pad, &warmed.water_c, stated_wind);
        let speed = pump::speed_need(self, &pad, &warmed, told);
        let found = judge::found(self, told, &pad, &warmed, speed.as_ref());
        let mut assumed = pad.assumed.clone();
        assumed.extend(heat.assumed);
        if stated_wind.is_none() && self.hours.iter().all(|hour| hour.wind_m_s.is_none()) {
            assumed.push(wind_assumed(self.equipment));
        }
        if pad.parts.is_empty() {
            assumed.clear();
        }
        NightPlan {
            pool: name.to_owned(),
            urgency: judge::urgency(self, &found),
            lowest: self.lowest,
            freezing: self.freezing.clone(),
            action: self.action.clone(),
            pump: if pad.parts.is_empty() { Vec::new() } else { self.pump_windows() },
            speed,
            heater: warmed.need,
            ice: warmed.ice,
            worst_at: worst,
            if_stopped,
            checks: judge::checks(self.winter, &found),
            cautions: judge::cautions(self.winter, &found),
            assumed,
            stopped_water: water,
        }
    }

    /// The action windows with the margin before and after, joined where they meet.
    fn pump_windows(&self) -> Vec<Window> {
        let margin = crate::weather::hours_duration(self.equipment.night.margin_h);
        let mut joined: Vec<Window> = Vec::new();
        for window in &self.action {
            let from = (window.from - margin).max(self.at.time().min(window.from));
            let to = window.to + margin;
            match joined.last_mut() {
                Some(last) if last.to >= from => {
                    last.to = to;
                    last.lowest_c = last.lowest_c.min(window.lowest_c);
                }
                _ => joined.push(Window { from, to, hours: 0.0, lowest_c: window.lowest_c }),
            }
        }
        for window in &mut joined {
            window.hours = Moment::new(window.to).hours_since(Moment::new(window.from));
        }
        joined
    }

    /// The table of a part under this forecast, computed once for each kind of part.
    fn table(&mut self, part: &PadPart, stated_wind: Option<f64>) -> Arc<PartTable> {
        let key = tables::key(part, stated_wind);
        if let Some(table) = self.tables.get(&key) {
            return Arc::clone(table);
        }
        let table = Arc::new(PartTable::new(self.equipment, part, &self.hours, stated_wind));
        self.tables.insert(key, Arc::clone(&table));
        table
    }

    /// The worst moment for the flow to stop, how long each part then lasts, and the water in the
    /// exposed run from then on.
    #[expect(
        clippy::type_complexity,
        reason = "three things found in one scan, taken apart at once"
    )]
    fn if_stopped(
        &mut self,
        pad: &Pad,
        water_c: &[f64],
        stated_wind: Option<f64>,
    ) -> (Option<DateTime<FixedOffset>>, Vec<PartTime>, Vec<(DateTime<FixedOffset>, f64)>) {
        let tables: Vec<_> =
            pad.parts.iter().map(|part| (part, self.table(part, stated_wind))).collect();
        let quickest = tables.iter().min_by(|a, b| a.1.slow_s().total_cmp(&b.1.slow_s()));
        let Some((_, quickest)) = quickest else { return (None, Vec::new(), Vec::new()) };
        let worst = quickest.worst_start(water_c);
        let Some(start) = worst else { return (None, Vec::new(), Vec::new()) };
        let from = water_c.get(start).copied().unwrap_or(self.equipment.pool.start_c);
        let mut times: Vec<PartTime> = tables
            .iter()
            .map(|(part, table)| {
                let best = table.times(Corner::Best, start, from);
                let low = table.times(Corner::Low, start, (from - 0.5).max(0.0));
                let high = table.times(Corner::High, start, from + 0.5);
                PartTime {
                    id: part.id.clone(),
                    title: part.title.clone(),
                    cool_h: best.cool_h,
                    slush_h: [best.slush_h, low.slush_h, high.slush_h],
                    freeze_h: best.freeze_h,
                    freeze_band_h: [low.freeze_h, high.freeze_h],
                    low_h: low.cool_h.map(|hours| hours * table.skin_share(from)),
                    high_h: high.cool_h,
                    breaks: part.breaks.clone(),
                    damage: part.damage,
                }
            })
            .collect();
        times.sort_by(|a, b| {
            let order = |part: &PartTime| part.cool_h.unwrap_or(f64::INFINITY);
            order(a).total_cmp(&order(b)).then(b.damage.total_cmp(&a.damage))
        });
        let run = tables.iter().find(|(part, _)| part.run_m.is_some());
        let water = run.map_or_else(Vec::new, |(_, table)| {
            let path = table.water(start, from);
            self.hours.iter().skip(start).map(|hour| hour.at).zip(path).collect()
        });
        (self.hours.get(start).map(|hour| hour.at), times, water)
    }
}

/// A spell of whole hours as a window: its last hour counts to its end.
fn window(spell: &Spell) -> Window {
    Window {
        from: spell.from,
        to: spell.to + Duration::hours(1),
        hours: crate::units::count(spell.hours),
        lowest_c: spell.lowest_c,
    }
}

/// An hour as the pool sees it; what is not known is taken from `equipment.toml`.
pub(super) fn pool_hour(equipment: &Equipment, hour: &Hour, site: Option<Site>) -> PoolHour {
    let settings = &equipment.pool;
    let air_c = hour.air_c.unwrap_or(0.0);
    let humidity = hour.humidity.unwrap_or(settings.humidity);
    let cloud = hour.cloud.unwrap_or(settings.cloud);
    let sky_c = hour.sky_w_m2.map_or_else(
        || sky_temperature_c(air_c, humidity, cloud),
        |flux| (flux / crate::thermal::constants::STEFAN_BOLTZMANN).powf(0.25) - 273.15,
    );
    let sun = hour.sun_w_m2.or_else(|| {
        site.map(|site| clear_sky_w_m2(sine_of_elevation(site, hour.at)) * cloudy_share(cloud))
    });
    // Below half a degree it falls as snow: ten times its depth as water, settled to half.
    let wet = hour.rain_mm.unwrap_or(0.0);
    let (rain_mm, snow_mm) = if air_c > 0.5 { (wet, 0.0) } else { (0.0, 5.0 * wet) };
    PoolHour {
        air_c,
        humidity,
        wind_m_s: hour.wind_m_s.unwrap_or(settings.wind_m_s),
        sky_c,
        sun_w_m2: sun.unwrap_or(0.0),
        rain_mm,
        snow_mm,
    }
}
