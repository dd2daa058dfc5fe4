//! `brumal log sheet`: one page to fill in by hand.

use super::super::args::Common;
use super::super::exit::{Done, Failure};
use super::super::logbook::{pool_called, to_read};
use super::super::surroundings::{Surroundings, base};
use crate::knowledge::Kind;
use crate::logbook::{Held, Store, Stretch};
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
    for name in &base.knowledge().work.words.sheet {
        let Some(def) = words.def(name) else { continue };
        let held = last.iter().find(|one| one.fact == *name);
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
    let profile = store.profile(&pool.id, around.at).map_err(Failure::told)?;
    let holds =
        |fact: &str| match profile.iter().find(|entry| entry.name == fact)?.value.as_ref()? {
            Held::Word(word) => Some(word.clone()),
            _ => None,
        };
    for task in base.knowledge().work.tasks.iter().filter(|task| task.fits(&holds)) {
        writeln!(out, "  [ ] {}", task.title)?;
    }
    writeln!(out, "\nSeen, heard, to tell the next one:")?;
    for _ in 0..3 {
        writeln!(out, "  ______________________________________________________________")?;
    }
    Ok(Done::Answered)
}
