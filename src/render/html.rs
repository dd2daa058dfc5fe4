//! A season report as one page that needs nothing else: no script, no font, no picture from elsewhere.

mod season;

use super::clean;
use crate::advice::Report;
use minijinja::{AutoEscape, Environment, Value, context};
use season::chart;
use std::io::{self, Write};

/// What all pages share: the head and the look.
const PAGE: &str = include_str!("html/page.html");
const REPORT: &str = include_str!("html/report.html");

/// Writes a page by its template, which extends `page.html`. All values are escaped, and `clean` leaves control
/// characters out.
///
/// # Errors
/// The writer's, or a fault of the template.
pub(super) fn write(out: &mut dyn Write, template: &str, values: Value) -> io::Result<()> {
    let mut pages = Environment::new();
    pages.set_auto_escape_callback(|_| AutoEscape::Html);
    pages.add_filter("clean", |text: String| clean(&text).into_owned());
    pages.add_template("page.html", PAGE).map_err(io::Error::other)?;
    let text = pages.render_str(template, values).map_err(io::Error::other)?;
    out.write_all(text.as_bytes())
}

/// Writes a report as HTML. Everything that people typed is escaped, and control characters are left out.
///
/// # Errors
/// The writer's, or a fault of the template.
pub fn report(out: &mut dyn Write, report: &Report) -> io::Result<()> {
    let charts: Vec<Value> = report
        .series
        .iter()
        .enumerate()
        .map(|(n, series)| Value::from_safe_string(chart(series, report.begins, report.days, n)))
        .collect();
    write(out, REPORT, context! { report => minijinja::value::Serde(report), charts })
}
