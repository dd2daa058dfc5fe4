//! What to do, what to beware of, and why.

use super::super::layout::Sheet;
use super::super::style::Role;
use crate::advice::{Advised, Answer, AnswerAction, AnswerCaution, Figure, Finding};
use crate::knowledge::{Passage, Urgency, Verdict, Who};
use crate::units::trim_number;
use std::collections::BTreeSet;
use std::io;

/// The verdict on a question for leave, before everything else: one word, then why or until when.
pub(super) fn verdicts(sheet: &mut Sheet<'_>, answer: &Answer) -> io::Result<()> {
    for one in &answer.verdicts {
        sheet.gap();
        let (role, word) = match one.verdict {
            Verdict::No => (Role::Pressing, "NO:"),
            Verdict::NotYet => (Role::Pressing, "NOT YET:"),
            Verdict::Close => (Role::Soon, "CLOSE:"),
            Verdict::Either => (Role::Soon, "EITHER:"),
            Verdict::StayOpen => (Role::Soon, "STAY OPEN:"),
            Verdict::Yes => (Role::Soon, "YES:"),
        };
        let cited = one.cites.first().map(|cite| format!(" [{cite}]")).unwrap_or_default();
        let text = format!(" {}", one.text);
        sheet.paragraph("", &[(role, word), (Role::Plain, &text), (Role::Aside, &cited)])?;
    }
    Ok(())
}

/// Direct replies: what was asked comes before what was not.
pub(super) fn replies(sheet: &mut Sheet<'_>, answer: &Answer) -> io::Result<()> {
    advised(sheet, &answer.replies)
}

/// What was computed of the night, after the steps.
pub(super) fn plans(sheet: &mut Sheet<'_>, answer: &Answer) -> io::Result<()> {
    advised(sheet, &answer.plans)
}

