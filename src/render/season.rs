//! A simulated winter: as text, as JSON, as a page.

mod json;
mod page;

use super::layout::Sheet;
use super::night::{temperature, unit_shown};
use super::style::{Role, View};
use crate::knowledge::{Winter as Words, capital};
use crate::plan::{Cost, Covered, Tariff, Verdict, Winter, span_words};
use crate::units::{System, show_named, trim_number};
use std::io::{self, Write};

pub use json::season_json;
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
    /// The wording.
    pub words: &'a Words,
    /// What was assumed of the weather.
    pub assumed: &'a [String],
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
    let lead = format!("{}.", capital(&season.verdict.lead));
    sheet.paragraph("   ", &[(Role::Strong, &lead)])?;
    for because in &season.verdict.because {
        sheet.paragraph(" -  ", &[(Role::Plain, because)])?;
    }
    sheet.heading(Role::Heading, "WHAT WOULD TIP IT")?;
    for tip in &season.verdict.tips {
        sheet.paragraph(" -  ", &[(Role::Plain, tip)])?;
    }
    for group in groups(season, view.units) {
        sheet.heading(Role::Heading, &group.title.to_uppercase())?;
        for (name, value) in &group.rows {
            let name = format!("{name}: ");
            sheet.paragraph(" -  ", &[(Role::Plain, &name), (Role::Strong, value)])?;
        }
    }
    let assumed: Vec<&str> =
        season.assumed.iter().chain(&season.winter.assumed).map(String::as_str).collect();
    if !assumed.is_empty() {
        sheet.gap();
        let text = season.words.say("taken", &[("what", &assumed.join("; "))]);
        sheet.paragraph("", &[(Role::Aside, &text)])?;
    }
    sheet.gap();
    let care = season.words.say("season_care", &[]);
    sheet.marked((Role::Caution, " !  "), &[(Role::Plain, &care)])
}

/// Rows of figures under a heading.
struct Group {
    title: &'static str,
    rows: Vec<(String, String)>,
}

/// The figures of the winter, in words.
fn groups(season: &Season<'_>, units: System) -> Vec<Group> {
    let mut groups = vec![
        Group { title: "The cold", rows: cold_rows(season, units) },
        Group { title: "Pump hours by control", rows: control_rows(season) },
        Group { title: "Pump energy by speed", rows: speed_rows(season) },
        Group { title: "Heat and water", rows: water_rows(season, units) },
    ];
    let outages = outage_rows(season);
    if !outages.is_empty() {
        groups.push(Group { title: "Power failures that bring the pipe to ice", rows: outages });
    }
    let covers = season.covers.iter().map(|cover| (cover.id.clone(), cover_row(cover, units)));
    groups.push(Group { title: "Covers compared", rows: covers.collect() });
    let costs = cost_rows(season);
    if !costs.is_empty() {
        groups.push(Group { title: "What it costs", rows: costs });
    }
    groups
}

fn kwh(value: f64) -> String {
    format!("{} kWh", trim_number(value, 0))
}

fn cold_rows(season: &Season<'_>, units: System) -> Vec<(String, String)> {
    let counts = &season.winter.counts;
    let mut rows = vec![
        ("hours".to_owned(), format!("{}, {} missing", counts.hours, counts.missing_hours)),
        ("at or below 40 °F (4.4 °C)".to_owned(), format!("{} h", counts.at_or_below_4_4c)),
        ("at or below freezing".to_owned(), format!("{} h", counts.at_or_below_0c)),
        (
            "longest freeze".to_owned(),
            format!("{} h", counts.longest_freeze.map_or(0, |spell| spell.hours)),
        ),
    ];
    if let Some((air, at)) = counts.lowest {
        let text = format!("{} on {}", show_named(air, "°C", 0, units), at.format("%-d %b %H:%M"));
        rows.push(("lowest".to_owned(), text));
    }
    rows
}

fn control_rows(season: &Season<'_>) -> Vec<(String, String)> {
    let names = ["always on", "timer and freeze sensor", "only at or below 40 °F"];
    let hours = season.winter.pump_h;
    let row = |(name, hours): (&str, usize)| {
        let chosen = if hours == season.winter.pump_hours { " (used here)" } else { "" };
        (name.to_owned(), format!("{hours} h{chosen}"))
    };
    names.into_iter().zip(hours).map(row).collect()
}

fn speed_rows(season: &Season<'_>) -> Vec<(String, String)> {
    let row = |speed: &crate::plan::SpeedEnergy| {
        let chosen = if speed.chosen { " (used here)" } else { "" };
        (format!("{} rpm", trim_number(speed.rpm, 0)), format!("{}{chosen}", kwh(speed.kwh)))
    };
    season.winter.speeds.iter().map(row).collect()
}

fn water_rows(season: &Season<'_>, units: System) -> Vec<(String, String)> {
    let winter = season.winter;
    let depth = |mm: f64| show_named(mm, "mm", 0, units);
    let rain = winter.rain_mm.map_or_else(|| "not in the file".to_owned(), depth);
    let mut rows = vec![("coldest water".to_owned(), show_named(winter.coldest_c, "°C", 0, units))];
    if winter.heater_kwh > 0.0 {
        let text = format!("{}, from {}", kwh(winter.heater_kwh), kwh(winter.heater_input_kwh));
        let fuel = if winter.gas { " of gas" } else { " of current" };
        rows.push(("heat".to_owned(), text + fuel));
    }
    if winter.ice_h > 0 {
        let text = format!("{} h, up to {}", winter.ice_h, depth(winter.thickest_ice_mm));
        rows.push(("ice on the pool".to_owned(), text));
    }
    rows.push(("evaporation".to_owned(), depth(winter.evaporation_mm)));
    rows.push(("rain and snow".to_owned(), rain));
    rows
}

/// How often an outage of each length is long enough; the lengths that are always enough in one row.
fn outage_rows(season: &Season<'_>) -> Vec<(String, String)> {
    let mut rows = Vec::new();
    for outage in &season.winter.outages {
        let mut name = span_words(outage.hours);
        if outage.always() {
            name = season.words.say("season_outage_more", &[("hours", &name)]);
        }
        let share = outage.told(season.words);
        rows.push((name, season.words.say("season_outage_row", &[("share", &share)])));
        if outage.always() {
            break;
        }
    }
    rows
}

fn cover_row(cover: &Covered, units: System) -> String {
    let mut text = format!("{} evaporated", show_named(cover.evaporation_mm, "mm", 0, units));
    if cover.heater_kwh > 0.0 {
        text = format!("{} of heat, {text}", kwh(cover.heater_kwh));
    }
    if cover.ice_h > 0 {
        text += &format!(", {} h with ice", cover.ice_h);
    }
    text
}

fn cost_rows(season: &Season<'_>) -> Vec<(String, String)> {
    let currency = &season.tariff.currency;
    let amount = |value: f64| format!("{} {currency}", trim_number(value, 2)).trim().to_owned();
    let mut rows: Vec<(String, String)> =
        season.cost.lines.iter().map(|(what, value)| (what.clone(), amount(*value))).collect();
    if rows.len() > 1 {
        rows.push(("staying open in all".to_owned(), amount(season.cost.stay_open)));
    }
    if let Some(close) = season.cost.close {
        rows.push(("closing and reopening".to_owned(), amount(close)));
    }
    if !rows.is_empty() {
        let unpriced = season.cost.unpriced.iter();
        rows.extend(unpriced.map(|what| (what.clone(), "no price was given".to_owned())));
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
