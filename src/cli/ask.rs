//! `brumal ask`: one message, one answer.

use super::args::{Common, Format};
use super::exit::{Done, Failure};
use super::logbook::for_answer;
use super::message::message;
use super::surroundings::{Surroundings, base, session};
use crate::problem::{Code, Problem};
use crate::render::{answer_json, answer_text};
use crate::session::Keep;
use clap::Args;

/// Answer one message and exit
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  brumal ask \"pump at the back pool died about 4, its 19 out and windy\"
  brumal ask ph 7.2 alk 90 ch 180 --fact pool.surface=plaster
  brumal ask \"low 19 tonight\" --units us --format json
  brumal ask - < message.txt")]
pub(super) struct AskArgs {
    /// What you see, measure or want to know; `-` reads it from standard input
    #[arg(required = true, allow_negative_numbers = true, value_name = "TEXT")]
    text: Vec<String>,
}

/// Answers.
pub(super) fn run(
    args: &AskArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let text = message(&args.text)?;
    if text.trim().is_empty() && common.facts.is_empty() {
        let problem = Problem::error(Code::Value, None, "the message is empty");
        return Err(Failure::told(
            problem.help("say what you see, such as `pump stopped, 19 out`"),
        ));
    }
    let base = base(common, around)?;
    let book = for_answer(common, false, around)?;
    let answer = session(&base, book.as_ref().map(|book| (book, Keep::Nothing)), common)?
        .turn(&text, around.at);
    let words = &base.knowledge().vocabulary;
    match around.format {
        Format::Text => answer_text(&mut around.out, &answer, words, around.view)?,
        Format::Json => answer_json(&mut around.out, &answer, words, None)?,
    }
    Ok(Done::Answered)
}
