//! A season report as one page that needs nothing else: no script, no font, no picture from elsewhere.

mod season;

use super::clean;
use crate::advice::Report;
use minijinja::{AutoEscape, Environment, Value, context};
use season::chart;
use std::io::{self, Write};

const TEMPLATE: &str = include_str!("html/report.html");

/// Writes a report as HTML. Everything that people typed is escaped, and control characters are left out.
///
/// # Errors
/// The writer's, or a fault of the template.
pub fn report(out: &mut dyn Write, report: &Report) -> io::Result<()> {
    let mut page = Environment::new();
    page.set_auto_escape_callback(|_| AutoEscape::Html);
    page.add_filter("clean", |text: String| clean(&text).into_owned());
    let charts: Vec<Value> = report
        .series
        .iter()
        .enumerate()
        .map(|(n, series)| Value::from_safe_string(chart(series, report.begins, report.days, n)))
        .collect();
    let template = page.template_from_str(TEMPLATE).map_err(io::Error::other)?;
    let text = template
        .render(context! { report => minijinja::value::Serde(report), charts })
        .map_err(io::Error::other)?;
    out.write_all(text.as_bytes())
}
