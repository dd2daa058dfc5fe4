//! What to do, what to beware of, and why.

use super::super::layout::Sheet;
use super::super::style::Role;
use crate::advice::{Answer, AnswerAction, Figure, Finding};
use crate::knowledge::{Urgency, Who};
use crate::units::trim_number;
use std::collections::BTreeSet;
use std::io;

/// Direct replies: what was asked comes before what was not.
pub(super) fn replies(sheet: &mut Sheet<'_>, answer: &Answer) -> io::Result<()> {
    for reply in &answer.replies {
        let heading = reply.heading.to_uppercase();
        sheet.heading(Role::Heading, &heading)?;
        for line in &reply.lines {
            // The depth of a reason is its indent, also where it is wrapped.
            let text = line.trim_start();
            let depth = line.len() - text.len();
            sheet.paragraph(&" ".repeat(3 + depth), &[(Role::Plain, text)])?;
        }
        if !reply.cites.is_empty() {
            sheet.paragraph("   ", &[(Role::Aside, &cited(&reply.cites))])?;
        }
    }
    Ok(())
}

/// What cannot wait, with all cautions, although it was told before; the rest is only remembered.
pub(super) fn pressing_actions(sheet: &mut Sheet<'_>, answer: &Answer) -> io::Result<()> {
    let pressing = |action: &&AnswerAction| action.urgency == Urgency::Now;
    let now: Vec<&AnswerAction> = answer.actions.iter().filter(pressing).collect();
    if !now.is_empty() {
        listed(sheet, &now)?;
        return cautions(sheet, answer);
    }
    if !answer.actions.is_empty() {
        sheet.gap();
        let text = "The steps and cautions told before still stand.";
        sheet.paragraph("", &[(Role::Aside, text)])?;
    }
    Ok(())
}

/// The actions under the headings of their urgency, numbered through.
pub(super) fn actions(sheet: &mut Sheet<'_>, answer: &Answer) -> io::Result<()> {
    listed(sheet, &answer.actions.iter().collect::<Vec<_>>())
}

fn listed(sheet: &mut Sheet<'_>, actions: &[&AnswerAction]) -> io::Result<()> {
    let mut under = None;
    for action in actions {
        if under != Some(action.urgency) {
            under = Some(action.urgency);
            let (role, heading) = match action.urgency {
                Urgency::Now => (Role::Pressing, "DO NOW"),
                Urgency::Today => (Role::Soon, "TODAY"),
                Urgency::Week => (Role::Heading, "THIS WEEK"),
                Urgency::Routine => (Role::Heading, "NEXT VISIT"),
                Urgency::Info => (Role::Heading, "ANY TIME"),
            };
            sheet.heading(role, heading)?;
        }
        let who = match action.who {
            Who::Anyone => "",
            Who::Technician => " (pool\u{a0}technician)",
            Who::Electrician => " (licensed\u{a0}electrician)",
            Who::GasFitter => " (licensed\u{a0}gas\u{a0}fitter)",
            Who::Professional => " (professional)",
            Who::EmergencyServices => " (emergency\u{a0}services)",
        };
        let wait = action.wait_h.map(|hours| format!(" Then wait {}.", tied(&time(hours))));
        let mark = format!("{:>2}. ", action.order);
        let parts = [
            (Role::Plain, action.text.as_str()),
            (Role::Strong, who),
            (Role::Strong, wait.as_deref().unwrap_or("")),
        ];
        sheet.paragraph(&mark, &parts)?;
    }
    Ok(())
}

/// The cautions, each with the numbers of the steps it goes with.
pub(super) fn cautions(sheet: &mut Sheet<'_>, answer: &Answer) -> io::Result<()> {
    if answer.cautions.is_empty() {
        return Ok(());
    }
    sheet.heading(Role::Caution, "TAKE CARE")?;
    for caution in &answer.cautions {
        let with = answer.actions.iter().filter(|action| action.cautions.contains(&caution.id));
        let steps = numbers(&with.collect::<Vec<_>>());
        sheet.marked(
            (Role::Caution, " !  "),
            &[(Role::Plain, &caution.text), (Role::Aside, &steps)],
        )?;
    }
    Ok(())
}

/// ` (step 2)`, ` (steps 2, 4)`.
fn numbers(actions: &[&AnswerAction]) -> String {
    let listed: Vec<String> = actions.iter().map(|action| action.order.to_string()).collect();
    match listed.len() {
        0 => String::new(),
        1 => format!(" (step\u{a0}{})", listed.join("")),
        _ => format!(" (steps\u{a0}{})", listed.join(",\u{a0}")),
    }
}

/// So many reasons are told; in a hurry fewer. The rest is a `why` away.
const REASONS: usize = 6;
const REASONS_IN_A_HURRY: usize = 4;

/// The findings that the text tells, most urgent first.
fn told(answer: &Answer) -> &[Finding] {
    let in_a_hurry = answer.actions.iter().any(|action| action.urgency == Urgency::Now);
    let most = if in_a_hurry { REASONS_IN_A_HURRY } else { REASONS };
    answer.findings.get(..most).unwrap_or(&answer.findings)
}

