//! `brumal log`: visits and readings; in and out; copies and rescue.

mod add;
mod correct;
mod exchange;
mod sheet;
mod show;

pub(super) use show::{day, stretch};

use super::args::Common;
use super::exit::{Done, Failure};
use super::logbook::{file, to_read};
use super::surroundings::Surroundings;
use crate::logbook::{Store, rescue};
use crate::problem::{Code, Problem};
use clap::{Args, Subcommand};
use std::io::Write;
use std::path::PathBuf;

/// Show, add, correct, import and export visits and readings
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  brumal log add \"ph 7.4 alk 90 fc 2, brushed today, added 2 lb bicarb\" --pool quarry
  brumal log show quarry --last 5
  brumal log correct --pool quarry \"ph 7.6\" --why \"misread the strip\"
  brumal log sheet quarry
  brumal log export --csv > winter.csv
  brumal log import old.csv            shows how it would be read
  brumal log import old.csv --yes      takes it in, all of it or nothing
  brumal log backup copy.sqlite")]
pub(super) struct LogArgs {
    #[command(subcommand)]
    command: LogCommand,
}

#[derive(Debug, Subcommand)]
enum LogCommand {
    Show(show::ShowArgs),
    Add(add::AddArgs),
    Correct(correct::CorrectArgs),
    Sheet(sheet::SheetArgs),
    Backup(ToFile),
    Rescue(ToFile),
    Import(exchange::ImportArgs),
    Export(exchange::ExportArgs),
}

/// Copy the log into a new file, also while it is in use; or save what a damaged one still holds
#[derive(Debug, Args)]
struct ToFile {
    /// The new file
    file: PathBuf,
}

/// Runs it.
pub(super) fn run(
    args: &LogArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    match &args.command {
        LogCommand::Show(args) => show::run(args, common, around),
        LogCommand::Add(args) => add::run(args, common, around),
        LogCommand::Correct(args) => correct::run(args, common, around),
        LogCommand::Sheet(args) => sheet::run(args, common, around),
        LogCommand::Import(args) => exchange::import(args, common, around),
        LogCommand::Export(args) => exchange::export(args, common, around),
        LogCommand::Backup(to) => {
            to_read(common)?.backup(&to.file).map_err(Failure::told)?;
            writeln!(around.out, "Copied into {}, and the copy is whole.", to.file.display())?;
            Ok(Done::Answered)
        }
        LogCommand::Rescue(to) => {
            let from = file(common).ok_or_else(|| {
                let problem = Problem::error(Code::File, None, "no log is known here");
                Failure::told(problem.help("name it with `--logbook FILE`"))
            })?;
            let saved = rescue(&from, &to.file).map_err(Failure::told)?;
            writeln!(
                around.out,
                "Saved into {}: {} pools, {} visits with {} readings, additions and tasks.",
                to.file.display(),
                saved.pools,
                saved.visits,
                saved.parts
            )?;
            if saved.torn > 0 {
                writeln!(
                    around.out,
                    "{} tables could not be read to their end: some of it is lost. The damaged file was not touched.",
                    saved.torn
                )?;
            }
            Ok(Done::Answered)
        }
    }
}
