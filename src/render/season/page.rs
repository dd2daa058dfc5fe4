//! The winter as one HTML page that needs nothing else.

use std::io::{self, Write};

use super::super::chart::{Chart, Guide, Line, escape, svg_chart};
use super::super::style::View;
use super::{Season, degree_unit, degrees, groups, unit_shown};
use crate::knowledge::capital;
use crate::plan::WinterDay;
use crate::units::{System, convert, display_unit, find_unit};
use chrono::Datelike as _;

const STYLE: &str = "body{font:16px/1.5 sans-serif;max-width:800px;margin:2em auto;padding:0 1em;color:#222}\
table{border-collapse:collapse}td,th{border-bottom:1px solid #ccc;padding:.2em .8em .2em 0;text-align:left}\
svg{width:100%;min-width:560px;height:auto}.chart{overflow-x:auto}h1{font-size:1.5em}h2{font-size:1.15em;margin-top:1.6em}";

/// Writes the page.
///
/// # Errors
/// The writer's.
pub fn season_page(out: &mut dyn Write, season: &Season<'_>, view: View) -> io::Result<()> {
    let pool = escape(season.pool);
    let word = match season.verdict.word {
        "open" => "stay open",
        "close" => "close",
        _ => "either way",
    };
    writeln!(
        out,
        "<!doctype html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">\
         <meta name=\"viewport\" content=\"width=device-width\"><title>{pool}: the winter</title>\
         <style>{STYLE}</style></head><body>\n<h1>{pool}: {word}</h1>"
    )?;
    writeln!(out, "<p><strong>{}.</strong></p>", escape(&capital(&season.verdict.lead)))?;
    list(out, "Because", &season.verdict.because)?;
    list(out, "What would tip it the other way", &season.verdict.tips)?;
    for chart in charts(season, view) {
        let svg = svg_chart(&chart);
        writeln!(out, "<h2>{}</h2>\n<div class=\"chart\">{svg}</div>", escape(&chart.title))?;
    }
    for group in groups(season, view.units) {
        writeln!(out, "<h2>{}</h2>\n<table>", escape(group.title))?;
        for (name, value) in &group.rows {
            writeln!(
                out,
                "<tr><th scope=\"row\">{}</th><td>{}</td></tr>",
                escape(name),
                escape(value)
            )?;
        }
        writeln!(out, "</table>")?;
    }
    let assumed: Vec<String> =
        season.assumed.iter().chain(&season.winter.assumed).cloned().collect();
    list(out, "Taken for granted", &assumed)?;
    let care = escape(&season.words.say("season_care", &[]));
    writeln!(out, "<p><strong>Take care:</strong> {care}</p>\n</body></html>")
}

fn list(out: &mut dyn Write, heading: &str, lines: &[String]) -> io::Result<()> {
    if lines.is_empty() {
        return Ok(());
    }
    writeln!(out, "<h2>{heading}</h2>\n<ul>")?;
    for line in lines {
        writeln!(out, "<li>{}</li>", escape(line))?;
    }
    writeln!(out, "</ul>")
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
