//! `brumal.night/1`.

use super::super::json::value;
use crate::clock::Moment;
use crate::knowledge::{CheckAt, NightCheck, Winter};
use crate::plan::{NightPlan, PartTime, Window};
use chrono::{DateTime, FixedOffset, SecondsFormat};
use serde::Serialize;
use std::io::{self, Write};

#[derive(Serialize)]
struct Night<'a> {
    pool: &'a str,
    urgency: &'static str,
    lowest: Option<f64>,
    lowest_at: Option<String>,
    freezing: Vec<Span>,
    action: Vec<Span>,
    pump: Vec<Span>,
    speed: Option<Speed>,
    heater: Heater,
    ice_mm: Option<f64>,
    snow_mm: Option<f64>,
    worst_at: Option<String>,
    in_hand_h: Option<f64>,
    if_stopped: Vec<Part<'a>>,
    actions: Vec<Step<'a>>,
    cautions: Vec<Step<'a>>,
    assumed: &'a [String],
}

#[derive(Serialize)]
struct Span {
    from: String,
    to: String,
    hours: f64,
    lowest: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    why: Option<String>,
}

#[derive(Serialize)]
struct Speed {
    least_l_min: Option<f64>,
    least_rpm: f64,
    kw: f64,
    too_low: bool,
    outlet_c: f64,
}

#[derive(Serialize)]
struct Heater {
    needed: bool,
    kw: f64,
    kwh: f64,
    input_kwh: Option<f64>,
    has_kw: Option<f64>,
    coldest_water: f64,
}

#[derive(Serialize)]
struct Part<'a> {
    part: &'a str,
    id: &'a str,
    cool_h: Option<f64>,
    freeze_h: Option<f64>,
    low_h: Option<f64>,
    high_h: Option<f64>,
    slush_h: Option<f64>,
    slush_low_h: Option<f64>,
    slush_high_h: Option<f64>,
    freeze_low_h: Option<f64>,
    freeze_high_h: Option<f64>,
    breaks: &'a str,
}

#[derive(Serialize)]
struct Step<'a> {
    id: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    urgency: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    when: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    order: Option<usize>,
    text: &'a str,
    cites: Vec<&'a str>,
}

/// Begins the one line of JSON that holds the plans.
///
/// # Errors
/// The writer's.
pub fn nights_json_begin(out: &mut dyn Write, at: Moment) -> io::Result<()> {
    write!(out, "{{\"schema\":\"brumal.night/1\",\"at\":\"{}\",\"pools\":[", at.rfc3339())
}

/// Writes one plan; `first` when none stands before it.
///
/// # Errors
/// The writer's.
pub fn night_json(
    out: &mut dyn Write,
    plan: &NightPlan<'_>,
    words: &Winter,
    first: bool,
) -> io::Result<()> {
    if !first {
        out.write_all(b",")?;
    }
    value(out, &night(plan, &words.say("night_why", &[])))
}

/// Ends the line, with what was assumed of the forecast.
///
/// # Errors
/// The writer's.
pub fn nights_json_end(out: &mut dyn Write, assumed: &[String]) -> io::Result<()> {
    out.write_all(b"],\"assumed\":")?;
    value(out, &assumed)?;
    out.write_all(b"}\n")
}

fn night<'a>(plan: &'a NightPlan<'_>, why: &str) -> Night<'a> {
    Night {
        pool: &plan.pool,
        urgency: plan.urgency.name(),
        lowest: plan.lowest.map(|(air, _)| rounded(air, 2)),
        lowest_at: plan.lowest.map(|(_, at)| stamp(at)),
        freezing: plan.freezing.iter().map(|window| span(window, None)).collect(),
        action: plan.action.iter().map(|window| span(window, None)).collect(),
        pump: plan.pump.iter().map(|window| span(window, Some(why))).collect(),
        speed: plan.speed.as_ref().map(|speed| Speed {
            least_l_min: speed.least_l_min.map(|flow| rounded(flow, 2)),
            least_rpm: speed.least_rpm,
            kw: rounded(speed.kw, 3),
            too_low: speed.too_low,
            outlet_c: rounded(speed.outlet_c, 2),
        }),
        heater: Heater {
            needed: plan.heater.needed,
            kw: rounded(plan.heater.kw, 2),
            kwh: rounded(plan.heater.kwh, 1),
            input_kwh: plan.heater.input_kwh.map(|input| rounded(input, 1)),
            has_kw: plan.heater.has_kw,
            coldest_water: rounded(plan.heater.coldest_c, 2),
        },
        ice_mm: plan.ice.map(|(ice, _)| rounded(ice, 1)),
        snow_mm: plan.ice.map(|(_, snow)| rounded(snow, 1)),
        worst_at: plan.worst_at.map(stamp),
        in_hand_h: plan.in_hand_h().map(|hours| rounded(hours, 3)),
        if_stopped: plan.if_stopped.iter().map(part).collect(),
        actions: plan
            .checks
            .iter()
            .enumerate()
            .map(|(at, check)| step(check, Some(at + 1)))
            .collect(),
        cautions: plan.cautions.iter().map(|caution| step(caution, None)).collect(),
        assumed: &plan.assumed,
    }
}

fn span(window: &Window, why: Option<&str>) -> Span {
    Span {
        from: stamp(window.from),
        to: stamp(window.to),
        hours: rounded(window.hours, 2),
        lowest: rounded(window.lowest_c, 2),
        why: why.map(str::to_owned),
    }
}

fn part(part: &PartTime) -> Part<'_> {
    let hours = |hours: Option<f64>| hours.map(|hours| rounded(hours, 3));
    let [slush, slush_low, slush_high] = part.slush_h;
    let [freeze_low, freeze_high] = part.freeze_band_h;
    Part {
        part: &part.title,
        id: &part.id,
        cool_h: hours(part.cool_h),
        freeze_h: hours(part.freeze_h),
        low_h: hours(part.low_h),
        high_h: hours(part.high_h),
        slush_h: hours(slush),
        slush_low_h: hours(slush_low),
        slush_high_h: hours(slush_high),
        freeze_low_h: hours(freeze_low),
        freeze_high_h: hours(freeze_high),
        breaks: &part.breaks,
    }
}

fn step(check: &NightCheck, order: Option<usize>) -> Step<'_> {
    let urgency = check.at.map(|at| if at == CheckAt::Now { "now" } else { "today" });
    Step {
        id: &check.id,
        urgency,
        when: check.at.map(CheckAt::name),
        order,
        text: &check.text,
        cites: check.cites.iter().map(|citation| citation.to.0.as_str()).collect(),
    }
}

fn stamp(at: DateTime<FixedOffset>) -> String {
    at.to_rfc3339_opts(SecondsFormat::Secs, false)
}

/// A number with so many decimals: what is computed is not known better.
pub(in crate::render) fn rounded(value: f64, decimals: i32) -> f64 {
    let factor = 10f64.powi(decimals);
    let rounded = (value * factor).round() / factor;
    if rounded == 0.0 { 0.0 } else { rounded }
}
