//! The flow and the speed that keep every exposed run above freezing.

use super::super::pad::{Pad, Told, exposure, wind_told};
use super::Planner;
use super::heat::Followed;
use crate::thermal::{MovingRun, least_flow_l_min, outside_film, scaled_flow, scaled_power_kw};

/// What the pump must give.
#[derive(Clone, Debug, PartialEq)]
pub struct SpeedNeed {
    /// Least flow through the exposed run at the worst hour, L/min; `None` when no flow is enough.
    pub least_l_min: Option<f64>,
    /// Least speed, rpm: by flow, and never below what proves flow in every branch.
    pub least_rpm: f64,
    /// Power at that speed, kW.
    pub kw: f64,
    /// Whether the set speed is lower.
    pub too_low: bool,
    /// Water at the end of the run at the set (or least) speed in the worst hour, °C.
    pub outlet_c: f64,
}

/// Judges the speed by the windiest likely and coldest hour; `None` without an exposed run or cold.
pub(super) fn speed_need(
    planner: &Planner<'_>,
    pad: &Pad,
    warmed: &Followed,
    told: &dyn Told,
) -> Option<SpeedNeed> {
    let (lowest_c, _) = planner.lowest.filter(|(air, _)| *air < 0.0)?;
    let equipment = planner.equipment;
    let settings = &equipment.pump;
    let part = pad.parts.iter().find(|part| part.run_m.is_some())?;
    let wind = planner
        .hours
        .iter()
        .filter_map(|hour| hour.wind_m_s)
        .max_by(f64::total_cmp)
        .or(wind_told(equipment, told));
    let out = exposure(equipment, part, lowest_c, wind, (0.0, 0.0, 0.0));
    let film = outside_film(
        part.body.outside_diameter_m(),
        out.wind_range_m_s.1,
        lowest_c,
        out.clearest_sky_c,
        out.sky_view,
    );
    let run = MovingRun::new(&part.body, part.run_m?, film.total_w_m2k, film.surroundings_c);
    let inlet = warmed.need.coldest_c;
    let least_l_min = least_flow_l_min(&run, inlet, equipment.night.keep_water_c);
    let full = settings.full_flow_l_min * settings.branch_share;
    let by_flow = least_l_min.map_or(1.0, |flow| flow / full);
    let share = by_flow.max(settings.least_speed).min(1.0);
    let least_rpm = (share * settings.full_rpm / 50.0).ceil() * 50.0;
    let set = told.number("pump.speed");
    let at = set.unwrap_or(least_rpm) / settings.full_rpm;
    let full_kw = told.number("pump.power").unwrap_or(settings.full_kw);
    Some(SpeedNeed {
        least_l_min,
        least_rpm,
        kw: scaled_power_kw(full_kw, least_rpm / settings.full_rpm, settings.standing_kw),
        too_low: set.is_some_and(|set| set < least_rpm - 25.0),
        outlet_c: run.outlet_c(inlet, scaled_flow(full, at)),
    })
}