/// Why: what was found, with the sections that explain it, and where else to read.
pub(super) fn findings(sheet: &mut Sheet<'_>, answer: &Answer) -> io::Result<()> {
    let told = told(answer);
    if !told.is_empty() {
        sheet.heading(Role::Heading, "WHY")?;
    }
    let mut shown = BTreeSet::new();
    for finding in told {
        let fresh = finding.cites.iter().find(|cite| shown.insert((*cite).clone()));
        let aside = fresh.map(|cite| format!(" [{cite}]")).unwrap_or_default();
        sheet.paragraph(" -  ", &[(Role::Plain, &finding.text), (Role::Aside, &aside)])?;
    }
    let more = answer.findings.len() - told.len();
    if more > 0 {
        let text = format!("and {more} more; say `why 1`, `why 2` … for the steps.");
        sheet.paragraph(" -  ", &[(Role::Aside, &text)])?;
    }
    let of_steps = answer.actions.iter().filter_map(|action| action.cites.first());
    let further: Vec<String> =
        of_steps.filter(|cite| shown.insert((*cite).clone())).take(FURTHER).cloned().collect();
    if !further.is_empty() {
        let text = format!("How: {}", cited(&further));
        sheet.paragraph(" -  ", &[(Role::Aside, &text)])?;
    }
    Ok(())
}

/// So many further sections are named.
const FURTHER: usize = 4;

/// The computed numbers that the reasons rest on, or that were asked for; their text carries the band.
pub(super) fn figures(sheet: &mut Sheet<'_>, answer: &Answer) -> io::Result<()> {
    let behind = |figure: &&Figure| {
        let name = format!("figure.{}", figure.name);
        answer.findings.is_empty()
            || told(answer).iter().any(|finding| finding.because.contains(&name))
    };
    let shown: Vec<&Figure> = answer.figures.iter().filter(behind).collect();
    if shown.is_empty() {
        return Ok(());
    }
    sheet.heading(Role::Heading, "BY THE NUMBERS")?;
    for figure in shown {
        sheet.paragraph(" -  ", &[(Role::Plain, &figure.text)])?;
    }
    Ok(())
}

/// A number and its unit, which no line break may part.
fn tied(text: &str) -> String {
    text.replace(' ', "\u{a0}")
}

/// Passages of the notes: whole where a question asked for them, their beginnings where they only support steps.
pub(super) fn passages(sheet: &mut Sheet<'_>, answer: &Answer, asked: bool) -> io::Result<()> {
    if answer.passages.is_empty() {
        return Ok(());
    }
    sheet.heading(Role::Heading, "FROM THE NOTES")?;
    let alone = answer.findings.is_empty() && answer.actions.is_empty();
    let support = !(asked || alone);
    for passage in answer.passages.iter().take(SHOWN) {
        let cite = format!(" [{}#{}]", passage.note, passage.section);
        sheet.paragraph(" -  ", &[(Role::Strong, &passage.title), (Role::Aside, &cite)])?;
        if support {
            let text = beginning(&passage.text);
            sheet.paragraph("    ", &[(Role::Plain, &text)])?;
            continue;
        }
        sheet.paragraph("    ", &[(Role::Plain, passage.text.trim())])?;
        if !passage.source.is_empty() {
            let source = format!("Source: {}", passage.source);
            sheet.paragraph("    ", &[(Role::Aside, &source)])?;
        }
    }
    Ok(())
}

/// So many passages are shown; all stand in the JSON.
const SHOWN: usize = 2;
/// A beginning ends with the sentence that goes beyond so many bytes.
const BEGINNING: usize = 120;

/// The first sentences of a passage.
fn beginning(text: &str) -> String {
    let text = text.trim();
    let end = text.match_indices(". ").map(|(at, _)| at + 1).find(|at| *at >= BEGINNING);
    match end.and_then(|end| text.get(..end)) {
        Some(first) => format!("{first} …"),
        None => text.to_owned(),
    }
}

/// The one question.
pub(super) fn question(sheet: &mut Sheet<'_>, answer: &Answer) -> io::Result<()> {
    for question in &answer.questions {
        sheet.gap();
        let why = question.why.trim().trim_end_matches('.');
        let why = if why.is_empty() { String::new() } else { format!(" ({why})") };
        sheet.marked(
            (Role::Question, "?  "),
            &[(Role::Question, &question.text), (Role::Aside, &why)],
        )?;
    }
    Ok(())
}

fn cited(cites: &[String]) -> String {
    let listed: Vec<String> = cites.iter().map(|cite| format!("[{cite}]")).collect();
    listed.join(" ")
}

/// Hours in words: `30 min`, `4 h`, `2 days`.
fn time(hours: f64) -> String {
    if hours < 1.0 {
        format!("{} min", trim_number(hours * 60.0, 0))
    } else if hours < 48.0 {
        format!("{} h", trim_number(hours, 1))
    } else {
        format!("{} days", trim_number(hours / 24.0, 1))
    }
}
