//! What the plan has found, and what it calls for.

use std::collections::BTreeSet;

use super::super::pad::{Pad, Told};
use super::heat::Followed;
use super::{Planner, SETPOINT, SpeedNeed};
use crate::clock::Moment;
use crate::knowledge::{BandSet, CheckAt, Found, NightCheck, Urgency, Winter};

pub(super) fn found(
    planner: &Planner<'_>,
    told: &dyn Told,
    pad: &Pad,
    warmed: &Followed,
    speed: Option<&SpeedNeed>,
) -> BTreeSet<Found> {
    let mut found = BTreeSet::new();
    let mut note = |holds: bool, what: Found| {
        if holds {
            found.insert(what);
        }
    };
    if pad.parts.is_empty() && told.flag("plumbing.drained") == Some(true) {
        note(true, Found::Drained);
        return found;
    }
    note(ends_early(planner), Found::EndsEarly);
    let cold = !planner.action.is_empty();
    if !cold {
        note(true, Found::Warm);
        return found;
    }
    let freezing = !planner.freezing.is_empty();
    note(true, Found::Action);
    note(freezing, Found::Freezing);
    sensor(planner, told, &mut note);
    note(told.flag("timer.fitted") == Some(true), Found::Timer);
    note(freezing && told.flag("pump.variable_speed") == Some(true), Found::VariableSpeed);
    note(speed.is_some_and(|speed| speed.too_low), Found::SpeedLow);
    note(freezing && warmed.need.needed, Found::HeaterNeeded);
    note(freezing && warmed.heat_pump_stops, Found::HeatPumpTooCold);
    note(freezing && warmed.not_enough_at.is_some(), Found::DeepFreeze);
    let feature = told.flag("feature.fitted") == Some(true);
    note(freezing && feature && told.flag("feature.drained") != Some(true), Found::Feature);
    let has_cover = told.choice("cover.kind").is_some_and(|kind| kind != "none");
    note(freezing && has_cover && told.flag("cover.on") == Some(false), Found::CoverOff);
    note(freezing && told.flag("pump.running") == Some(false), Found::Stopped);
    found
}

fn sensor(planner: &Planner<'_>, told: &dyn Told, note: &mut impl FnMut(bool, Found)) {
    match told.flag("freeze_sensor.fitted") {
        None => note(true, Found::SensorUnknown),
        Some(false) => note(true, Found::SensorMissing),
        Some(true) => {
            let set = told.number(SETPOINT).zip(planner.sensor);
            let band = set.map(|(set, range)| range.band(set));
            note(band.is_some_and(|band| band < BandSet::OK), Found::SensorLow);
            note(band.is_some_and(|band| band > BandSet::OK), Found::SensorHigh);
            note(told.flag("freeze_sensor.tested") == Some(false), Found::SensorUntested);
            let warm = matches!(told.choice("freeze_sensor.placement"), Some("sun" | "indoors"));
            note(warm, Found::SensorSun);
        }
    }
}

/// Whether the hours end before the night does.
fn ends_early(planner: &Planner<'_>) -> bool {
    let end = planner.hours.last().map(|hour| Moment::new(hour.at).hours_since(planner.at) + 1.0);
    end.is_none_or(|end| end < planner.equipment.night.tonight_h)
}

/// How soon: a frost tonight with something not in order, or the pump standing in one, is now.
pub(super) fn urgency(planner: &Planner<'_>, found: &BTreeSet<Found>) -> Urgency {
    // Of the hours that are missing nobody knows whether they freeze.
    let blind = found.contains(&Found::EndsEarly);
    if found.contains(&Found::Drained) || (found.contains(&Found::Warm) && !blind) {
        return Urgency::Info;
    }
    let Some(frost) = planner.freezing.first() else {
        return if blind { Urgency::Today } else { Urgency::Routine };
    };
    let night = &planner.equipment.night;
    let wait_h = Moment::new(frost.from).hours_since(planner.at);
    let out_of_order = [
        Found::SensorUnknown,
        Found::SensorMissing,
        Found::SensorLow,
        Found::SensorUntested,
        Found::SensorSun,
        Found::Timer,
        Found::SpeedLow,
        Found::HeaterNeeded,
        Found::DeepFreeze,
        Found::Stopped,
    ];
    let trouble = out_of_order.iter().any(|what| found.contains(what));
    match (trouble, wait_h) {
        (true, wait) if wait <= night.tonight_h => Urgency::Now,
        (_, wait) if wait <= night.soon_h => Urgency::Today,
        _ => Urgency::Week,
    }
}

/// The checks that what was found calls for: at once, before bed, at first light.
pub(super) fn checks<'k>(winter: &'k Winter, found: &BTreeSet<Found>) -> Vec<&'k NightCheck> {
    let mut checks: Vec<&NightCheck> =
        winter.checks.iter().filter(|check| found.contains(&check.when)).collect();
    checks.sort_by_key(|check| check.at.unwrap_or(CheckAt::Now));
    checks
}

pub(super) fn cautions<'k>(winter: &'k Winter, found: &BTreeSet<Found>) -> Vec<&'k NightCheck> {
    winter.cautions.iter().filter(|caution| found.contains(&caution.when)).collect()
}
