//! Drills as JSON, one object a line, and progress as JSON and CSV.

use super::super::json::line;
use super::Progress;
use crate::drill::{Heard, Mark, Sitting};
use crate::knowledge::Vocabulary;
use crate::logbook::harmless;
use serde::Serialize;
use std::io::{self, Write};

const SCHEMA: &str = "brumal.drill/1";

#[derive(Serialize)]
struct CaseShape<'a> {
    schema: &'static str,
    event: &'static str,
    case: &'a str,
    seed: u64,
    skill: &'a str,
    level: &'static str,
    call: &'static str,
    counts: bool,
    text: &'a str,
}

/// Writes what is told of a case; `counts` says whether it is kept.
///
/// # Errors
/// The writer's.
pub fn case(out: &mut dyn Write, sitting: &Sitting<'_>, seed: Option<u32>) -> io::Result<()> {
    let scenario = sitting.case.scenario;
    let shape = CaseShape {
        schema: SCHEMA,
        event: "case",
        case: &scenario.id,
        seed: sitting.case.seed,
        skill: &scenario.skill.id,
        level: scenario.level.name(),
        call: scenario.call.name(),
        counts: seed.is_some(),
        text: &sitting.case.text,
    };
    line(out, &shape)
}

#[derive(Serialize)]
struct HeardShape<'a> {
    schema: &'static str,
    event: &'static str,
    told: &'a [String],
    noted: bool,
    dangerous: bool,
}

/// Writes what was made of a line.
///
/// # Errors
/// The writer's.
pub fn heard(out: &mut dyn Write, heard: &Heard) -> io::Result<()> {
    let shape = HeardShape {
        schema: SCHEMA,
        event: "heard",
        told: &heard.told,
        noted: heard.noted,
        dangerous: heard.harm.is_some(),
    };
    line(out, &shape)
}

#[derive(Serialize)]
struct Deed<'a> {
    id: &'a str,
    text: &'a str,
    why: &'a str,
    cites: &'a [String],
}

#[derive(Serialize)]
struct Amount<'a> {
    product: &'a str,
    amount: f64,
    given: &'a str,
    said: Option<f64>,
    right: bool,
}

#[derive(Serialize)]
struct Hours {
    low: f64,
    best: f64,
    high: f64,
    said: Option<f64>,
    right: bool,
}

#[derive(Serialize)]
struct Harm<'a> {
    words: &'a str,
    reason: &'a str,
    cites: &'a [String],
}

#[derive(Serialize)]
struct MarksShape<'a> {
    schema: &'static str,
    event: &'static str,
    case: &'a str,
    seed: u64,
    share: f64,
    grade: &'static str,
    passed: bool,
    first: bool,
    right: Vec<Deed<'a>>,
    late: Vec<Deed<'a>>,
    missing: Vec<Deed<'a>>,
    asked: Vec<&'a str>,
    unasked: Vec<&'a str>,
    amounts: Vec<Amount<'a>>,
    hours: Option<Hours>,
    danger: Option<Harm<'a>>,
}

/// Writes the marks of a case.
///
/// # Errors
/// The writer's.
pub fn marks(
    out: &mut dyn Write,
    sitting: &Sitting<'_>,
    mark: &Mark,
    words: &Vocabulary,
) -> io::Result<()> {
    let deed = |at: usize| {
        let one = sitting.right.needed.get(at)?;
        Some(Deed { id: &one.id, text: &one.text, why: &one.why, cites: &one.cites })
    };
    let shape = MarksShape {
        schema: SCHEMA,
        event: "marks",
        case: &sitting.case.scenario.id,
        seed: sitting.case.seed,
        share: mark.share,
        grade: mark.grade.name(),
        passed: mark.passed(),
        first: mark.first,
        right: mark.right.iter().filter_map(|at| deed(*at)).collect(),
        late: mark.late.iter().filter_map(|(at, _)| deed(*at)).collect(),
        missing: mark.missing.iter().filter_map(|at| deed(*at)).collect(),
        asked: mark.asked.iter().map(|id| words.name(*id)).collect(),
        unasked: mark.unasked.iter().map(|id| words.name(*id)).collect(),
        amounts: mark
            .amounts
            .iter()
            .map(|one| Amount {
                product: &one.needed.product,
                amount: one.needed.amount,
                given: &one.needed.given,
                said: one.said,
                right: one.right,
            })
            .collect(),
        hours: sitting.right.hours.zip(mark.hours).map(|(band, (said, right))| Hours {
            low: band.low,
            best: band.best,
            high: band.high,
            said,
            right,
        }),
        danger: mark.harm.as_ref().map(|harm| Harm {
            words: &harm.words,
            reason: &harm.reason,
            cites: &harm.cites,
        }),
    };
    line(out, &shape)
}

#[derive(Serialize)]
struct SkillRow<'a> {
    /// Told in each row of a table; an object tells it once.
    #[serde(skip_serializing_if = "Option::is_none")]
    person: Option<&'a str>,
    skill: &'a str,
    title: &'a str,
    standing: &'static str,
    recall: f64,
    stability_d: Option<f64>,
    difficulty: Option<f64>,
    days_left: Option<f64>,
    goes: usize,
    passed: usize,
    last: Option<String>,
}

#[derive(Serialize)]
struct CallRow {
    call: &'static str,
    share: f64,
    skills: usize,
    sitting: usize,
    ready: bool,
}

#[derive(Serialize)]
struct ProgressShape<'a> {
    schema: &'static str,
    person: &'a str,
    at: String,
    readiness: Vec<CallRow>,
    skills: Vec<SkillRow<'a>>,
}

fn skills<'a>(progress: &'a Progress<'_>) -> Vec<SkillRow<'a>> {
    let row = |card: &'a crate::drill::Card<'_>| SkillRow {
        person: None,
        skill: &card.skill.id,
        title: &card.skill.title,
        standing: card.standing.name(),
        recall: card.recall,
        stability_d: card.memory.map(|memory| memory.stability_d),
        difficulty: card.memory.map(|memory| memory.difficulty),
        days_left: card.days_left,
        goes: card.goes,
        passed: card.passed,
        last: card.last.map(crate::clock::Moment::rfc3339),
    };
    progress.cards.iter().map(row).collect()
}

/// Writes progress as one JSON object.
///
/// # Errors
/// The writer's.
pub fn progress_json(out: &mut dyn Write, progress: &Progress<'_>) -> io::Result<()> {
    let readiness = progress.readiness.iter().map(|one| CallRow {
        call: one.call.name(),
        share: one.share,
        skills: one.skills,
        sitting: one.sitting,
        ready: one.ready,
    });
    let shape = ProgressShape {
        schema: "brumal.progress/1",
        person: progress.person,
        at: progress.at.rfc3339(),
        readiness: readiness.collect(),
        skills: skills(progress),
    };
    line(out, &shape)
}

/// Writes the skills as CSV (RFC 4180), one a row.
///
/// # Errors
/// The writer's.
pub fn progress_csv(out: &mut dyn Write, progress: &Progress<'_>) -> io::Result<()> {
    let mut writer = csv::Writer::from_writer(out);
    let person = harmless(progress.person);
    for row in skills(progress) {
        let row = SkillRow { person: Some(&person), ..row };
        writer.serialize(row).map_err(io::Error::other)?;
    }
    writer.flush()
}