fn advised(sheet: &mut Sheet<'_>, list: &[Advised]) -> io::Result<()> {
    for reply in list {
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

/// What was told before still stands; what cannot wait is named once more.
pub(super) fn still(sheet: &mut Sheet<'_>, answer: &Answer) -> io::Result<()> {
    let Some(first) = answer.actions.first() else { return Ok(()) };
    if answer.replies.iter().any(|reply| reply.heading == "what if") {
        return Ok(());
    }
    sheet.gap();
    if first.urgency == Urgency::Now {
        let text = format!(" {}", first.text);
        // A screen reader spells capitals out.
        let still = if sheet.view().plain { "Still first:" } else { "STILL FIRST:" };
        sheet.paragraph("", &[(Role::Pressing, still), (Role::Plain, &text)])?;
        for caution in answer.cautions.iter().filter(|one| stands_with(answer, one, first)) {
            sheet.marked((Role::Caution, " !  "), &[(Role::Plain, &caution.text)])?;
        }
    }
    let text = "The steps and cautions told before still stand (`again` shows them).";
    sheet.paragraph("", &[(Role::Aside, text)])
}

/// The actions under the headings of their urgency, numbered through.
pub(super) fn actions(sheet: &mut Sheet<'_>, answer: &Answer) -> io::Result<()> {
    done(sheet, answer)?;
    let pressing = |action: &&AnswerAction| action.urgency <= Urgency::Week;
    let (soon, later): (Vec<_>, Vec<_>) = answer.actions.iter().partition(pressing);
    listed(sheet, answer, &soon)?;
    if soon.is_empty() || later.len() <= FEW || answer.whole {
        return listed(sheet, answer, &later);
    }
    sheet.gap();
    let text =
        format!("and {} for the next visit or any time; say `more` in the chat.", later.len());
    sheet.paragraph(" -  ", &[(Role::Aside, &text)])
}

/// So many steps that can wait are told beside those that cannot.
const FEW: usize = 2;

/// What is done already, where it needs saying.
fn done(sheet: &mut Sheet<'_>, answer: &Answer) -> io::Result<()> {
    for one in answer.done.iter().filter(|one| !one.text.is_empty()) {
        sheet.gap();
        sheet.marked((Role::Strong, "Done     "), &[(Role::Plain, &one.text)])?;
    }
    Ok(())
}

pub(super) fn heading(urgency: Urgency) -> (Role, &'static str) {
    match urgency {
        Urgency::Now => (Role::Pressing, "DO NOW"),
        Urgency::Today => (Role::Soon, "TODAY"),
        Urgency::Week => (Role::Heading, "THIS WEEK"),
        Urgency::Routine => (Role::Heading, "NEXT VISIT"),
        Urgency::Info => (Role::Heading, "ANY TIME"),
    }
}

/// Who may do it, if not anyone.
pub(super) const fn who(who: Who) -> &'static str {
    match who {
        Who::Anyone => "",
        Who::Technician => " (pool\u{a0}technician)",
        Who::Electrician => " (licensed\u{a0}electrician)",
        Who::GasFitter => " (licensed\u{a0}gas\u{a0}fitter)",
        Who::Professional => " (professional)",
        Who::EmergencyServices => " (emergency\u{a0}services)",
    }
}

/// How long to wait after it.
pub(super) fn wait(action: &AnswerAction) -> Option<String> {
    action.wait_h.map(|hours| format!(" Then wait {}.", tied(&time(hours))))
}

fn listed(sheet: &mut Sheet<'_>, answer: &Answer, actions: &[&AnswerAction]) -> io::Result<()> {
    let mut under = None;
    for action in actions {
        if under != Some(action.urgency) {
            under = Some(action.urgency);
            let (role, text) = heading(action.urgency);
            sheet.heading(role, text)?;
        }
        let who = who(action.who);
        let wait = wait(action);
        let mark = format!("{:>2}. ", action.order);
        let parts = [
            (Role::Plain, action.text.as_str()),
            (Role::Strong, who),
            (Role::Strong, wait.as_deref().unwrap_or("")),
        ];
        sheet.paragraph(&mark, &parts)?;
        for caution in answer.cautions.iter().filter(|one| stands_with(answer, one, action)) {
            sheet.marked((Role::Caution, "    ! "), &[(Role::Plain, &caution.text)])?;
        }
    }
    Ok(())
}

/// A caution stands beside the first step that it goes with.
fn stands_with(answer: &Answer, caution: &AnswerCaution, action: &AnswerAction) -> bool {
    let first = answer.actions.iter().find(|one| one.cautions.contains(&caution.id));
    first.is_some_and(|first| first.order == action.order)
}

/// The cautions that go with no single step.
pub(super) fn cautions(sheet: &mut Sheet<'_>, answer: &Answer) -> io::Result<()> {
    let of_step = |caution: &AnswerCaution| {
        answer.actions.iter().any(|action| action.cautions.contains(&caution.id))
    };
    let mut rest = answer.cautions.iter().filter(|one| !of_step(one) && !one.in_verdict).peekable();
    if rest.peek().is_some() {
        sheet.heading(Role::Caution, "TAKE CARE")?;
    }
    for caution in rest {
        sheet.marked((Role::Caution, " !  "), &[(Role::Plain, &caution.text)])?;
    }
    Ok(())
}

/// So many reasons are told; in a hurry fewer. The rest is a `why` away.
const REASONS: usize = 6;
const REASONS_IN_A_HURRY: usize = 4;

/// The findings behind the steps, most urgent first; a verdict was told already.
fn reasons(answer: &Answer) -> Vec<&Finding> {
    let is_verdict =
        |one: &&Finding| answer.verdicts.iter().any(|verdict| verdict.rule == one.rule);
    answer.findings.iter().filter(|one| !is_verdict(one)).collect()
}

/// Those of them that the text tells.
fn told(answer: &Answer) -> Vec<&Finding> {
    let mut told = reasons(answer);
    if answer.whole {
        return told;
    }
    told.truncate(if in_a_hurry(answer) { REASONS_IN_A_HURRY } else { REASONS });
    told
}

/// Whether something cannot wait: then only what matters is told.
fn in_a_hurry(answer: &Answer) -> bool {
    answer.actions.iter().any(|action| action.urgency == Urgency::Now)
}

/// Why: what was found, with the sections that explain it, and where else to read.
pub(super) fn findings(sheet: &mut Sheet<'_>, answer: &Answer) -> io::Result<()> {
    let told = told(answer);
    if !told.is_empty() {
        sheet.heading(Role::Heading, "WHY")?;
    }
    let mut shown = BTreeSet::new();
    for finding in &told {
        let fresh = finding.cites.iter().find(|cite| shown.insert((*cite).clone()));
        let aside = fresh.map(|cite| format!(" [{cite}]")).unwrap_or_default();
        sheet.paragraph(" -  ", &[(Role::Plain, &finding.text), (Role::Aside, &aside)])?;
    }
    let more = reasons(answer).len() - told.len();
    if more > 0 {
        let text = format!("and {more} more; say `more`, or `why 1`, `why 2` … for the steps.");
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
    for passage in answer.passages.iter().take(if in_a_hurry(answer) { 1 } else { SHOWN }) {
        if support {
            passage_heading(sheet, passage)?;
            let text = beginning(&passage.text);
            sheet.paragraph("    ", &[(Role::Plain, &text)])?;
        } else {
            self::passage(sheet, passage)?;
        }
    }
    Ok(())
}

/// A passage of the notes, whole: its title and name, its text, its sources.
///
/// # Errors
/// The writer's.
pub fn passage(sheet: &mut Sheet<'_>, passage: &Passage) -> io::Result<()> {
    passage_heading(sheet, passage)?;
    sheet.paragraph("    ", &[(Role::Plain, passage.text.trim())])?;
    if !passage.source.is_empty() {
        let source = format!("Source: {}", passage.source);
        sheet.paragraph("    ", &[(Role::Aside, &source)])?;
    }
    Ok(())
}

fn passage_heading(sheet: &mut Sheet<'_>, passage: &Passage) -> io::Result<()> {
    let cite = format!(" [{}#{}]", passage.note, passage.section);
    sheet.paragraph(" -  ", &[(Role::Strong, &passage.title), (Role::Aside, &cite)])
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
