//! `brumal.season/1`.

use super::super::json::line;
use super::super::night::rounded;
use super::Season;
use crate::plan::{Covered, Outage, SpeedEnergy};
use serde::Serialize;
use std::io::{self, Write};

#[derive(Serialize)]
#[expect(non_snake_case, reason = "the contract's names")]
struct Shape<'a> {
    schema: &'static str,
    pool: &'a str,
    from: Option<String>,
    to: Option<String>,
    hours: usize,
    missing_hours: usize,
    hours_at_or_below_4_4C: usize,
    hours_at_or_below_0C: usize,
    longest_freeze_h: usize,
    lowest: Option<f64>,
    pump_hours: usize,
    pump_hours_always: usize,
    pump_hours_sensor: usize,
    pump_hours_below_40F: usize,
    pump_kwh: f64,
    pump_full_speed_kwh: f64,
    heater_kwh: f64,
    heater_input_kwh: f64,
    evaporation_mm: f64,
    rain_mm: Option<f64>,
    coldest_water: f64,
    thickest_ice_mm: f64,
    shortest_h: Option<f64>,
    outage_share: Option<f64>,
    outages: Vec<OutageShape>,
    speeds: Vec<SpeedShape>,
    energy_error: f64,
    covers: Vec<CoverShape<'a>>,
    cost: CostShape<'a>,
    verdict: &'static str,
    lead: &'a str,
    because: &'a [String],
    tips: &'a [String],
    assumed: Vec<&'a String>,
}

#[derive(Serialize)]
struct CoverShape<'a> {
    cover: &'a str,
    heater_kwh: f64,
    evaporation_mm: f64,
    ice_hours: usize,
}

#[derive(Serialize)]
struct OutageShape {
    hours: f64,
    share: f64,
}

#[derive(Serialize)]
struct SpeedShape {
    rpm: f64,
    kwh: f64,
    chosen: bool,
}

#[derive(Serialize)]
struct CostShape<'a> {
    stay_open: f64,
    close: Option<f64>,
    currency: &'a str,
    lines: Vec<CostLine<'a>>,
    unpriced: &'a [String],
}

#[derive(Serialize)]
struct CostLine<'a> {
    what: &'a str,
    amount: f64,
}

/// Writes it as one line of JSON (`brumal.season/1`).
///
/// # Errors
/// The writer's.
pub fn season_json(out: &mut dyn Write, season: &Season<'_>) -> io::Result<()> {
    let winter = season.winter;
    let [always, sensor, below] = winter.pump_h;
    let asked = winter.outages.iter().find(|outage| outage.asked);
    let shape = Shape {
        schema: "brumal.season/1",
        pool: season.pool,
        from: winter.span.map(|span| span.0.to_rfc3339()),
        to: winter.span.map(|span| span.1.to_rfc3339()),
        hours: winter.counts.hours,
        missing_hours: winter.counts.missing_hours,
        hours_at_or_below_4_4C: winter.counts.at_or_below_4_4c,
        hours_at_or_below_0C: winter.counts.at_or_below_0c,
        longest_freeze_h: winter.counts.longest_freeze.map_or(0, |spell| spell.hours),
        lowest: winter.counts.lowest.map(|(air, _)| rounded(air, 2)),
        pump_hours: winter.pump_hours,
        pump_hours_always: always,
        pump_hours_sensor: sensor,
        pump_hours_below_40F: below,
        pump_kwh: rounded(winter.pump_kwh, 1),
        pump_full_speed_kwh: rounded(winter.pump_full_kwh, 1),
        heater_kwh: rounded(winter.heater_kwh, 1),
        heater_input_kwh: rounded(winter.heater_input_kwh, 1),
        evaporation_mm: rounded(winter.evaporation_mm, 1),
        rain_mm: winter.rain_mm.map(|rain| rounded(rain, 1)),
        coldest_water: rounded(winter.coldest_c, 2),
        thickest_ice_mm: rounded(winter.thickest_ice_mm, 1),
        shortest_h: winter.shortest_h.map(|hours| rounded(hours, 3)),
        outage_share: asked.map(|outage| rounded(outage.share, 3)),
        outages: outages(season),
        speeds: speeds(season),
        energy_error: winter.energy_error,
        covers: season.covers.iter().map(cover).collect(),
        cost: cost(season),
        verdict: season.verdict.word,
        lead: &season.verdict.lead,
        because: &season.verdict.because,
        tips: &season.verdict.tips,
        assumed: season.assumed.iter().chain(&winter.assumed).collect(),
    };
    line(out, &shape)
}

fn cover(cover: &Covered) -> CoverShape<'_> {
    CoverShape {
        cover: &cover.id,
        heater_kwh: rounded(cover.heater_kwh, 1),
        evaporation_mm: rounded(cover.evaporation_mm, 1),
        ice_hours: cover.ice_h,
    }
}

fn outages(season: &Season<'_>) -> Vec<OutageShape> {
    let shape = |one: &Outage| OutageShape { hours: one.hours, share: rounded(one.share, 3) };
    season.winter.outages.iter().map(shape).collect()
}

fn speeds(season: &Season<'_>) -> Vec<SpeedShape> {
    let shape = |one: &SpeedEnergy| SpeedShape {
        rpm: one.rpm,
        kwh: rounded(one.kwh, 1),
        chosen: one.chosen,
    };
    season.winter.speeds.iter().map(shape).collect()
}

fn cost<'a>(season: &Season<'a>) -> CostShape<'a> {
    let line = |(what, amount): &'a (String, f64)| CostLine { what, amount: rounded(*amount, 2) };
    CostShape {
        stay_open: rounded(season.cost.stay_open, 2),
        close: season.cost.close,
        currency: &season.tariff.currency,
        lines: season.cost.lines.iter().map(line).collect(),
        unpriced: &season.cost.unpriced,
    }
}
