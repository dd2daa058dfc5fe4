//! An answer as text: what was read, what to do, what to beware of, why, the notes, one question.

mod advice;
mod reading;

use super::layout::Sheet;
use super::style::View;
use crate::advice::{Answer, AnswerFact};
use crate::facts::{Fact, Origin};
use crate::knowledge::{DEED, Vocabulary};
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
    let looked_up = asks_only(answer) && looked_up(answer);
    if looked_up {
        advice::passages(&mut sheet, answer, true)?;
    } else if asks_only(answer) && answer.replies.is_empty() && !answer.actions.is_empty() {
        sheet.gap();
        reading::not_in_the_notes(&mut sheet)?;
    }
    if adds_nothing(answer, words) {
        advice::pressing_actions(&mut sheet, answer)?;
    } else {
        advice::actions(&mut sheet, answer)?;
        advice::cautions(&mut sheet, answer)?;
        if !answer.replies.iter().any(|reply| reply.heading == "what if") {
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

/// Whether a turn of a conversation replied or doubted without learning anything: the steps told before
/// still stand, and saying them all again would bury the reply.
fn adds_nothing(answer: &Answer, words: &Vocabulary) -> bool {
    let replied = !answer.replies.is_empty()
        || !answer.verdicts.is_empty()
        || asks_only(answer)
        || answer.read.iter().any(|fact| fact.doubt.is_some());
    let told_now =
        |fact: &AnswerFact| fact.origin == Origin::Message && words.name(fact.id) != DEED;
    let told_before = !answer.facts.iter().any(told_now);
    let earlier = answer.facts.iter().any(|fact| fact.origin == Origin::Earlier);
    let learned = answer.read.iter().any(|fact| fact.doubt.is_none());
    // What was taken back changes the steps.
    let took_back = answer.replies.iter().any(|reply| reply.heading == "done");
    let is_explanation = answer.replies.iter().any(|reply| reply.heading.starts_with("why"));
    replied && !took_back && !learned && told_before && (earlier || is_explanation)
}

/// Whether a message asked for general knowledge and told nothing.
fn asks_only(answer: &Answer) -> bool {
    let general = |ask: &String| ask == "lookup" || ask == "explain";
    answer.read.is_empty()
        && answer.asks.iter().any(general)
        && answer.facts.iter().all(|fact| fact.origin != Origin::Message)
}

/// Whether the passages answer a question, and do not only support the steps.
fn looked_up(answer: &Answer) -> bool {
    let Some(first) = answer.passages.first() else { return false };
    let name = format!("{}#{}", first.note, first.section);
    let findings = answer.findings.iter().flat_map(|finding| &finding.cites);
    let actions = answer.actions.iter().flat_map(|action| &action.cites);
    let cautions = answer.cautions.iter().flat_map(|caution| &caution.cites);
    !findings.chain(actions).chain(cautions).any(|cite| *cite == name)
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
        && answer.verdicts.is_empty()
        && answer.read.iter().all(|fact| fact.doubt.is_none())
}
