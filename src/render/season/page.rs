//! The winter as one HTML page that needs nothing else.

use std::io::{self, Write};

use super::super::chart::{Chart, Guide, Line, escape, svg_chart};
use super::super::style::View;
use super::{Season, cover_row, degree_unit, degrees, rows};

const STYLE: &str = "body{font:16px/1.5 sans-serif;max-width:800px;margin:2em auto;padding:0 1em;color:#222}\
table{border-collapse:collapse}td,th{border-bottom:1px solid #ccc;padding:.2em .8em .2em 0;text-align:left}\
svg{max-width:100%;height:auto}h1{font-size:1.5em}h2{font-size:1.15em;margin-top:1.6em}";

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
    list(out, "Because", &season.verdict.because)?;
    list(out, "What would tip it the other way", &season.verdict.tips)?;
    writeln!(out, "<h2>Air and water at noon</h2>\n{}", svg_chart(&chart(season, view)))?;
    writeln!(out, "<h2>The winter</h2>\n<table>")?;
    for (name, value) in rows(season, view.units) {
        writeln!(out, "<tr><th>{}</th><td>{}</td></tr>", escape(&name), escape(&value))?;
    }
    writeln!(out, "</table>\n<h2>Covers compared</h2>\n<table>")?;
    for cover in season.covers {
        writeln!(
            out,
            "<tr><th>{}</th><td>{}</td></tr>",
            escape(&cover.id),
            escape(&cover_row(cover))
        )?;
    }
    writeln!(out, "</table>")?;
    let assumed: Vec<String> =
        season.assumed.iter().chain(&season.winter.assumed).cloned().collect();
    list(out, "Taken for granted", &assumed)?;
    writeln!(
        out,
        "<p><strong>Take care:</strong> no ice on a pool is safe to stand on. Gas and electrical work \
         are for licensed people; local codes and product labels have the last word.</p>\n</body></html>"
    )
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

fn chart(season: &Season<'_>, view: View) -> Chart {
    let days = &season.winter.days;
    let marks = days
        .iter()
        .enumerate()
        .filter(|(_, (at, ..))| at.format("%d").to_string() == "01")
        .map(|(step, (at, ..))| (step, at.format("%b").to_string()))
        .collect();
    let degrees = |celsius: f64| Some(degrees(celsius, view.units));
    Chart {
        title: "Air and water at noon".to_owned(),
        unit: degree_unit(view.units).to_owned(),
        marks,
        lines: vec![
            Line {
                label: "air".to_owned(),
                mark: '*',
                values: days.iter().map(|day| degrees(day.1)).collect(),
            },
            Line {
                label: "water".to_owned(),
                mark: 'o',
                values: days.iter().map(|day| degrees(day.2)).collect(),
            },
        ],
        guides: degrees(0.0)
            .map(|value| Guide { label: "freezing".to_owned(), value })
            .into_iter()
            .collect(),
        strips: Vec::new(),
    }
}
