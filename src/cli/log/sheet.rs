//! `brumal log sheet`: one page to fill in by hand.

use super::super::args::Common;
use super::super::exit::{Done, Failure};
use super::super::logbook::{pool_called, to_read};
use super::super::surroundings::{Surroundings, base};
use crate::knowledge::Kind;
use crate::logbook::{Store, Stretch};
use crate::render::clean;
use crate::session::value;
use crate::units::{display_unit, unit};
use clap::Args;
use std::io::Write;

/// Print a one-page sheet to fill in by hand
#[derive(Debug, Args)]
pub(in super::super) struct SheetArgs {
    /// The pool
    name: String,
}

/// What a round reads, in the order in which it is walked.
const READINGS: [&str; 14] = [
    "air.temperature",
    "water.temperature",
    "water.level",
    "water.clarity",
    "filter.pressure",
    "pump.speed",
    "water.ph",
    "water.free_chlorine",
    "water.total_chlorine",
    "water.total_alkalinity",
    "water.calcium_hardness",
    "water.cyanuric_acid",
    "water.salt",
    "ice.thickness",
];

/// Prints.
pub(super) fn run(
    args: &SheetArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    let store = to_read(common)?;
    let pool = pool_called(&store, &args.name)?;
    let last = store
        .latest(
            &pool.id,
            Stretch { from: Some(around.at.plus_hours(-24.0 * 90.0)), to: Some(around.at) },
        )
        .map_err(Failure::told)?;
    let words = &base.knowledge().vocabulary;
    let units = around.view.units;
    let out = &mut around.out;
    writeln!(out, "{}", clean(&pool.name))?;
    writeln!(out, "Date ____________  Time ________  By ______________________\n")?;
    writeln!(out, "{:<26} {:>12}   {:<14} method", "reading", "last", "today")?;
    for name in READINGS {
        let Some(def) = words.def(name) else { continue };
        let held = last.iter().find(|one| one.fact == name);
        let before = held.and_then(|one| Some(def.show(value(def, &one.value)?, units)));
        let shown = match def.kind {
            Kind::Number { unit: canonical, .. } => unit(display_unit(canonical, units)).name,
            _ => "",
        };
        let label =
            if shown.is_empty() { def.title.clone() } else { format!("{}, {shown}", def.title) };
        writeln!(out, "{label:<26} {:>12}   ____________   ________", before.unwrap_or_default())?;
    }
    writeln!(out, "\nAdded (what, strength, how much):")?;
    for _ in 0..3 {
        writeln!(out, "  ______________________________________________________________")?;
    }
    writeln!(out, "\nDone:")?;
    let titles: Vec<&str> =
        base.knowledge().work.tasks.iter().map(|task| task.title.as_str()).collect();
    for title in titles {
        writeln!(out, "  [ ] {title}")?;
    }
    writeln!(out, "\nSeen, heard, to tell the next one:")?;
    for _ in 0..3 {
        writeln!(out, "  ______________________________________________________________")?;
    }
    Ok(Done::Answered)
}
