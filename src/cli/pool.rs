//! `brumal pool`: the pools looked after.

mod add;
mod change;
mod show;

pub(super) use change::facts_told;

use super::args::Common;
use super::exit::{Done, Failure};
use super::surroundings::Surroundings;
use clap::{Args, Subcommand};

/// Add, list, show, change and retire the pools looked after
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  brumal pool add \"Quarry Lane 9, 18k gal plaster, salt system, heat pump, 1½ in returns above ground, spillover spa\"
  brumal pool list --format json
  brumal pool show quarry
  brumal pool change quarry \"cartridge filter\" --why \"sand filter replaced\"
  brumal pool retire quarry")]
pub(super) struct PoolArgs {
    #[command(subcommand)]
    command: PoolCommand,
}

#[derive(Debug, Subcommand)]
enum PoolCommand {
    Add(add::AddArgs),
    List(show::ListArgs),
    Show(show::ShowArgs),
    Change(change::ChangeArgs),
    Retire(change::RetireArgs),
}

/// Runs it.
pub(super) fn run(
    args: &PoolArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    match &args.command {
        PoolCommand::Add(args) => add::run(args, common, around),
        PoolCommand::List(args) => show::list(args, common, around),
        PoolCommand::Show(args) => show::show(args, common, around),
        PoolCommand::Change(args) => change::change(args, common, around),
        PoolCommand::Retire(args) => change::retire(args, common, around),
    }
}
