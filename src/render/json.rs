//! Answers and readings as JSON, as the contract has them. Strings escape every character that
//! [`clean`](super::clean()) would not show, so that JSON on a terminal is harmless too.

mod answer;
mod escape;
mod reading;
mod value;

use crate::advice::Answer;
use crate::knowledge::Vocabulary;
use serde::Serialize;
use std::io::{self, Write};

/// Writes an answer as one line of JSON; `id` stands first if there is one.
///
/// # Errors
/// The writer's.
pub fn answer(
    out: &mut dyn Write,
    answer: &Answer,
    words: &Vocabulary,
    id: Option<&serde_json::Value>,
) -> io::Result<()> {
    line(out, &answer::Shape::of(answer, words, id))
}

/// Writes what was understood as one line of JSON.
///
/// # Errors
/// The writer's.
pub fn reading(out: &mut dyn Write, answer: &Answer, words: &Vocabulary) -> io::Result<()> {
    line(out, &reading::Shape::of(answer, words))
}

/// Writes anything as one line of JSON.
///
/// # Errors
/// The writer's.
pub fn line(out: &mut dyn Write, one: &impl Serialize) -> io::Result<()> {
    value(out, one)?;
    out.write_all(b"\n")
}

/// Writes anything as JSON, without an end of line.
///
/// # Errors
/// The writer's.
pub(super) fn value(out: &mut dyn Write, one: &impl Serialize) -> io::Result<()> {
    // Written as a whole: the many small pieces do not each go through the writer.
    let mut bytes = Vec::with_capacity(1 << 12);
    let mut writer = serde_json::Serializer::with_formatter(&mut bytes, escape::Escaping);
    one.serialize(&mut writer).map_err(io::Error::from)?;
    out.write_all(&bytes)
}
