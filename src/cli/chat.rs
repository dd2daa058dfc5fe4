//! The chat: a message, an answer, and so on.

use super::args::{Common, Format};
use super::exit::{Done, Failure};
use super::lines::{Line, Lines};
use super::surroundings::{Surroundings, base, session};
use crate::knowledge::Vocabulary;
use crate::render::{answer_json, answer_text};
use crate::session::Session;
use clap::Args;
use std::io::{self, IsTerminal, Write};

/// Options of the chat.
#[derive(Debug, Args)]
#[command(next_help_heading = "Chat options")]
pub(super) struct ChatArgs {
    /// Neither read nor keep the history of what was typed
    #[arg(long)]
    no_history: bool,
    /// Repeat each message before its answer, so that the output is a transcript
    #[arg(long)]
    echo: bool,
}

/// What stands before a message.
const PROMPT: &str = "~ ";

/// Opens the chat, or answers the lines of a pipe.
pub(super) fn run(
    args: &ChatArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    let mut session = session(&base, common)?;
    let words = &base.knowledge.vocabulary;
    if io::stdin().is_terminal() {
        return Err(Failure::told(crate::problem::Problem::error(
            crate::problem::Code::Value,
            None,
            "the chat on a terminal is not built yet",
        )));
    }
    piped(args, &mut session, words, around)?;
    Ok(Done::Answered)
}

/// One message a line, an answer to each.
fn piped(
    args: &ChatArgs,
    session: &mut Session<'_>,
    words: &Vocabulary,
    around: &mut Surroundings,
) -> io::Result<()> {
    let mut lines = Lines::new(io::stdin().lock());
    while let Some(line) = lines.next()? {
        match line {
            Line::Bad(why) => around.note(&format!("{why}; skipped")),
            Line::Text(text) if text.trim().is_empty() => {}
            Line::Text(text) => {
                if args.echo && around.format == Format::Text {
                    writeln!(around.out, "{PROMPT}{}", crate::render::clean(&text))?;
                }
                answer(session, words, &text, around)?;
            }
        }
        if lines.is_dry() {
            around.out.flush()?;
        }
    }
    Ok(())
}

fn answer(
    session: &mut Session<'_>,
    words: &Vocabulary,
    text: &str,
    around: &mut Surroundings,
) -> io::Result<()> {
    let answer = session.turn(text, around.moment());
    match around.format {
        Format::Json => answer_json(&mut around.out, &answer, words, None),
        Format::Text => {
            answer_text(&mut around.out, &answer, words, around.view)?;
            writeln!(around.out)
        }
    }
}
