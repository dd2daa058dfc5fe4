//! After the failure: what may have frozen by now, part by part.

use chrono::Duration;

use super::super::pad::{Told, pad, pool_heat, wind_told};
use super::tables::{Corner, PartTable};
use crate::clock::Moment;
use crate::knowledge::Equipment;
use crate::weather::{Hour, hours_duration};

/// What to take a part for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PartState {
    /// Nothing can have frozen yet, even at the windy, clear-sky end of the band.
    StillLiquid,
    /// Ice may have begun.
    MayHoldIce,
    /// By now it is to be treated as frozen.
    TreatAsFrozen,
}

impl PartState {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::StillLiquid => "still liquid",
            Self::MayHoldIce => "may hold ice",
            Self::TreatAsFrozen => "treat as frozen",
        }
    }
}

/// One part after the failure.
#[derive(Clone, Debug, PartialEq)]
pub struct PartAfter {
    /// Its id.
    pub id: String,
    /// What people call it.
    pub title: String,
    /// What to take it for now.
    pub state: PartState,
    /// Hours from now until ice may begin, if that lies ahead.
    pub ice_in_h: Option<f64>,
    /// Hours from now until it is at 0 °C by the best estimate, if that lies ahead.
    pub cool_in_h: Option<f64>,
    /// What breaks.
    pub breaks: String,
}

/// The night as reconstructed.
#[derive(Clone, Debug, PartialEq)]
pub struct AfterFailure {
    /// Hours since the flow stopped.
    pub stopped_h: f64,
    /// Air then and now, °C.
    pub air_c: (f64, f64),
    /// The parts in the order of draining: first those that freeze first.
    pub parts: Vec<PartAfter>,
    /// What was taken for granted.
    pub assumed: Vec<String>,
}

/// Hours looked ahead from now, the air staying as it is.
const AHEAD_H: i64 = 48;

/// Reconstructs what happened since the flow stopped `stopped_h` ago, the air falling (or rising)
/// evenly from `air_then_c` to `air_now_c` and staying there. `None` when drained.
#[must_use]
pub fn after_failure(
    equipment: &Equipment,
    told: &dyn Told,
    at: Moment,
    stopped_h: f64,
    air_c: (f64, f64),
) -> Option<AfterFailure> {
    let pad = pad(equipment, told);
    if pad.parts.is_empty() {
        return None;
    }
    let heat = pool_heat(equipment, told);
    let wind = wind_told(equipment, told);
    let start = at.time() - hours_duration(stopped_h);
    let steps = (0..AHEAD_H + 24 * 4).map(|step| {
        let hours = f64::from(i32::try_from(step).unwrap_or(0)) + 0.5;
        let share = if stopped_h > 0.0 { (hours / stopped_h).min(1.0) } else { 1.0 };
        let air = air_c.0 + (air_c.1 - air_c.0) * share;
        Hour { air_c: Some(air), wind_m_s: wind, ..Hour::empty(start + Duration::hours(step)) }
    });
    let hours: Vec<Hour> = steps.collect();
    let from = heat.start_c;
    let spread = if heat.start_known { 0.5 } else { 4.0 };
    let mut timed: Vec<(f64, PartAfter)> = pad
        .parts
        .iter()
        .map(|part| {
            let table = PartTable::new(equipment, part, &hours, wind);
            let colder = (from - spread).max(0.0);
            let low = table.times(Corner::Low, 0, colder).cool_h;
            let low = low.map(|hours| hours * table.skin_share(colder));
            let best = table.times(Corner::Best, 0, from).cool_h;
            let high = table.times(Corner::High, 0, from + spread).cool_h;
            let past = |hours: Option<f64>| hours.is_some_and(|hours| hours <= stopped_h);
            let state = match (past(low), past(best) && past(high)) {
                (_, true) => PartState::TreatAsFrozen,
                (true, false) => PartState::MayHoldIce,
                (false, false) => PartState::StillLiquid,
            };
            let ahead =
                |hours: Option<f64>| hours.map(|hours| hours - stopped_h).filter(|h| *h > 0.0);
            let after = PartAfter {
                id: part.id.clone(),
                title: part.title.clone(),
                state,
                ice_in_h: ahead(low),
                cool_in_h: ahead(best),
                breaks: part.breaks.clone(),
            };
            (low.unwrap_or(f64::INFINITY), after)
        })
        .collect();
    timed.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut assumed = pad.assumed;
    assumed.extend(heat.assumed);
    if wind.is_none() {
        assumed.push(format!("wind of {} m/s", equipment.pool.wind_m_s));
    }
    let parts = timed.into_iter().map(|(_, part)| part).collect();
    Some(AfterFailure { stopped_h, air_c, parts, assumed })
}
