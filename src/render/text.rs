//! An answer as text: what was read, what to do, what to beware of, why, the notes, one question.

mod advice;
mod reading;

use super::layout::Sheet;
use super::style::View;
use crate::advice::Answer;
use crate::knowledge::Vocabulary;
use std::io::{self, Write};

/// Writes an answer for a person: urgent first, short lines.
///
/// # Errors
/// The writer's.
pub fn answer(
    out: &mut dyn Write,
    answer: &Answer,
    words: &Vocabulary,
    view: View,
) -> io::Result<()> {
    let mut sheet = Sheet::new(out, view);
    reading::read_line(&mut sheet, answer, words)?;
    reading::doubts(&mut sheet, answer, words)?;
    advice::replies(&mut sheet, answer)?;
    advice::actions(&mut sheet, answer)?;
    advice::cautions(&mut sheet, answer)?;
    advice::findings(&mut sheet, answer)?;
    advice::figures(&mut sheet, answer)?;
    advice::passages(&mut sheet, answer)?;
    advice::question(&mut sheet, answer)?;
    if is_silent(answer) {
        sheet.gap();
        reading::nothing(&mut sheet, answer)?;
    }
    Ok(())
}

/// Writes only what was understood, one fact a line.
///
/// # Errors
/// The writer's.
pub fn reading(
    out: &mut dyn Write,
    answer: &Answer,
    words: &Vocabulary,
    view: View,
) -> io::Result<()> {
    let mut sheet = Sheet::new(out, view);
    reading::listed(&mut sheet, answer, words)
}

/// Whether the answer says nothing that would help.
fn is_silent(answer: &Answer) -> bool {
    answer.findings.is_empty()
        && answer.actions.is_empty()
        && answer.cautions.is_empty()
        && answer.questions.is_empty()
        && answer.figures.is_empty()
        && answer.passages.is_empty()
        && answer.replies.is_empty()
        && answer.read.iter().all(|fact| fact.doubt.is_none())
}
