//! How well skills sit, for a person at a terminal.

use super::super::layout::Sheet;
use super::super::style::{Role, View};
use super::call_title;
use crate::clock::Moment;
use crate::drill::{Card, Readiness, Standing};
use crate::knowledge::Knowledge;
use crate::units::trim_number;
use std::io::{self, Write};

/// One person's progress.
#[derive(Debug, Clone)]
pub struct Progress<'a> {
    /// Who.
    pub person: &'a str,
    /// When it was looked at.
    pub at: Moment,
    /// The skills.
    pub cards: Vec<Card<'a>>,
    /// Readiness for each kind of call.
    pub readiness: Vec<Readiness>,
}

/// A bar of ten marks.
pub(super) fn bar(share: f64) -> String {
    let full = (0..10u8).filter(|n| f64::from(*n) + 0.5 <= share * 10.0).count();
    format!("[{}{}]", "#".repeat(full), ".".repeat(10 - full))
}

/// When a skill is due, in words.
pub(super) fn due(card: &Card<'_>) -> String {
    if card.failed {
        return "not passed, due now".to_owned();
    }
    match (card.standing, card.days_left) {
        (Standing::New, _) | (_, None) => "new".to_owned(),
        (Standing::Due, Some(days)) if days > -1.0 => "due now".to_owned(),
        (Standing::Due, Some(days)) if days > -1.5 => "due for a day".to_owned(),
        (Standing::Due, Some(days)) => format!("due for {} days", trim_number(-days, 0)),
        (Standing::Held, Some(days)) if days < 1.5 => "holds for a day".to_owned(),
        (Standing::Held, Some(days)) => format!("holds for {} days", trim_number(days, 0)),
    }
}

/// Readiness in words.
pub(super) fn ready(one: &Readiness) -> String {
    let word = if one.ready { "ready" } else { "not yet" };
    format!("{word}: {} of {} skills sit", one.sitting, one.skills)
}

/// Writes progress.
///
/// # Errors
/// The writer's.
pub fn progress_text(out: &mut dyn Write, progress: &Progress<'_>, view: View) -> io::Result<()> {
    let mut sheet = Sheet::new(out, view);
    let day = progress.at.date();
    sheet.paragraph("", &[(Role::Heading, &format!("{}, {day}", progress.person))])?;
    sheet.heading(Role::Heading, "READY FOR")?;
    for one in &progress.readiness {
        let line = format!("{:<20} {} {}", call_title(one.call), bar(one.share), ready(one));
        sheet.paragraph("  ", &[(Role::Plain, &line)])?;
    }
    let mut cards: Vec<&Card<'_>> = progress.cards.iter().filter(|card| card.goes > 0).collect();
    cards.sort_by(|a, b| a.recall.total_cmp(&b.recall).then_with(|| a.skill.id.cmp(&b.skill.id)));
    sheet.heading(Role::Heading, "SKILLS, WEAKEST FIRST")?;
    if cards.is_empty() {
        sheet.paragraph(
            "  ",
            &[(Role::Plain, "Nothing was practised yet: `brumal drill` begins.")],
        )?;
    }
    for card in cards {
        let line = format!("{} {}: {}", bar(card.recall), card.skill.title, due(card));
        let goes = format!(" ({} of {} passed)", card.passed, card.goes);
        sheet.paragraph("  ", &[(Role::Plain, &line), (Role::Aside, &goes)])?;
    }
    let new = progress.cards.iter().filter(|card| card.standing == Standing::New).count();
    if new > 0 {
        sheet.gap();
        sheet.paragraph("  ", &[(Role::Aside, &format!("Not begun: {new} skills."))])?;
    }
    Ok(())
}

/// Writes the skills in an order that builds, each with its cases.
///
/// # Errors
/// The writer's.
pub fn drill_list(out: &mut dyn Write, knowledge: &Knowledge, view: View) -> io::Result<()> {
    let mut sheet = Sheet::new(out, view);
    for skill in crate::drill::in_order(knowledge) {
        sheet.heading(Role::Heading, &skill.id)?;
        sheet.paragraph("  ", &[(Role::Plain, &skill.title)])?;
        for one in knowledge.scenarios.iter().filter(|one| one.skill.id == skill.id) {
            let line = format!("{} ({}, {})", one.id, one.call.name(), one.level.name());
            sheet.paragraph("    ", &[(Role::Aside, &line)])?;
        }
    }
    Ok(())
}
