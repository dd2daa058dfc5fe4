//! After the failure: what may have frozen by now, part by part, and how long the rest has.

use chrono::{DateTime, Duration, FixedOffset};

use super::super::pad::{Told, pad, pool_heat, wind_assumed, wind_told};
use super::tables::{Corner, PartTable};
use crate::clock::Moment;
use crate::knowledge::Equipment;
use crate::weather::{Hour, Site, Stated, hourly_curve, hours_duration};

/// What to take a part for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PartState {
    /// By now it is to be treated as frozen.
    TreatAsFrozen,
    /// Ice may have begun.
    MayHoldIce,
    /// Nothing can have frozen yet, even at the windy, clear-sky end of the band.
    StillLiquid,
}

/// One part after the failure. Hours count from now; negative ones lie behind.
#[derive(Clone, Debug, PartialEq)]
pub struct PartAfter {
    /// Its id.
    pub id: String,
    /// What people call it.
    pub title: String,
    /// What to take it for now.
    pub state: PartState,
    /// Hours until ice may begin: the early end of the band; `None` if not within what is looked ahead.
    pub ice_in_h: Option<f64>,
    /// Hours until it is at 0 °C by the best estimate.
    pub cool_in_h: Option<f64>,
    /// The same at the late end of the band.
    pub latest_in_h: Option<f64>,
    /// Hours until it is blocked right through, best estimate.
    pub blocked_in_h: Option<f64>,
    /// What breaks.
    pub breaks: String,
    /// How bad, 1 to 3.
    pub damage: f64,
}

/// The air as it was said.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirTold {
    /// When the flow stopped, °C.
    pub then_c: f64,
    /// Now, °C.
    pub now_c: f64,
    /// The low still to come, °C.
    pub low_ahead_c: Option<f64>,
}

/// The night as reconstructed.
#[derive(Clone, Debug, PartialEq)]
pub struct AfterFailure {
    /// Hours since the flow stopped.
    pub stopped_h: f64,
    /// The air.
    pub air: AirTold,
    /// The parts in the order of draining: first those that freeze first.
    pub parts: Vec<PartAfter>,
    /// What was taken for granted.
    pub assumed: Vec<String>,
}

/// Hours looked ahead from now.
const AHEAD_H: i32 = 96;

/// Reconstructs what happened since the flow stopped `stopped_h` ago, the air falling (or rising)
/// evenly to what it is now; from now on it falls to the low ahead by the usual curve of a night, or
/// stays as it is when none was said. `None` when drained.
#[must_use]
pub fn after_failure(
    equipment: &Equipment,
    told: &dyn Told,
    (at, site): (Moment, Site),
    stopped_h: f64,
    air: AirTold,
) -> Option<AfterFailure> {
    let pad = pad(equipment, told);
    if pad.parts.is_empty() {
        return None;
    }
    let heat = pool_heat(equipment, told);
    let wind = wind_told(equipment, told);
    let hours = hours(at, site, stopped_h, &air, wind);
    let from = heat.start_c;
    let spread = if heat.start_known { 0.5 } else { 4.0 };
    let mut parts: Vec<PartAfter> = pad
        .parts
        .iter()
        .map(|part| {
            let table = PartTable::new(equipment, part, &hours, wind);
            let colder = (from - spread).max(0.0);
            let low = table.times(Corner::Low, 0, colder).cool_h;
            let low = low.map(|hours| hours * table.skin_share(colder));
            let best = table.times(Corner::Best, 0, from);
            let high = table.times(Corner::High, 0, from + spread).cool_h;
            let past = |hours: Option<f64>| hours.is_some_and(|hours| hours <= stopped_h);
            let state = match (past(low), past(best.cool_h) && past(high)) {
                (_, true) => PartState::TreatAsFrozen,
                (true, false) => PartState::MayHoldIce,
                (false, false) => PartState::StillLiquid,
            };
            let ahead = |hours: Option<f64>| hours.map(|hours| hours - stopped_h);
            PartAfter {
                id: part.id.clone(),
                title: part.title.clone(),
                state,
                ice_in_h: ahead(low),
                cool_in_h: ahead(best.cool_h),
                latest_in_h: ahead(high),
                blocked_in_h: ahead(best.freeze_h),
                breaks: part.breaks.clone(),
                damage: part.damage,
            }
        })
        .collect();
    let by = |part: &PartAfter| part.ice_in_h.unwrap_or(f64::INFINITY);
    parts.sort_by(|a, b| by(a).total_cmp(&by(b)));
    let mut assumed = pad.assumed;
    assumed.extend(heat.assumed.into_iter().filter(|what| what.starts_with("water at")));
    if wind.is_none() {
        assumed.push(wind_assumed(equipment));
    }
    Some(AfterFailure { stopped_h, air, parts, assumed })
}

/// The hours from the stop on.
fn hours(at: Moment, site: Site, stopped_h: f64, air: &AirTold, wind: Option<f64>) -> Vec<Hour> {
    let start = at.time() - hours_duration(stopped_h);
    let ahead = air.low_ahead_c.filter(|low| *low < air.now_c).map(|low_c| {
        let stated =
            Stated { low_c, high_c: None, now_c: Some(air.now_c), wind_m_s: wind, cloud: None };
        let curve: Vec<Hour> = hourly_curve(&stated, at, site).hours().copied().collect();
        (low_c, curve)
    });
    let mut list = Vec::new();
    let mut lowest_seen = false;
    for step in 0..AHEAD_H {
        let middle = f64::from(step) + 0.5;
        let moment = start + Duration::hours(i64::from(step));
        let air_c = match &ahead {
            _ if middle < stopped_h => {
                air.then_c + (air.now_c - air.then_c) * middle / stopped_h.max(0.5)
            }
            // Once it is as cold as was said it is taken to stay so: nobody said that it thaws.
            Some((low_c, curve)) => {
                let value = if lowest_seen { *low_c } else { air_at(curve, moment, *low_c) };
                lowest_seen |= value <= low_c + 0.2;
                value.min(air.now_c)
            }
            None => air.now_c,
        };
        list.push(Hour { air_c: Some(air_c), wind_m_s: wind, ..Hour::empty(moment) });
    }
    list
}

/// The air of a curve at a moment; after its end `beyond`.
fn air_at(curve: &[Hour], moment: DateTime<FixedOffset>, beyond: f64) -> f64 {
    let next = curve.iter().find(|hour| hour.at >= moment);
    next.and_then(|hour| hour.air_c).unwrap_or(beyond)
}
