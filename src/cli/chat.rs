//! The chat: a message, an answer, and so on.

mod complete;
mod editor;

use super::args::{Common, Format};
use super::exit::{Done, Failure};
use super::lines::{Line, Lines};
use super::logbook::for_answer;
use super::surroundings::{Surroundings, base, session};
use crate::facts::FactId;
use crate::knowledge::{Talk, Vocabulary};
use crate::render::{answer_json, answer_text, clean};
use crate::session::{Keep, Session};
use clap::Args;
use std::io::{self, IsTerminal, Write};

/// Options of the chat.
#[derive(Debug, Args)]
#[command(next_help_heading = "Chat options")]
pub(super) struct ChatArgs {
    /// Neither read nor keep the history of what was typed
    #[arg(long)]
    no_history: bool,
    /// Do not stop at the end of each page of a long answer
    #[arg(long)]
    no_pages: bool,
    /// Repeat each message before its answer, so that the output is a transcript
    #[arg(long)]
    echo: bool,
}

/// What stands before a message.
const PROMPT: &str = "~ ";

/// Words that end the chat.
const LEAVING: [&str; 3] = ["quit", "exit", "bye"];

/// Opens the chat, or answers the lines of a pipe.
pub(super) fn run(
    args: &ChatArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    let book = for_answer(common, true, around)?;
    let session = session(&base, book.as_ref().map(|book| (book, Keep::Offer)), common)?;
    let words = &base.knowledge().vocabulary;
    let talk = &base.knowledge().talk;
    let pool = common.pool.clone();
    let mut chat = Chat { session, words, talk, pool, asked: None, walking: false };
    if io::stdin().is_terminal() {
        editor::converse(&mut chat, args, around)?;
    } else {
        piped(args, &mut chat, around)?;
    }
    Ok(Done::Answered)
}

/// A conversation and what it is about.
struct Chat<'b> {
    session: Session<'b>,
    words: &'b Vocabulary,
    talk: &'b Talk,
    pool: Option<String>,
    /// The fact that the last answer asked for.
    asked: Option<FactId>,
    /// Whether somebody is led through the steps.
    walking: bool,
}

impl Chat<'_> {
    /// Answers one message, text with a blank line after it.
    fn answer(&mut self, text: &str, around: &mut Surroundings) -> io::Result<()> {
        let mut out = Vec::new();
        self.write(text, around, &mut out)?;
        around.out.write_all(&out)
    }

    /// The same into something else, such as pages.
    fn write(&mut self, text: &str, around: &Surroundings, out: &mut Vec<u8>) -> io::Result<()> {
        let answer = self.session.turn(text, around.moment());
        self.pool.clone_from(&answer.pool);
        self.asked = answer.questions.first().map(|question| question.fact);
        self.walking = answer.step.is_some();
        match around.format {
            Format::Json => answer_json(out, &answer, self.words, None),
            Format::Text => {
                answer_text(out, &answer, self.words, around.view)?;
                writeln!(out)
            }
        }
    }

    /// What stands before the next message: the pool in hand, if there is one.
    fn prompt(&self) -> String {
        let pool = self.pool.as_deref().map(|pool| clean(pool).replace('\n', " "));
        pool.map_or_else(|| PROMPT.to_owned(), |pool| format!("{pool} {PROMPT}"))
    }
}

/// Whether the message is a word that ends the chat.
fn leaves(text: &str) -> bool {
    LEAVING.iter().any(|word| text.trim().eq_ignore_ascii_case(word))
}

/// One message a line, an answer to each.
fn piped(args: &ChatArgs, chat: &mut Chat<'_>, around: &mut Surroundings) -> io::Result<()> {
    let mut lines = Lines::new(io::stdin().lock());
    while let Some(line) = lines.next()? {
        match line {
            Line::Bad(why) => around.note(&format!("{why}; it was skipped")),
            Line::Text(text) if text.trim().is_empty() => {}
            Line::Text(text) if leaves(&text) => break,
            Line::Text(text) => {
                if args.echo && around.format == Format::Text {
                    writeln!(around.out, "{PROMPT}{}", clean(&text))?;
                }
                chat.answer(&text, around)?;
            }
        }
        // Somebody may wait for this answer before sending the next message.
        if lines.is_dry() {
            around.out.flush()?;
        }
    }
    Ok(())
}
