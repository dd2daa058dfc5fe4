//! An answer as text: what was read, what to do, what to beware of, why, the notes, one question.

mod advice;
mod marked;
mod reading;
mod step;

use super::layout::Sheet;
use super::style::View;
use crate::advice::{Answer, Telling};
use crate::facts::{Fact, Origin};
use crate::knowledge::Vocabulary;
use std::io::{self, Write};

pub use advice::passage;

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
    for other in &answer.others {
        self::answer(out, other, words, view)?;
        writeln!(out)?;
    }
    let mut sheet = Sheet::new(out, view);
    reading::read_line(&mut sheet, answer, words)?;
    let of_doubt = |fact: &Fact| {
        fact.doubt.is_some() && answer.questions.iter().any(|question| question.fact == fact.id)
    };
    let doubted = answer.read.iter().any(of_doubt);
    reading::doubts(&mut sheet, answer, words)?;
    if doubted {
        // Asked about before it is used.
        advice::question(&mut sheet, answer)?;
    }
    advice::verdicts(&mut sheet, answer)?;
    advice::replies(&mut sheet, answer)?;
    let replies = answer.telling == Telling::Reply;
    let looked_up = answer.looked_up && (replies || asks_only(answer));
    if looked_up {
        advice::passages(&mut sheet, answer, true)?;
    } else if asks_only(answer) && answer.replies.is_empty() && !answer.actions.is_empty() {
        sheet.gap();
        reading::not_in_the_notes(&mut sheet)?;
    }
    match answer.telling {
        Telling::Step => step::step(&mut sheet, answer)?,
        Telling::Reply => advice::still(&mut sheet, answer)?,
        Telling::Whole => {
            advice::actions(&mut sheet, answer)?;
            advice::cautions(&mut sheet, answer)?;
            advice::plans(&mut sheet, answer)?;
            advice::findings(&mut sheet, answer)?;
            advice::figures(&mut sheet, answer)?;
            if !looked_up {
                advice::passages(&mut sheet, answer, false)?;
            }
        }
    }
    if !doubted {
        advice::question(&mut sheet, answer)?;
    }
    if is_silent(answer) {
        sheet.gap();
        reading::nothing(&mut sheet, answer)?;
    }
    Ok(())
}

/// Whether a message asked for general knowledge and told nothing.
fn asks_only(answer: &Answer) -> bool {
    let general = |ask: &String| ask == "lookup" || ask == "explain";
    answer.read.is_empty()
        && answer.asks.iter().any(general)
        && answer.facts.iter().all(|fact| fact.origin != Origin::Message)
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
    for other in &answer.others {
        reading(out, other, words, view)?;
        writeln!(out)?;
    }
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
        && answer.plans.is_empty()
        && answer.verdicts.is_empty()
        && answer.read.iter().all(|fact| fact.doubt.is_none())
}
