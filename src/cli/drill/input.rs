//! Lines of a trainee: from a terminal with line editing, or from a pipe.

use super::super::exit::Failure;
use super::super::lines::{Line, Lines};
use super::super::surroundings::Surroundings;
use super::Format;
use crate::render::clean;
use rustyline::DefaultEditor;
use rustyline::error::ReadlineError;
use std::io::{self, IsTerminal, StdinLock, Write};

/// What stands before an answer.
pub(super) const PROMPT: &str = "~ ";

/// Where lines come from.
pub(super) enum Input {
    /// A terminal.
    Terminal(Box<DefaultEditor>),
    /// A pipe; whether each line is repeated.
    Pipe(Lines<StdinLock<'static>>, bool),
}

impl Input {
    /// Opens standard input.
    pub(super) fn open(echo: bool) -> Result<Self, Failure> {
        if io::stdin().is_terminal() {
            let editor = DefaultEditor::new().map_err(failed)?;
            return Ok(Self::Terminal(Box::new(editor)));
        }
        Ok(Self::Pipe(Lines::new(io::stdin().lock()), echo))
    }

    /// The next line; `None` at the end.
    pub(super) fn next(&mut self, around: &mut Surroundings) -> Result<Option<String>, Failure> {
        around.out.flush()?;
        match self {
            Self::Terminal(editor) => {
                let line = editor.readline(PROMPT);
                around.look_at_width();
                match line {
                    Ok(line) => Ok(Some(line)),
                    // Who breaks off leaves the case; it does not count.
                    Err(ReadlineError::Interrupted) => Ok(Some("quit".to_owned())),
                    Err(ReadlineError::Eof) => Ok(None),
                    Err(error) => Err(failed(error)),
                }
            }
            Self::Pipe(lines, echo) => loop {
                match lines.next()? {
                    None => return Ok(None),
                    Some(Line::Bad(why)) => around.note(&format!("{why}; it was skipped")),
                    Some(Line::Text(text)) => {
                        if *echo && around.format == Format::Text {
                            writeln!(
                                around.out,
                                "{}",
                                format!("{PROMPT}{}", clean(&text)).trim_end()
                            )?;
                        }
                        return Ok(Some(text));
                    }
                }
            },
        }
    }
}

fn failed(error: ReadlineError) -> Failure {
    match error {
        ReadlineError::Io(error) => Failure::Stream(error),
        error => Failure::Stream(io::Error::other(error.to_string())),
    }
}
