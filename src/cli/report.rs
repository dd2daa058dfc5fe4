//! `brumal report`: a season at one pool, for its customer.

use super::args::{Common, Format};
use super::exit::{Done, Failure};
use super::log::stretch;
use super::logbook::{pool_called, to_read};
use super::surroundings::{Surroundings, base};
use crate::advice::Report;
use crate::render::{Role, Sheet, json_line, report_html};
use crate::session::season_report;
use clap::Args;
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;

/// Write a season report of one pool: one page with charts, for its customer
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  brumal report \"Quarry Lane 9\" --out quarry.html
  brumal report quarry --from 2025-10-01 --to 2026-03-31 --out quarry.html --units si
  brumal report quarry --format json")]
pub(super) struct ReportArgs {
    /// The pool
    name: String,
    /// From this day on [default: the first visit]
    #[arg(long, value_name = "DAY")]
    from: Option<String>,
    /// Up to this day [default: the last visit]
    #[arg(long, value_name = "DAY")]
    to: Option<String>,
    /// The page; without it the report is told as text, or as JSON with --format json
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

#[derive(Serialize)]
struct Shape<'a> {
    schema: &'static str,
    #[serde(flatten)]
    report: &'a Report,
}

/// Reports.
pub(super) fn run(
    args: &ReportArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    let store = to_read(common)?;
    let pool = pool_called(&store, &args.name)?;
    let stretch = stretch(args.from.as_ref(), args.to.as_ref(), around.at)?;
    let report = season_report(&base, &store, &pool, stretch, (around.at, around.view.units))
        .map_err(Failure::told)?;
    if let Some(file) = &args.out {
        let mut page = Vec::new();
        report_html(&mut page, &report)?;
        std::fs::write(file, page).map_err(|error| Failure::unwritten(file, &error))?;
        if around.format == Format::Text {
            writeln!(around.out, "Written: {}", file.display())?;
        }
    }
    match around.format {
        Format::Json => {
            json_line(&mut around.out, &Shape { schema: "brumal.report/1", report: &report })?;
        }
        Format::Text if args.out.is_none() => tell(&report, around)?,
        Format::Text => {}
    }
    Ok(Done::Answered)
}

fn tell(report: &Report, around: &mut Surroundings) -> Result<(), Failure> {
    let mut sheet = Sheet::new(&mut around.out, around.view);
    sheet.heading(Role::Heading, &format!("{}, {} to {}", report.pool, report.from, report.to))?;
    for (what, much) in &report.glance {
        sheet.paragraph(" -  ", &[(Role::Plain, &format!("{what}: {much}"))])?;
    }
    let mut part = |title: &str, lines: Vec<String>| -> std::io::Result<()> {
        if lines.is_empty() {
            return Ok(());
        }
        sheet.heading(Role::Heading, title)?;
        lines.iter().try_for_each(|line| sheet.paragraph(" -  ", &[(Role::Plain, line)]))
    };
    part("WHAT THE READINGS SHOW", report.trends.clone())?;
    let series = report.series.iter().map(|series| format!("{}: {}", series.title, series.summary));
    part("THE WATER", series.collect())?;
    let nights = report.nights.iter().map(|night| {
        format!("{}: low {}, water {}; {}", night.day, night.low, night.water, night.protected)
    });
    part("THE COLDEST NIGHTS", nights.collect())?;
    let rows = report.treatments.iter().map(|(what, much, times)| {
        format!("{what}: {much} in {times} {}", if times == "1" { "dose" } else { "doses" })
    });
    part("WHAT WAS PUT IN", rows.collect())?;
    part("WHAT COMES NEXT", report.next.clone())?;
    Ok(())
}
