//! What was understood of a message, what was doubted, and what was left unread.

use super::super::layout::Sheet;
use super::super::style::Role;
use super::marked::{marks, message};
use crate::advice::{Answer, AnswerFact, Telling, titled};
use crate::facts::{Fact, Origin, Value};
use crate::knowledge::{DEED, FactDef, Kind, Vocabulary};
use crate::units::{System, show};
use std::io;

/// `read   pump stopped · 19 °F outside`, and what was kept, supposed, assumed or left unread.
pub(super) fn read_line(
    sheet: &mut Sheet<'_>,
    answer: &Answer,
    words: &Vocabulary,
) -> io::Result<()> {
    let units = sheet.view().units;
    let marks = marks(answer);
    let number = |fact: &Fact| marks.iter().find(|mark| std::ptr::eq(mark.fact, fact));
    let told = |wanted: &dyn Fn(&Fact) -> bool| -> Vec<String> {
        let wanted = answer.read.iter().filter(|fact| wanted(fact));
        let told = wanted.map(|fact| match number(fact) {
            Some(mark) => format!("{} {}", mark.number, said(words, fact, units)),
            None => said(words, fact, units),
        });
        told.collect()
    };
    if let Some(pool) = &answer.pool {
        labelled(sheet, "Pool", std::slice::from_ref(pool))?;
    }
    message(sheet, answer)?;
    labelled(sheet, "Read", &told(&|fact| !fact.supposed && fact.doubt.is_none()))?;
    labelled(sheet, "Suppose", &told(&|fact| fact.supposed && fact.doubt.is_none()))?;
    let given = |fact: &AnswerFact| fact.origin == Origin::Message && !asks_leave(words, fact);
    labelled(sheet, "Taken", &held(answer, words, given))?;
    let mut asked: Vec<String> =
        answer.verdicts.iter().map(|one| format!("{}?", one.deed.replace('-', " "))).collect();
    asked.dedup();
    labelled(sheet, "Asked", &asked)?;
    if answer.telling != Telling::Whole {
        let unread: Vec<_> = answer.unread.iter().map(|w| format!("“{}”", w.text)).collect();
        return labelled(sheet, "Not read", &unread);
    }
    // What the answer rests on is named; the rest is a word away.
    let earlier = |fact: &AnswerFact| fact.origin == Origin::Earlier;
    labelled(sheet, "Before", &relied_on(answer, words, earlier))?;
    let logged =
        |fact: &AnswerFact| matches!(fact.origin, Origin::Logbook { .. } | Origin::Profile);
    labelled(sheet, "From log", &relied_on(answer, words, logged))?;
    labelled(sheet, "Assumed", &held(answer, words, |fact| fact.origin == Origin::Assumed))?;
    let unread: Vec<_> = answer.unread.iter().map(|words| format!("“{}”", words.text)).collect();
    labelled(sheet, "Not read", &unread)
}

/// Whether a fact is what somebody asked leave to do.
fn asks_leave(words: &Vocabulary, fact: &AnswerFact) -> bool {
    words.name(fact.id) == DEED
}

/// Facts in working memory that came from somewhere else than this message, titled.
fn held(answer: &Answer, words: &Vocabulary, from: impl Fn(&AnswerFact) -> bool) -> Vec<String> {
    let said_now = |fact: &AnswerFact| answer.read.iter().any(|read| read.id == fact.id);
    let wanted = answer.facts.iter().filter(|fact| from(fact) && !said_now(fact));
    wanted
        .map(|fact| match words.get(fact.id) {
            Some(def) => titled(def, &fact.shown),
            None => fact.shown.clone(),
        })
        .collect()
}

/// Those of them that a reason rests on; how many others there are.
fn relied_on(
    answer: &Answer,
    words: &Vocabulary,
    from: impl Fn(&AnswerFact) -> bool,
) -> Vec<String> {
    let behind = |fact: &AnswerFact| {
        let name = words.name(fact.id);
        answer.findings.iter().any(|finding| finding.because.iter().any(|one| one == name))
    };
    let mut told = held(answer, words, |fact| from(fact) && behind(fact));
    let others = held(answer, words, |fact| from(fact) && !behind(fact));
    match others.len() {
        0 => {}
        // A line that says "1 more" is as long as the one.
        few if told.len() + few <= FEW_FACTS => told.extend(others),
        more => told.push(format!("and {more} more (`facts` lists them)")),
    }
    told
}

/// So many facts are told without a thought.
const FEW_FACTS: usize = 6;

