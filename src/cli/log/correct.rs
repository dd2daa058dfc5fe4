//! `brumal log correct`: puts a visit right and keeps what was there.

use super::super::args::Common;
use super::super::exit::{Done, Failure};
use super::super::logbook::{pool_called, to_write, who};
use super::super::pool::facts_told;
use super::super::surroundings::{Surroundings, base};
use crate::logbook::{Account, Amendment, Store, Stretch, Visit};
use crate::problem::{Code, Problem};
use crate::render::clean;
use crate::session::{corrections, taken_out};
use clap::Args;
use std::io::Write;

/// Put right what a visit says; what it said before is kept, with who, when and why
#[derive(Debug, Args)]
pub(in super::super) struct CorrectArgs {
    /// What it should have said, such as "ph 7.6" or "12 oz of acid, not 21"
    #[arg(allow_negative_numbers = true)]
    text: Vec<String>,
    /// The visit, by its id [default: the last one of --pool]
    #[arg(long, value_name = "ID")]
    visit: Option<String>,
    /// What to take out: a reading by its fact's name, an addition by its product, a task by its id
    #[arg(long, value_name = "NAME")]
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
    let text = args.text.join(" ");
    let facts = facts_told(&base, &text, common, around.at)?;
    let mut rights = corrections(&base, &text, &facts, &visit, around.view.units);
    for name in &args.remove {
        rights.push(taken_out(&base, name, &visit).map_err(Failure::usage)?);
    }
    if rights.is_empty() {
        let problem = Problem::error(Code::Value, None, "there is nothing to put right in that");
        let help = "say it like `ph 7.6`, `12 oz of acid, not 21` or `--remove brush`; `brumal log show` says what the visit has";
        return Err(Failure::usage(problem.help(help)));
    }
    let by = Account { at: around.at, who: who(args.by.as_ref()), why: args.why.clone() };
    let amendments: Vec<(String, Amendment)> =
        rights.iter().map(|one| (one.visit.clone(), one.amendment.clone())).collect();
    store.correct(&amendments, &by).map_err(Failure::told)?;
    for right in &rights {
        let (said, id) = (clean(&right.said), clean(&right.visit));
        writeln!(around.out, "{id}: {said}; what it said before is kept.")?;
    }
    Ok(Done::Answered)
}
