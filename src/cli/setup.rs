//! `brumal setup`: shell completions, manual pages, and where files live.

use super::args::{Brumal, Format};
use super::exit::{Done, Failure};
use super::surroundings::{Surroundings, history_file};
use crate::render::{Role, Sheet, json_line};
use clap::{Args, CommandFactory, Subcommand};
use clap_complete::Shell;
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;

/// Shell completions, manual pages, and where files live
#[derive(Debug, Args)]
pub(super) struct SetupArgs {
    #[command(subcommand)]
    command: SetupCommand,
}

#[derive(Debug, Subcommand)]
enum SetupCommand {
    /// Write completions for a shell to standard output
    #[command(after_help = "\
Example:
  brumal setup completions bash > ~/.local/share/bash-completion/completions/brumal")]
    Completions {
        /// The shell
        #[arg(value_enum)]
        shell: Shell,
    },
    /// Write the manual pages, one a command, into a folder
    #[command(after_help = "\
Example:
  brumal setup man ~/.local/share/man/man1")]
    Man {
        /// The folder; it is made if it is not there
        #[arg(value_name = "DIR")]
        folder: PathBuf,
    },
    /// Show where files live
    Paths,
}

#[derive(Serialize)]
struct Paths {
    schema: &'static str,
    history: Option<String>,
}

/// Runs one of them.
pub(super) fn run(args: &SetupArgs, around: &mut Surroundings) -> Result<Done, Failure> {
    match &args.command {
        SetupCommand::Completions { shell } => {
            let mut script = Vec::new();
            clap_complete::generate(*shell, &mut Brumal::command(), "brumal", &mut script);
            around.out.write_all(&script)?;
        }
        SetupCommand::Man { folder } => {
            std::fs::create_dir_all(folder)?;
            clap_mangen::generate_to(Brumal::command().disable_help_subcommand(true), folder)?;
            around.note(&format!("manual pages are in `{}`", folder.display()));
        }
        SetupCommand::Paths => paths(around)?,
    }
    Ok(Done::Answered)
}

fn paths(around: &mut Surroundings) -> Result<(), Failure> {
    let history = history_file().map(|path| path.display().to_string());
    if around.format == Format::Json {
        let paths = Paths { schema: "brumal.paths/1", history };
        json_line(&mut around.out, &paths)?;
        return Ok(());
    }
    let mut sheet = Sheet::new(&mut around.out, around.view);
    let history = history.unwrap_or_else(|| "none: no home folder".to_owned());
    sheet.paragraph("what was typed in the chat  ", &[(Role::Plain, &history)])?;
    sheet.paragraph("knowledge                   ", &[(Role::Plain, "built into the program")])?;
    Ok(())
}
