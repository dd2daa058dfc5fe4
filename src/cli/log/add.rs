//! `brumal log add`: one visit, from a sentence.

use super::super::args::Common;
use super::super::exit::{Done, Failure};
use super::super::logbook::{pool_called, to_write, who};
use super::super::message::message;
use super::super::surroundings::{Surroundings, base};
use crate::logbook::Store as _;
use crate::problem::{Code, Problem};
use crate::render::clean;
use crate::session::{VisitNotes, visit_told};
use clap::Args;
use std::io::Write;

/// Add a visit, from what you would say about it
#[derive(Debug, Args)]
pub(in super::super) struct AddArgs {
    /// What was read, added and done; `-` reads it from standard input
    #[arg(required = true, allow_negative_numbers = true, value_name = "TEXT")]
    text: Vec<String>,
    /// Who was there [default: the user of this machine]
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
    /// How it was measured, such as "drop test"
    #[arg(long, value_name = "HOW", default_value = "", hide_default_value = true)]
    method: String,
    /// Anything else
    #[arg(long, value_name = "TEXT", default_value = "", hide_default_value = true)]
    note: String,
    /// A photo, by its file name; may be repeated
    #[arg(long = "photo", value_name = "FILE")]
    photos: Vec<String>,
    /// A task done, by its id (see `brumal due`); may be repeated
    #[arg(long = "done", value_name = "TASK")]
    done: Vec<String>,
}

/// Adds a visit of the pool of `--pool`.
pub(super) fn run(
    args: &AddArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let Some(name) = &common.pool else {
        let problem = Problem::error(Code::Value, None, "which pool was visited is not told");
        return Err(Failure::usage(problem.help("name it with `--pool NAME`")));
    };
    let text = message(&args.text)?;
    let base = base(common, around)?;
    let store = to_write(common)?;
    let pool = pool_called(&store, name)?;
    let notes = VisitNotes {
        who: who(args.by.as_ref()),
        method: args.method.clone(),
        note: args.note.clone(),
        photos: args.photos.clone(),
        tasks: args.done.clone(),
        profile: store.profile(&pool.id, around.at).map_err(Failure::told)?,
    };
    let told =
        visit_told(&base, &text, &notes, around.at, common.units.into()).map_err(Failure::usage)?;
    let kept = told
        .keep
        .keep(&store, &pool.id, around.at, &base.knowledge().work)
        .map_err(Failure::told)?;
    writeln!(around.out, "Kept in the log of {}: {}.", clean(&pool.name), clean(&told.said))?;
    for id in kept {
        writeln!(around.out, "  visit {id}")?;
    }
    if !told.unread.is_empty() {
        writeln!(around.out, "Not read: {}", clean(&told.unread.join(" · ")))?;
    }
    Ok(Done::Answered)
}
