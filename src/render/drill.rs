//! Drills written down: a case, answers to questions, marks, and how well skills sit.

mod json;
mod page;
mod progress;

pub use json::{
    case as drill_case_json, heard as drill_heard_json, marks as drill_marks_json, progress_csv,
    progress_json,
};
pub use page::progress_page;
pub use progress::{Progress, drill_list, progress_text};

use super::layout::Sheet;
use super::style::{Role, View};
use crate::drill::{Heard, Mark, Sitting};
use crate::facts::FactId;
use crate::knowledge::{Call, Vocabulary};
use crate::units::trim_number;
use std::io::{self, Write};

/// What is told when nothing of a line was understood.
const UNHEARD: &str = "No deed was heard in that. Say what you would do, or ask about the case; an empty line has it marked.";

/// Writes what is told of a case. Without a number it is the same case once more.
///
/// # Errors
/// The writer's.
pub fn drill_case(
    out: &mut dyn Write,
    sitting: &Sitting<'_>,
    number: Option<u32>,
    view: View,
) -> io::Result<()> {
    let mut sheet = Sheet::new(out, view);
    let scenario = sitting.case.scenario;
    let heading = match number {
        Some(number) => {
            format!("CASE {number}  {}, {}", scenario.call.name(), scenario.level.name())
        }
        None => "ONCE MORE".to_owned(),
    };
    sheet.paragraph("", &[(Role::Heading, &heading)])?;
    sheet.paragraph("  ", &[(Role::Plain, &sitting.case.text)])?;
    let help = if number == Some(1) {
        "Ask, or say what you do, in order. An empty line has it marked; `skip`, `quit`."
    } else {
        "An empty line has it marked."
    };
    sheet.paragraph("  ", &[(Role::Aside, help)])
}

/// Writes what was made of a line.
///
/// # Errors
/// The writer's.
pub fn drill_heard(out: &mut dyn Write, heard: &Heard, view: View) -> io::Result<()> {
    let mut sheet = Sheet::new(out, view);
    for line in &heard.told {
        sheet.paragraph("  ", &[(Role::Plain, line)])?;
    }
    if heard.noted && heard.harm.is_none() {
        let told = if heard.understood { "Noted." } else { UNHEARD };
        sheet.paragraph("  ", &[(Role::Aside, told)])?;
    }
    Ok(())
}

fn percent(share: f64) -> String {
    format!("{} %", trim_number((share * 100.0).round(), 0))
}

/// Writes the marks of a case; `counts` if it was the case itself, and not once more with one thing changed.
///
/// # Errors
/// The writer's.
pub fn drill_marks(
    out: &mut dyn Write,
    sitting: &Sitting<'_>,
    mark: &Mark,
    words: &Vocabulary,
    (counts, view): (bool, View),
) -> io::Result<()> {
    writeln!(out)?;
    let mut sheet = Sheet::new(out, view);
    if let Some(harm) = &mark.harm {
        sheet.heading(Role::Pressing, "STOP: THAT IS DANGEROUS")?;
        let words = format!("\"{}\"", harm.words);
        sheet.paragraph("  ", &[(Role::Strong, &words)])?;
        sheet.marked((Role::Caution, "  ! "), &[(Role::Plain, &harm.reason)])?;
        read(&mut sheet, harm.cites.iter().take(1))?;
    } else {
        let verdict = if mark.passed() { "passed" } else { "not yet" };
        let line = format!("{}: {verdict}", percent(mark.share));
        sheet.heading(Role::Heading, &line)?;
        if !mark.first
            && let Some(first) = sitting.right.firsts.first()
            && let Some(needed) = sitting.right.needed.get(*first)
        {
            let text = format!("First of all: {}", needed.text);
            sheet.marked((Role::Caution, "  ! "), &[(Role::Plain, &text)])?;
        }
    }
    deeds(&mut sheet, sitting, mark)?;
    numbers(&mut sheet, sitting, mark)?;
    questions(&mut sheet, mark, words)?;
    if counts {
        let (id, seed) = (&sitting.case.scenario.id, sitting.case.seed);
        let again = format!("Drawn again: brumal drill --case {id} --seed {seed}");
        sheet.gap();
        sheet.paragraph("  ", &[(Role::Aside, &again)])?;
    }
    writeln!(out)
}

fn read<'a>(sheet: &mut Sheet<'_>, cites: impl Iterator<Item = &'a String>) -> io::Result<()> {
    for cite in cites {
        let line = format!("Read: brumal notes show {cite}");
        sheet.paragraph("    ", &[(Role::Aside, &line)])?;
    }
    Ok(())
}

