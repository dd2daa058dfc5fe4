//! The message shown back, with what was read marked by brackets and numbers, and named under its numbers.

use super::super::layout::Sheet;
use super::super::style::Role;
use crate::advice::Answer;
use crate::facts::Fact;
use std::io;

/// A longer message is not shown back: its reader knows what it said.
const LONGEST: usize = 400;

/// A stretch of the message that was read.
pub(super) struct Mark<'a> {
    /// Its number.
    pub number: usize,
    /// What it says.
    pub fact: &'a Fact,
    begin: usize,
    end: usize,
}

/// The marks of a message, in order of place; none if it is not shown back.
pub(super) fn marks(answer: &Answer) -> Vec<Mark<'_>> {
    let placed = |fact: &'_ Fact| {
        let span = fact.span?;
        let words = answer.message.get(span.start..span.end)?;
        (!words.is_empty()).then_some((span.start, span.end))
    };
    let mut found: Vec<Mark<'_>> = answer
        .read
        .iter()
        .filter_map(|fact| {
            let (begin, end) = placed(fact)?;
            Some(Mark { number: 0, fact, begin, end })
        })
        .collect();
    if answer.message.len() > LONGEST || found.len() < 2 {
        return Vec::new();
    }
    found.sort_by_key(|mark| (mark.begin, mark.end));
    found.iter_mut().zip(1..).for_each(|(mark, number)| mark.number = number);
    found
}

/// `Said     pump [1 died] [2 about 4], its [3 19 out]`.
pub(super) fn message(sheet: &mut Sheet<'_>, answer: &Answer) -> io::Result<()> {
    let marks = marks(answer);
    if marks.is_empty() {
        return Ok(());
    }
    let text = |from: usize, to: usize| {
        answer.message.get(from..to).unwrap_or_default().replace(['\n', '\r'], " ")
    };
    let mut parts: Vec<(Role, String)> = Vec::new();
    let mut at = 0;
    for (begin, end, numbers) in stretches(&marks) {
        parts.push((Role::Aside, text(at, begin)));
        parts.push((Role::Plain, format!("[{numbers} {}]", text(begin, end))));
        at = end;
    }
    parts.push((Role::Aside, text(at, answer.message.len()).trim_end().to_owned()));
    let parts: Vec<(Role, &str)> =
        parts.iter().map(|(role, text)| (*role, text.as_str())).collect();
    sheet.marked((Role::Aside, "Said     "), &parts)
}

/// Stretches of the message with the numbers of what they say; facts whose words overlap share one.
fn stretches(marks: &[Mark<'_>]) -> Vec<(usize, usize, String)> {
    let mut found: Vec<(usize, usize, String)> = Vec::new();
    for mark in marks {
        match found.last_mut() {
            Some((_, end, numbers)) if mark.begin < *end => {
                *end = (*end).max(mark.end);
                numbers.push_str(&format!(",{}", mark.number));
            }
            _ => found.push((mark.begin, mark.end, mark.number.to_string())),
        }
    }
    found
}
