//! `brumal read`: only what was understood.

use super::args::{Common, Format};
use super::exit::{Done, Failure};
use super::message::message;
use super::surroundings::{Surroundings, base, session};
use crate::render::{reading_json, reading_text};
use clap::Args;
use std::io::Write;

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
        Format::Text => {
            reading_text(&mut around.out, &answer, words, around.view)?;
            // What reads otherwise an hour later was counted from the clock.
            let later = session(&base, None, common)?.turn(&text, around.at.plus_hours(1.0));
            if common.at.is_none() && later.read != answer.read {
                let hour = around.at.hour_of_day();
                let minutes = (hour.fract() * 60.0).floor();
                writeln!(
                    around.out,
                    "times counted from {:02.0}:{minutes:02.0} now; say --at to set it",
                    hour.floor()
                )?;
            }
        }
        Format::Json => reading_json(&mut around.out, &answer, words)?,
    }
    Ok(Done::Answered)
}
