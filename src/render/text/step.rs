//! One step of a guided walk: what to do, and nothing that could distract from it.

use super::super::layout::Sheet;
use super::super::style::Role;
use super::advice::{heading, wait, who};
use crate::advice::Answer;
use std::io;

/// What can be said to a step.
const WORDS: &str = "Say `done`, `next`, `skip`, `go back`, `can't find it`, `how long have I got`, `why` or `stop`.";

/// The step in hand with its cautions; the words that lead on stand under the first one.
pub(super) fn step(sheet: &mut Sheet<'_>, answer: &Answer) -> io::Result<()> {
    let Some(step) = &answer.step else { return Ok(()) };
    let (role, when) = heading(step.action.urgency);
    let ended = step.ended.map(|ended| format!(", {ended} already")).unwrap_or_default();
    let title = format!("STEP {} OF {}, {when}{ended}", step.action.order, step.of);
    sheet.heading(role, &title)?;
    let wait = wait(&step.action);
    let parts = [
        (Role::Plain, step.action.text.as_str()),
        (Role::Strong, who(step.action.who)),
        (Role::Strong, wait.as_deref().unwrap_or("")),
    ];
    sheet.paragraph("   ", &parts)?;
    if !step.action.tools.is_empty() {
        let tools = format!("Take: {}.", step.action.tools.join(", "));
        sheet.paragraph("   ", &[(Role::Aside, &tools)])?;
    }
    for caution in &step.cautions {
        sheet.marked((Role::Caution, " ! "), &[(Role::Plain, caution)])?;
    }
    if step.action.order == 1 {
        sheet.paragraph("", &[(Role::Aside, WORDS)])?;
    }
    Ok(())
}
