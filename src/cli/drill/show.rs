//! Progress, and what there is to practise.

use super::super::args::Format;
use super::super::exit::{Done, Failure};
use super::super::surroundings::Surroundings;
use super::DrillArgs;
use super::goes::Kept;
use super::pick::Topic;
use crate::drill::{cards, readiness};
use crate::problem::{Code, Problem};
use crate::render::{
    Progress, drill_list, json_line, progress_csv, progress_json, progress_page, progress_text,
};
use crate::session::Base;
use serde::Serialize;
use std::io::Write;
use std::path::Path;

/// Shows how well each skill sits.
pub(super) fn progress(
    base: &Base,
    kept: &Kept,
    args: &DrillArgs,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let person = if kept.who.is_empty() { "you" } else { kept.who.as_str() };
    let mut cards = cards(base.knowledge(), &kept.goes, around.at);
    if let Some(topic) = &args.topic {
        let topic = Topic::of(base.knowledge(), topic)?;
        cards.retain(|card| topic.has(base.knowledge(), card.skill));
    }
    let readiness = readiness(base.knowledge(), &kept.goes, around.at);
    let progress = Progress { person, at: around.at, cards, readiness };
    if let Some(file) = &args.out {
        write(file, &progress)?;
        if around.format == Format::Text {
            writeln!(around.out, "Written: {}", file.display())?;
            return Ok(Done::Answered);
        }
    }
    match around.format {
        Format::Json => progress_json(&mut around.out, &progress)?,
        Format::Text => progress_text(&mut around.out, &progress, around.view)?,
    }
    Ok(Done::Answered)
}

fn write(file: &Path, progress: &Progress<'_>) -> Result<(), Failure> {
    let mut bytes = Vec::new();
    match file.extension().and_then(|ending| ending.to_str()) {
        Some("html" | "htm") => progress_page(&mut bytes, progress)?,
        Some("csv") => progress_csv(&mut bytes, progress)?,
        Some("json") => progress_json(&mut bytes, progress)?,
        _ => {
            let message = format!("`{}` does not say what kind of file it is", file.display());
            let problem = Problem::error(Code::Value, None, message);
            return Err(Failure::usage(problem.help("let it end in .html, .csv or .json")));
        }
    }
    std::fs::write(file, bytes).map_err(|error| Failure::unwritten(file, &error))
}

#[derive(Serialize)]
struct Row<'a> {
    case: &'a str,
    skill: &'a str,
    level: &'static str,
    call: &'static str,
}

#[derive(Serialize)]
struct Shape<'a> {
    schema: &'static str,
    cases: Vec<Row<'a>>,
}

/// Lists the skills in an order that builds, each with its cases.
pub(super) fn list(
    base: &Base,
    _args: &DrillArgs,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let knowledge = base.knowledge();
    if around.format == Format::Json {
        let cases = knowledge.scenarios.iter().map(|one| Row {
            case: &one.id,
            skill: &one.skill.id,
            level: one.level.name(),
            call: one.call.name(),
        });
        let shape = Shape { schema: "brumal.drills/1", cases: cases.collect() };
        json_line(&mut around.out, &shape)?;
    } else {
        drill_list(&mut around.out, knowledge, around.view)?;
    }
    Ok(Done::Answered)
}
