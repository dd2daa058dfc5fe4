//! `brumal rules`: lists, shows and checks the rule base.

mod check;
mod list;
mod show;

use super::args::Common;
use super::exit::{Done, Failure};
use super::surroundings::Surroundings;
use clap::{Args, Subcommand};

/// List, show and check the rules that answers go by
#[derive(Debug, Args)]
pub(super) struct RulesArgs {
    #[command(subcommand)]
    command: RulesCommand,
}

#[derive(Debug, Subcommand)]
enum RulesCommand {
    List(list::ListArgs),
    Show(show::ShowArgs),
    Check(check::CheckArgs),
}

/// Runs one of them.
pub(super) fn run(
    args: &RulesArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    match &args.command {
        RulesCommand::List(args) => list::run(args, common, around),
        RulesCommand::Show(args) => show::run(args, common, around),
        RulesCommand::Check(args) => check::run(args, common, around),
    }
}
