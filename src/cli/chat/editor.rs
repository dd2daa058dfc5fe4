//! The chat on a terminal: line editing, history, completion, keys.

use super::super::exit::Failure;
use super::super::surroundings::{Surroundings, history_file, private_folder};
use super::complete::Completions;
use super::{Chat, leaves};
use rustyline::error::ReadlineError;
use rustyline::history::DefaultHistory;
use rustyline::{ColorMode, CompletionType, Config, Editor};
use std::io::{self, Write};
use std::path::PathBuf;

/// Messages kept in the history.
const KEPT: usize = 1000;

const GREETING: &str = "Tell what you see or measured, or ask. `help` explains, Ctrl-D leaves.";

/// Talks until the user leaves.
pub(super) fn converse(
    chat: &mut Chat<'_>,
    history: bool,
    around: &mut Surroundings,
) -> Result<(), Failure> {
    let mut editor = editor(chat, around).map_err(failed)?;
    let file = if history { open_history(&mut editor, around) } else { None };
    writeln!(around.out, "{GREETING}\n")?;
    loop {
        around.out.flush()?;
        let prompt = chat.prompt();
        let painted =
            if around.view.colour { format!("\u{1b}[1m{prompt}\u{1b}[0m") } else { prompt.clone() };
        match editor.readline(&(prompt, painted)) {
            Ok(text) if text.trim().is_empty() => {}
            Ok(text) if leaves(&text) => break,
            Ok(text) => {
                editor.add_history_entry(text.as_str()).map_err(failed)?;
                around.look_at_width();
                chat.answer(&text, around)?;
            }
            // The line is gone; the conversation goes on.
            Err(ReadlineError::Interrupted) => {}
            Err(ReadlineError::Eof) => break,
            Err(ReadlineError::Io(error)) if error.kind() == io::ErrorKind::InvalidData => {
                around.note("that line is not UTF-8 text; it was skipped");
            }
            Err(error) => return Err(failed(error)),
        }
    }
    if let Some(file) = file
        && let Err(error) = editor.save_history(&file)
    {
        around.note(&format!("cannot keep the history in `{}`: {error}", file.display()));
    }
    Ok(())
}

fn editor(
    chat: &Chat<'_>,
    around: &Surroundings,
) -> rustyline::Result<Editor<Completions, DefaultHistory>> {
    let colour = if around.view.colour { ColorMode::Enabled } else { ColorMode::Disabled };
    let config = Config::builder()
        .max_history_size(KEPT)?
        .history_ignore_dups(true)?
        .history_ignore_space(true)
        .completion_type(CompletionType::List)
        .color_mode(colour)
        .bracketed_paste(true)
        .build();
    let mut editor = Editor::with_config(config)?;
    editor.set_helper(Some(Completions::new(chat.words, chat.pool.as_deref())));
    Ok(editor)
}

/// Loads what was typed before; the file it is kept in, if it can be kept.
fn open_history(
    editor: &mut Editor<Completions, DefaultHistory>,
    around: &Surroundings,
) -> Option<PathBuf> {
    let file = history_file()?;
    let made = file.parent().map_or(Ok(()), private_folder);
    let loaded = made.map_err(ReadlineError::Io).and_then(|()| match editor.load_history(&file) {
        Err(ReadlineError::Io(error)) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        loaded => loaded,
    });
    match loaded {
        Ok(()) => Some(file),
        Err(error) => {
            around.note(&format!("cannot use the history in `{}`: {error}", file.display()));
            None
        }
    }
}

fn failed(error: ReadlineError) -> Failure {
    match error {
        ReadlineError::Io(error) => Failure::Stream(error),
        error => Failure::Stream(io::Error::other(error.to_string())),
    }
}
