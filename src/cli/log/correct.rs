//! `brumal log correct`: puts a reading right and keeps what was there.

use super::super::args::Common;
use super::super::exit::{Done, Failure};
use super::super::logbook::{pool_called, to_write, who};
use super::super::pool::facts_told;
use super::super::surroundings::{Surroundings, base};
use crate::logbook::{Correction, Reading, Store, Stretch, Visit};
use crate::problem::{Code, Problem};
use crate::render::clean;
use crate::session::held;
use clap::Args;
use std::io::Write;

/// Put a reading of a visit right; the old value is kept, with who, when and why
#[derive(Debug, Args)]
pub(in super::super) struct CorrectArgs {
    /// What it should have said, such as "ph 7.6"
    #[arg(allow_negative_numbers = true)]
    text: Vec<String>,
    /// The visit, by its id [default: the last one of --pool]
    #[arg(long, value_name = "ID")]
    visit: Option<String>,
    /// A reading to take out, by its fact's name
    #[arg(long, value_name = "FACT")]
    remove: Vec<String>,
    /// Why
    #[arg(long, required = true, value_name = "TEXT")]
    why: String,
    /// Who says so [default: the user of this machine]
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
}

fn last_visit(
    store: &dyn Store,
    args: &CorrectArgs,
    common: &Common,
    around: &Surroundings,
) -> Result<Visit, Failure> {
    if let Some(id) = &args.visit {
        return store.visit(id).map_err(Failure::usage);
    }
    let Some(name) = &common.pool else {
        let problem = Problem::error(Code::Value, None, "which visit is meant is not told");
        return Err(Failure::usage(
            problem.help("name it with `--visit ID`, or the pool with `--pool NAME`"),
        ));
    };
    let pool = pool_called(store, name)?;
    let visits = store.visits(&pool.id, Stretch { from: None, to: Some(around.at) }, 1);
    visits.map_err(Failure::told)?.into_iter().next().ok_or_else(|| {
        let problem = Problem::error(Code::UnknownName, None, "there is no visit of this pool yet");
        Failure::usage(problem.help("`brumal log add` keeps one"))
    })
}

/// Corrects.
pub(super) fn run(
    args: &CorrectArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    let store = to_write(common)?;
    let visit = last_visit(&store, args, common, around)?;
    let facts = facts_told(&base, &args.text.join(" "), common, around.at)?;
    let who = who(args.by.as_ref());
    let correction = |fact: &str| Correction {
        fact: fact.to_owned(),
        old: None,
        given: String::new(),
        at: around.at,
        who: who.clone(),
        why: args.why.clone(),
    };
    if facts.is_empty() && args.remove.is_empty() {
        let problem = Problem::error(Code::Value, None, "there is no reading in that");
        return Err(Failure::usage(problem.help("say it like `ph 7.6`, or `--remove water.ph`")));
    }
    for fact in &facts {
        let Some(def) = base.knowledge().vocabulary.get(fact.id) else { continue };
        let reading = Reading {
            fact: def.name.clone(),
            value: held(def, fact.value),
            given: fact.given.clone(),
            method: String::new(),
        };
        store.correct(&visit.id, Some(&reading), &correction(&def.name)).map_err(Failure::told)?;
        let shown = def.show(fact.value, around.view.units);
        writeln!(around.out, "{}: {} is now {shown}; the old value is kept.", visit.id, def.title)?;
    }
    for name in &args.remove {
        if !visit.readings.iter().any(|reading| reading.fact == *name) {
            let message = format!("this visit has no reading `{name}`");
            let problem = Problem::error(Code::UnknownName, None, message);
            let known = visit.readings.iter().map(|reading| reading.fact.as_str());
            return Err(Failure::usage(problem.did_you_mean(name, known)));
        }
        store.correct(&visit.id, None, &correction(name)).map_err(Failure::told)?;
        writeln!(
            around.out,
            "{}: {} is taken out; it is kept as corrected.",
            visit.id,
            clean(name)
        )?;
    }
    Ok(Done::Answered)
}
