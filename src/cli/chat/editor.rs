//! The chat on a terminal: line editing, history, completion, keys.

use super::super::exit::Failure;
use super::super::surroundings::{Surroundings, environment, history_file, private_folder};
use super::complete::Completions;
use super::{Chat, ChatArgs, leaves};
use rustyline::error::ReadlineError;
use rustyline::history::DefaultHistory;
use rustyline::{ColorMode, CompletionType, Config, Editor};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Messages kept in the history.
const KEPT: usize = 1000;

const GREETING: &str = "Tell what you see or measured, or ask. `help` explains, Ctrl-D leaves.";

/// Talks until the user leaves.
pub(super) fn converse(
    chat: &mut Chat<'_>,
    args: &ChatArgs,
    around: &mut Surroundings,
) -> Result<(), Failure> {
    let mut editor = editor(chat, around).map_err(failed)?;
    let file = if args.no_history { None } else { open_history(&mut editor, around) };
    writeln!(around.out, "{GREETING}\n")?;
    // A terminal that cannot move its cursor, and a screen reader, get no hints and no pages.
    let moves = !around.view.plain && environment("TERM").is_none_or(|term| term != "dumb");
    let mut typed_ahead: Option<String> = None;
    loop {
        around.out.flush()?;
        if let Some(helper) = editor.helper_mut() {
            helper.look(chat, moves);
        }
        let prompt = chat.prompt();
        let painted =
            if around.view.colour { format!("\u{1b}[1m{prompt}\u{1b}[0m") } else { prompt.clone() };
        let line = match typed_ahead.take() {
            Some(text) => Ok(text),
            None => editor.readline(&(prompt, painted)),
        };
        match line {
            Ok(text) if text.trim().is_empty() => {}
            Ok(text) if leaves(&text) => break,
            Ok(text) => {
                editor.add_history_entry(text.as_str()).map_err(failed)?;
                keep_history(&mut editor, file.as_deref(), around);
                around.look_at_width();
                let mut answer = Vec::new();
                chat.write(&text, around, &mut answer)?;
                let rows = editor.dimensions().map(|(_, rows)| usize::from(rows));
                let rows = rows.filter(|_| moves && !args.no_pages);
                typed_ahead = page(&mut editor, &answer, rows, around)?;
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
    Ok(())
}

/// What was typed is kept at once: whatever ends the chat, it is there the next day.
fn keep_history(
    editor: &mut Editor<Completions, DefaultHistory>,
    file: Option<&Path>,
    around: &Surroundings,
) {
    let Some(file) = file else { return };
    if let Err(error) = editor.append_history(file) {
        around.note(&format!("cannot keep the history in `{}`: {error}", file.display()));
    }
}

/// Pages are for terminals that hold at least so many lines.
const LEAST_ROWS: usize = 8;
/// Stands at the end of a page.
const MORE: &str = "-- Enter for more, or type the next message -- ";

/// Writes an answer in pages. What is typed at the end of one is the next message, and ends them.
fn page(
    editor: &mut Editor<Completions, DefaultHistory>,
    answer: &[u8],
    rows: Option<usize>,
    around: &mut Surroundings,
) -> Result<Option<String>, Failure> {
    let Some(rows) = rows.filter(|rows| *rows >= LEAST_ROWS) else {
        around.out.write_all(answer)?;
        return Ok(None);
    };
    let lines: Vec<&[u8]> = answer.split_inclusive(|byte| *byte == b'\n').collect();
    let mut pages = lines.chunks(rows - 1).peekable();
    while let Some(lines) = pages.next() {
        for line in lines {
            around.out.write_all(line)?;
        }
        if pages.peek().is_none() {
            break;
        }
        around.out.flush()?;
        match editor.readline(MORE) {
            Ok(text) if text.trim().is_empty() => {}
            Ok(text) if text.trim().eq_ignore_ascii_case("q") => break,
            Ok(text) => return Ok(Some(text)),
            Err(ReadlineError::Interrupted) => break,
            Err(ReadlineError::Eof) => return Ok(Some("quit".to_owned())),
            Err(error) => return Err(failed(error)),
        }
    }
    Ok(None)
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
    editor.set_helper(Some(Completions::new(chat, around.view.colour)));
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
