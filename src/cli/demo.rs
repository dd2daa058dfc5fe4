//! `brumal demo`: an invented winter, to look around in.

use super::args::Common;
use super::exit::{Done, Failure};
use super::logbook::to_write;
use super::surroundings::{Surroundings, base};
use crate::problem::{Code, Problem};
use crate::session::demo;
use clap::Args;
use std::io::Write;

/// Fill a log with an invented winter of the fictional Ottermoor Pools
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  brumal demo --logbook demo.sqlite
  brumal due --logbook demo.sqlite --at 2026-02-10T07:00:00-05:00
  brumal report \"Quarry Lane 9\" --logbook demo.sqlite --out quarry.html")]
pub(super) struct DemoArgs {
    /// The same number gives the same winter
    #[arg(long, value_name = "N", default_value_t = 1)]
    seed: u64,
}

/// Fills a new file; an existing log is left alone.
pub(super) fn run(
    args: &DemoArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let Some(file) = &common.logbook else {
        let problem = Problem::error(Code::Value, None, "the demo does not go into your own log");
        return Err(Failure::usage(problem.help("name a new file with `--logbook FILE`")));
    };
    if file.exists() {
        let message = format!("`{}` is there already", file.display());
        let problem = Problem::error(Code::File, None, message);
        return Err(Failure::told(
            problem.help("the demo goes into a new file: give another name"),
        ));
    }
    let base = base(common, around)?;
    let told = demo(&base, &to_write(common)?, args.seed).map_err(Failure::told)?;
    writeln!(
        around.out,
        "{} pools and {} visits of an invented winter are in {}. Nothing of it is real.",
        told.pools,
        told.visits,
        file.display()
    )?;
    Ok(Done::Answered)
}
