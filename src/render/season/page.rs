//! The winter as one HTML page that needs nothing else.

use std::io::{self, Write};

use super::super::chart::{Chart, Guide, Line, svg_chart};
use super::super::html;
use super::super::style::View;
use super::{Season, degree_unit, degrees, groups, unit_shown};
use crate::knowledge::capital;
use crate::plan::WinterDay;
use crate::units::{System, convert, display_unit, find_unit};
use chrono::Datelike as _;
use minijinja::{Value, context};

const TEMPLATE: &str = include_str!("page.html");

/// Writes the page. Everything that people typed is escaped, and control characters are left out.
///
/// # Errors
/// The writer's, or a fault of the template.
pub fn season_page(out: &mut dyn Write, season: &Season<'_>, view: View) -> io::Result<()> {
    let verdict = match season.verdict.word {
        "open" => "stay open",
        "close" => "close",
        _ => "either way",
    };
    let lists = [
        ("Because", &season.verdict.because),
        ("What would tip it the other way", &season.verdict.tips),
    ];
    let lists: Vec<Value> = lists
        .into_iter()
        .filter(|(_, lines)| !lines.is_empty())
        .map(|(title, lines)| context! { title, lines => lines.clone() })
        .collect();
    let charts: Vec<Value> = charts(season, view)
        .iter()
        .map(|chart| {
            let svg = Value::from_safe_string(svg_chart(chart));
            context! { title => chart.title.clone(), svg }
        })
        .collect();
    let groups: Vec<Value> = groups(season, view.units)
        .into_iter()
        .map(|group| context! { title => group.title, rows => group.rows })
        .collect();
    let assumed: Vec<String> =
        season.assumed.iter().chain(&season.winter.assumed).cloned().collect();
    let values = context! {
        pool => season.pool, verdict, lead => capital(&season.verdict.lead), lists, charts, groups, assumed,
        care => season.words.say("season_care", &[]),
    };
    html::write(out, TEMPLATE, values)
}

/// The charts: air and water, ice if there was any, heat if there is a heater.
fn charts(season: &Season<'_>, view: View) -> Vec<Chart> {
    let days = &season.winter.days;
    let celsius = |of: &dyn Fn(&WinterDay) -> f64| {
        days.iter().map(|day| Some(degrees(of(day), view.units))).collect()
    };
    let line = |label: &str, values| Line { label: label.to_owned(), mark: '*', values };
    let mut charts = vec![Chart {
        title: "Air by day, and water at noon".to_owned(),
        unit: degree_unit(view.units).to_owned(),
        marks: months(days),
        lines: vec![
            line("high", celsius(&|day| day.high_c)),
            line("low", celsius(&|day| day.low_c)),
            line("water", celsius(&|day| day.water_c)),
        ],
        guides: vec![Guide { label: "freezing".to_owned(), value: degrees(0.0, view.units) }],
        strips: Vec::new(),
    }];
    if season.winter.ice_h > 0 {
        let depth = |day: &WinterDay| Some(length(day.ice_mm, view.units));
        charts.push(Chart {
            title: "Ice on the pool at noon: keep off, whatever its thickness".to_owned(),
            unit: unit_shown("mm", view.units).to_owned(),
            marks: months(days),
            lines: vec![line("ice", days.iter().map(depth).collect())],
            guides: Vec::new(),
            strips: Vec::new(),
        });
    }
    if season.winter.heater_kwh > 0.0 {
        charts.push(Chart {
            title: "Heat of the heater by day".to_owned(),
            unit: "kWh".to_owned(),
            marks: months(days),
            lines: vec![line("heat", days.iter().map(|day| Some(day.heater_kwh)).collect())],
            guides: Vec::new(),
            strips: Vec::new(),
        });
    }
    charts
}

/// A depth in the units of the view.
fn length(mm: f64, units: System) -> f64 {
    let Some(id) = find_unit("mm") else { return mm };
    convert(mm, id, display_unit(id, units)).unwrap_or(mm)
}

/// The first days of the months.
fn months(days: &[WinterDay]) -> Vec<(usize, String)> {
    let first = |(_, day): &(usize, &WinterDay)| day.at.day() == 1;
    let mark = |(step, day): (usize, &WinterDay)| (step, day.at.format("%b").to_string());
    days.iter().enumerate().filter(first).map(mark).collect()
}