fn deeds(sheet: &mut Sheet<'_>, sitting: &Sitting<'_>, mark: &Mark) -> io::Result<()> {
    let needed = |at: &usize| sitting.right.needed.get(*at);
    let mut told = Vec::new();
    if !mark.right.is_empty() {
        sheet.heading(Role::Heading, "RIGHT")?;
        for one in mark.right.iter().filter_map(needed) {
            sheet.paragraph("  + ", &[(Role::Plain, &one.text)])?;
            if !one.why.is_empty() && !told.contains(&one.why) {
                sheet.paragraph("    ", &[(Role::Aside, &format!("Why: {}", one.why))])?;
                told.push(one.why.clone());
            }
        }
    }
    if !mark.late.is_empty() {
        sheet.heading(Role::Soon, "TOO LATE")?;
        for (at, before) in &mark.late {
            let Some(one) = needed(at) else { continue };
            sheet.marked((Role::Caution, "  > "), &[(Role::Strong, &one.text)])?;
            if let Some(before) = before.as_ref().and_then(needed) {
                let line = format!("It comes before: {}", before.text);
                sheet.paragraph("    ", &[(Role::Plain, &line)])?;
            }
            why(sheet, one, &mut told)?;
        }
    }
    if !mark.missing.is_empty() {
        sheet.heading(Role::Soon, "MISSING")?;
        for one in mark.missing.iter().filter_map(needed) {
            sheet.marked((Role::Caution, "  - "), &[(Role::Strong, &one.text)])?;
            why(sheet, one, &mut told)?;
        }
    }
    Ok(())
}

/// Why it is needed, once for each reason, and the note that says so.
fn why(
    sheet: &mut Sheet<'_>,
    one: &crate::drill::Needed,
    told: &mut Vec<String>,
) -> io::Result<()> {
    if !one.why.is_empty() && !told.contains(&one.why) {
        let line = format!("Why: {}", one.why);
        sheet.paragraph("    ", &[(Role::Plain, &line)])?;
        told.push(one.why.clone());
    }
    let cite = one.cites.first().filter(|cite| !told.contains(cite));
    told.extend(cite.cloned());
    read(sheet, cite.into_iter())
}

fn numbers(sheet: &mut Sheet<'_>, sitting: &Sitting<'_>, mark: &Mark) -> io::Result<()> {
    if !mark.amounts.is_empty() {
        sheet.heading(Role::Heading, "AMOUNTS")?;
    }
    for one in &mark.amounts {
        let needed = &one.needed;
        let said = match one.said {
            None => "no amount was said".to_owned(),
            Some(_) if one.right => format!("you said {}", one.told),
            Some(said) if said > needed.amount => format!("you said {}: too much", one.told),
            Some(_) => format!("you said {}: too little", one.told),
        };
        let parts = if needed.total == needed.given {
            String::new()
        } else {
            format!(" ({})", needed.given)
        };
        let within = percent(needed.tolerance);
        let line =
            format!("{}: {}{parts}, give or take {within}; {said}.", needed.name, needed.total);
        let sign = if one.right { "  + " } else { "  - " };
        sheet.marked((Role::Caution, sign), &[(Role::Plain, &line)])?;
        if !needed.why.is_empty() {
            sheet.paragraph("    ", &[(Role::Plain, &format!("Why: {}", needed.why))])?;
        }
        if !one.right {
            read(sheet, needed.cites.iter())?;
        }
    }
    if let (Some(band), Some((said, right))) = (sitting.right.hours, mark.hours) {
        sheet.heading(Role::Heading, "HOURS")?;
        let said = said.map_or_else(
            || "you named no hours".to_owned(),
            |said| format!("you said {}", time(said)),
        );
        let line = format!(
            "About {}, between {} and {}; {said}.",
            time(band.best),
            time(band.low),
            time(band.high)
        );
        let sign = if right { "  + " } else { "  - " };
        sheet.marked((Role::Caution, sign), &[(Role::Plain, &line)])?;
    }
    Ok(())
}

/// Hours in words: minutes below two hours.
fn time(hours: f64) -> String {
    if hours < 2.0 {
        format!("{} min", trim_number((hours * 60.0).round(), 0))
    } else {
        format!("{} h", trim_number(hours, 1))
    }
}

fn questions(sheet: &mut Sheet<'_>, mark: &Mark, words: &Vocabulary) -> io::Result<()> {
    let ask = |id: &FactId| words.get(*id).map(|def| def.ask.clone());
    let asked: Vec<String> = mark.asked.iter().filter_map(ask).collect();
    let unasked: Vec<(String, String)> = mark
        .unasked
        .iter()
        .filter_map(|id| words.get(*id).map(|def| (def.ask.clone(), def.why.clone())))
        .collect();
    if asked.is_empty() && unasked.is_empty() {
        return Ok(());
    }
    sheet.heading(Role::Heading, "QUESTIONS THAT MATTERED")?;
    for line in asked {
        sheet.paragraph("  + ", &[(Role::Plain, &line)])?;
    }
    for (line, why) in unasked {
        sheet.marked(
            (Role::Question, "  ? "),
            &[(Role::Strong, &line), (Role::Plain, &format!(" {why}"))],
        )?;
    }
    Ok(())
}

/// What a kind of call is called in a heading.
fn call_title(call: Call) -> &'static str {
    match call {
        Call::Emergency => "Emergencies",
        Call::Visit => "Visits on the round",
        Call::Dosing => "Dosing",
        Call::SetUp => "Setting up",
        Call::Decision => "Decisions",
    }
}