fn labelled(sheet: &mut Sheet<'_>, label: &str, items: &[String]) -> io::Result<()> {
    if items.is_empty() {
        return Ok(());
    }
    let listed = items.join(" · ");
    sheet.marked((Role::Aside, &format!("{label:<9}")), &[(Role::Plain, &listed)])
}

/// Readings that cannot be true, each with what is wrong with it; but not the one that is asked about.
pub(super) fn doubts(sheet: &mut Sheet<'_>, answer: &Answer, words: &Vocabulary) -> io::Result<()> {
    let asked = |fact: &Fact| answer.questions.iter().any(|question| question.fact == fact.id);
    doubted(sheet, answer.read.iter().filter(|fact| !asked(fact)), words)
}

/// What is wrong with each of some readings, if anything is, and what was probably meant.
fn doubted<'a>(
    sheet: &mut Sheet<'_>,
    facts: impl Iterator<Item = &'a Fact>,
    words: &Vocabulary,
) -> io::Result<()> {
    let units = sheet.view().units;
    for fact in facts {
        let Some(doubt) = &fact.doubt else { continue };
        let meant = match (fact.likely, words.get(fact.id)) {
            (Some(value), Some(def)) => {
                format!(" Did you mean {}?", titled(def, &def.show(value, units)))
            }
            _ => " Look again, then type it once more.".to_owned(),
        };
        let line = format!("“{}”: {}.", fact.given.trim(), doubt.trim_end_matches('.'));
        sheet.marked((Role::Question, "?  "), &[(Role::Plain, &line), (Role::Question, &meant)])?;
    }
    Ok(())
}

/// What to try when nothing came of a message.
pub(super) fn nothing(sheet: &mut Sheet<'_>, answer: &Answer) -> io::Result<()> {
    let text = if answer.read.is_empty() {
        "I found nothing about a pool in that. Tell what you see or measured, such as \
         “pump stopped, 19 out” or “ph 7.2 alk 90”, or ask a question."
    } else {
        "Taken in. Nothing to do about that by the rules I have."
    };
    sheet.paragraph("", &[(Role::Plain, text)])
}

/// A question that the notes do not answer.
pub(super) fn not_in_the_notes(sheet: &mut Sheet<'_>) -> io::Result<()> {
    let text = "The notes have nothing on that question.";
    sheet.paragraph("", &[(Role::Plain, text)])
}

/// Every fact on a line of its own, with the words that said it.
pub(super) fn listed(sheet: &mut Sheet<'_>, answer: &Answer, words: &Vocabulary) -> io::Result<()> {
    let units = sheet.view().units;
    for fact in &answer.read {
        let name = words.name(fact.id);
        let value = words.get(fact.id).map(|def| shown(def, fact, units)).unwrap_or_default();
        let supposed = if fact.supposed { ", only supposed" } else { "" };
        let aside = format!("  “{}”{supposed}", fact.given.trim());
        sheet
            .paragraph(&format!("{name:<26} "), &[(Role::Strong, &value), (Role::Aside, &aside)])?;
    }
    // No question follows here, so that all doubts are told.
    doubted(sheet, answer.read.iter(), words)?;
    let asks: Vec<String> = answer.asks.clone();
    labelled(sheet, "Asks", &asks)?;
    if let Some(pool) = &answer.pool {
        labelled(sheet, "Pool", std::slice::from_ref(pool))?;
    }
    let unread: Vec<_> = answer.unread.iter().map(|words| format!("“{}”", words.text)).collect();
    labelled(sheet, "Not read", &unread)?;
    if answer.read.is_empty() && answer.unread.is_empty() {
        sheet.paragraph("", &[(Role::Plain, "No fact was read.")])?;
    }
    Ok(())
}

/// A fact as the answer says it back: `pump stopped`, `free chlorine 0.5 mg/L`.
fn said(words: &Vocabulary, fact: &Fact, units: System) -> String {
    words
        .get(fact.id)
        .map_or_else(|| fact.given.clone(), |def| titled(def, &shown(def, fact, units)))
}

/// A value with the range that was said: `7.3 (7.2 to 7.4)`.
fn shown(def: &FactDef, fact: &Fact, units: System) -> String {
    let value = def.show(fact.value, units);
    let Kind::Number { unit, decimals } = def.kind else { return value };
    let one = |end: f64| show(end, unit, decimals, units);
    match (fact.bounds.and_then(|b| b.low), fact.bounds.and_then(|b| b.high), fact.value) {
        (Some(low), Some(high), Value::Number(_)) => {
            format!("{value} ({} to {})", one(low), one(high))
        }
        (Some(low), None, _) => format!("{value} (at least {})", one(low)),
        (None, Some(high), _) => format!("{value} (at most {})", one(high)),
        _ => value,
    }
}
