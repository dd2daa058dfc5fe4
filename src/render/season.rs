//! A simulated winter: as text, as JSON, as a page.

mod page;

use super::json::line;
use super::layout::Sheet;
use super::night::{rounded, shown, temperature, unit_shown};
use super::style::{Role, View};
use crate::plan::{Cost, Covered, Tariff, Verdict, Winter};
use crate::units::{System, trim_number};
use serde::Serialize;
use std::io::{self, Write};

pub use page::season_page;

/// Everything that is told of a winter.
#[derive(Debug)]
pub struct Season<'a> {
    /// The pool.
    pub pool: &'a str,
    /// The winter.
    pub winter: &'a Winter,
    /// Covers compared.
    pub covers: &'a [Covered],
    /// The user's prices.
    pub tariff: &'a Tariff,
    /// What it costs.
    pub cost: &'a Cost,
    /// Which way.
    pub verdict: &'a Verdict,
    /// What was assumed of the weather.
    pub assumed: &'a [String],
}

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
    energy_error: f64,
    covers: Vec<CoverShape<'a>>,
    cost: CostShape<'a>,
    verdict: &'static str,
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
    let covers = season.covers.iter().map(|cover| CoverShape {
        cover: &cover.id,
        heater_kwh: rounded(cover.heater_kwh, 1),
        evaporation_mm: rounded(cover.evaporation_mm, 1),
        ice_hours: cover.ice_h,
    });
    let lines = season
        .cost
        .lines
        .iter()
        .map(|(what, amount)| CostLine { what, amount: rounded(*amount, 2) });
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
        outage_share: winter.outage_share.map(|share| rounded(share, 3)),
        energy_error: winter.energy_error,
        covers: covers.collect(),
        cost: CostShape {
            stay_open: rounded(season.cost.stay_open, 2),
            close: season.cost.close,
            currency: &season.tariff.currency,
            lines: lines.collect(),
            unpriced: &season.cost.unpriced,
        },
        verdict: season.verdict.word,
        because: &season.verdict.because,
        tips: &season.verdict.tips,
        assumed: season.assumed.iter().chain(&winter.assumed).collect(),
    };
    line(out, &shape)
}

/// Writes it for a person.
///
/// # Errors
/// The writer's.
pub fn season_text(out: &mut dyn Write, season: &Season<'_>, view: View) -> io::Result<()> {
    let mut sheet = Sheet::new(out, view);
    let word = match season.verdict.word {
        "open" => "STAY OPEN",
        "close" => "CLOSE",
        _ => "EITHER WAY",
    };
    sheet.heading(Role::Heading, &format!("{}: {word}", season.pool))?;
    for because in &season.verdict.because {
        sheet.paragraph(" -  ", &[(Role::Plain, because)])?;
    }
    sheet.heading(Role::Heading, "WHAT WOULD TIP IT")?;
    for tip in &season.verdict.tips {
        sheet.paragraph(" -  ", &[(Role::Plain, tip)])?;
    }
    sheet.heading(Role::Heading, "THE WINTER")?;
    for (name, value) in rows(season, view.units) {
        sheet.paragraph(&format!(" -  {name}: "), &[(Role::Strong, &value)])?;
    }
    sheet.heading(Role::Heading, "COVERS COMPARED")?;
    for cover in season.covers {
        sheet.paragraph(&format!(" -  {}: ", cover.id), &[(Role::Plain, &cover_row(cover))])?;
    }
    let assumed: Vec<&str> =
        season.assumed.iter().chain(&season.winter.assumed).map(String::as_str).collect();
    if !assumed.is_empty() {
        sheet.gap();
        let text = format!("Taken for granted: {}.", assumed.join("; "));
        sheet.paragraph("", &[(Role::Aside, &text)])?;
    }
    let care =
        "No ice on a pool is safe to stand on. Gas and electrical work are for licensed people.";
    sheet.gap();
    sheet.marked((Role::Caution, " !  "), &[(Role::Plain, care)])
}

fn cover_row(cover: &Covered) -> String {
    format!(
        "{} kWh of heat, {} mm evaporated, {} h with ice",
        trim_number(cover.heater_kwh, 0),
        trim_number(cover.evaporation_mm, 0),
        cover.ice_h
    )
}

/// The figures of the winter, in words.
fn rows(season: &Season<'_>, units: System) -> Vec<(String, String)> {
    let winter = season.winter;
    let counts = &winter.counts;
    let [always, sensor, below] = winter.pump_h;
    let kwh = |value: f64| format!("{} kWh", trim_number(value, 0));
    let mut rows = vec![
        ("hours".to_owned(), format!("{}, {} missing", counts.hours, counts.missing_hours)),
        (
            "at or below 40 °F and 32 °F".to_owned(),
            format!("{} h and {} h", counts.at_or_below_4_4c, counts.at_or_below_0c),
        ),
        (
            "longest freeze".to_owned(),
            format!("{} h", counts.longest_freeze.map_or(0, |spell| spell.hours)),
        ),
        (
            "pump hours: always on / timer and sensor / below 40 °F only".to_owned(),
            format!("{always} / {sensor} / {below}"),
        ),
        (
            "pump".to_owned(),
            format!("{} ({} at full speed)", kwh(winter.pump_kwh), kwh(winter.pump_full_kwh)),
        ),
        (
            "heater".to_owned(),
            format!("{} of heat, {} put in", kwh(winter.heater_kwh), kwh(winter.heater_input_kwh)),
        ),
        ("evaporation".to_owned(), format!("{} mm", trim_number(winter.evaporation_mm, 0))),
        (
            "rain".to_owned(),
            winter.rain_mm.map_or_else(
                || "not in the file".to_owned(),
                |mm| format!("{} mm", trim_number(mm, 0)),
            ),
        ),
        ("coldest water".to_owned(), shown(winter.coldest_c, "°C", 0, units)),
    ];
    if let Some((air, at)) = counts.lowest {
        let text = format!("{} on {}", shown(air, "°C", 0, units), at.format("%-d %b %H:%M"));
        rows.insert(3, ("lowest".to_owned(), text));
    }
    for (what, amount) in &season.cost.lines {
        rows.push((
            what.clone(),
            format!("{} {}", trim_number(*amount, 2), season.tariff.currency),
        ));
    }
    for what in &season.cost.unpriced {
        rows.push((what.clone(), "no tariff was given".to_owned()));
    }
    rows
}

/// Temperature and its unit for the page.
fn degrees(celsius: f64, units: System) -> f64 {
    temperature(celsius, units)
}

fn degree_unit(units: System) -> &'static str {
    unit_shown("°C", units)
}
