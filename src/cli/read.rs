//! `brumal read`: only what was understood.

use super::args::{Common, Format};
use super::exit::{Done, Failure};
use super::message::message;
use super::surroundings::{Surroundings, base, session};
use crate::render::{reading_json, reading_text};
use clap::Args;

/// Show only what was understood: facts, asks, and the words left unread
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  brumal read \"ph 7.2 alk 90, water 44\"
  brumal read --format json \"pump isnt running\"")]
pub(super) struct ReadArgs {
    /// The message; `-` reads it from standard input
    #[arg(required = true, allow_negative_numbers = true, value_name = "TEXT")]
    text: Vec<String>,
}

/// Reads.
pub(super) fn run(
    args: &ReadArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let text = message(&args.text)?;
    let base = base(common, around)?;
    let answer = session(&base, None, common)?.turn(&text, around.at);
    let words = &base.knowledge().vocabulary;
    match around.format {
        Format::Text => reading_text(&mut around.out, &answer, words, around.view)?,
        Format::Json => reading_json(&mut around.out, &answer, words)?,
    }
    Ok(Done::Answered)
}
