//! A ten-minute path through the notes of a topic, with three quick checks.

use super::super::args::Format;
use super::super::exit::{Done, Failure};
use super::super::surroundings::Surroundings;
use super::DrillArgs;
use super::input::Input;
use super::pick::Topic;
use crate::drill::{Case, Chance, Ear, Sitting, draw, in_order};
use crate::knowledge::{Knowledge, NoteRef, Passage, Scenario, Skill};
use crate::render::{Role, Sheet, json_line};
use crate::session::Base;
use serde::Serialize;
use std::io::IsTerminal;

/// People read so many words of such notes a minute (from memory: about 200 to 250 for plain prose; notes are dense).
const WORDS_A_MINUTE: usize = 180;
/// A check takes about so many words' time.
const CHECK_WORDS: usize = 150;
/// The path is so long, in minutes.
const MINUTES: usize = 10;
/// So many checks stand in it.
const CHECKS: usize = 3;

#[derive(Serialize)]
struct Shape<'a> {
    schema: &'static str,
    topic: &'a str,
    minutes: usize,
    sections: Vec<String>,
    checks: Vec<Check<'a>>,
}

#[derive(Serialize)]
struct Check<'a> {
    after: usize,
    case: &'a str,
    seed: u64,
    text: String,
    first: Vec<String>,
}

/// Reads a path.
pub(super) fn read(
    base: &Base,
    topic: &str,
    args: &DrillArgs,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let knowledge = base.knowledge();
    let topic_of = Topic::of(knowledge, topic)?;
    let skills: Vec<&Skill> =
        in_order(knowledge).into_iter().filter(|skill| topic_of.has(knowledge, skill)).collect();
    let passages = passages(base, &skills);
    let ear = Ear::new(knowledge);
    let seed = args.seed.map_or(1, u64::from);
    let cases = checks(base, &skills, seed, around);
    let sittings: Vec<Sitting<'_>> = cases
        .into_iter()
        .map(|case| Sitting::new(&base.network, &ear, case, around.view.units))
        .collect();
    if around.format == Format::Json {
        return json(topic, &passages, &sittings, around);
    }
    let talks = std::io::stdin().is_terminal() || args.echo;
    let mut input = Input::open(args.echo)?;
    let minutes = minutes(&passages, sittings.len());
    let mut sheet = Sheet::new(&mut around.out, around.view);
    let told = format!("{topic}: {} sections, about {minutes} minutes", passages.len());
    sheet.paragraph("", &[(Role::Heading, &told)])?;
    let mut sittings = sittings.into_iter();
    let each = passages.len().div_ceil(CHECKS).max(1);
    for (at, passage) in passages.iter().enumerate() {
        section(passage, around)?;
        if (at + 1) % each == 0 || at + 1 == passages.len() {
            let Some(sitting) = sittings.next() else { continue };
            check(sitting, talks, &mut input, around)?;
        }
    }
    for sitting in sittings {
        check(sitting, talks, &mut input, around)?;
    }
    Ok(Done::Answered)
}

/// The sections of the skills in an order that builds, as many as can be read in the time.
fn passages(base: &Base, skills: &[&Skill]) -> Vec<Passage> {
    let mut passages: Vec<Passage> = Vec::new();
    let mut words = CHECKS * CHECK_WORDS;
    for to in skills.iter().flat_map(|skill| &skill.read) {
        let Some(passage) = base.notes.passage(&NoteRef(to.to.0.clone())) else { continue };
        let long = passage.text.split_whitespace().count();
        let known =
            passages.iter().any(|one| one.note == passage.note && one.section == passage.section);
        if known || (words + long > MINUTES * WORDS_A_MINUTE && !passages.is_empty()) {
            continue;
        }
        words += long;
        passages.push(passage);
    }
    passages
}

fn minutes(passages: &[Passage], checks: usize) -> usize {
    let words: usize = passages.iter().map(|one| one.text.split_whitespace().count()).sum();
    (words + checks * CHECK_WORDS).div_ceil(WORDS_A_MINUTE)
}

/// Three cases of the skills, easiest first, each another one if there are enough.
fn checks<'b>(
    base: &'b Base,
    skills: &[&Skill],
    seed: u64,
    around: &Surroundings,
) -> Vec<Case<'b>> {
    let knowledge: &'b Knowledge = base.knowledge();
    let mut own: Vec<&'b Scenario> = knowledge
        .scenarios
        .iter()
        .filter(|one| skills.iter().any(|skill| skill.id == one.skill.id))
        .collect();
    own.sort_by_key(|one| one.level);
    let mut chance = Chance::named(seed, "path");
    (0..CHECKS)
        .filter_map(|n| {
            let scenario = own.get(n).copied().or_else(|| chance.of(&own).copied())?;
            let seed = u64::from(chance.bits());
            Some(draw(&base.network, scenario, seed, around.view.units))
        })
        .collect()
}

fn section(passage: &Passage, around: &mut Surroundings) -> Result<(), Failure> {
    let mut sheet = Sheet::new(&mut around.out, around.view);
    let cite = format!(" [{}#{}]", passage.note, passage.section);
    sheet.paragraph("", &[(Role::Plain, " ")])?;
    sheet.paragraph("", &[(Role::Strong, &passage.title), (Role::Aside, &cite)])?;
    sheet.paragraph("  ", &[(Role::Plain, passage.text.trim())])?;
    Ok(())
}

/// A quick check: the case, one line of answer, and what comes first.
fn check(
    mut sitting: Sitting<'_>,
    talks: bool,
    input: &mut Input,
    around: &mut Surroundings,
) -> Result<(), Failure> {
    let mut sheet = Sheet::new(&mut around.out, around.view);
    sheet.paragraph("", &[(Role::Plain, " ")])?;
    sheet.paragraph("", &[(Role::Question, "CHECK")])?;
    sheet.paragraph("  ", &[(Role::Plain, &sitting.case.text)])?;
    if sitting.right.amounts.is_empty() {
        sheet.paragraph("  ", &[(Role::Strong, "What is the first thing that you do?")])?;
    }
    let said = input.next(around)?.filter(|line| !line.trim().is_empty());
    let mut verdict = "";
    if let Some(line) = &said {
        sitting.say(line);
        let mark = sitting.mark();
        let numbers = !mark.amounts.is_empty() && mark.amounts.iter().all(|one| one.right);
        let deeds = mark.first && !(mark.right.is_empty() && mark.late.is_empty());
        let right = mark.harm.is_none() && (numbers || (mark.amounts.is_empty() && deeds));
        verdict = match (&mark.harm, right) {
            (Some(_), _) => "Dangerous. ",
            (None, true) => "Right. ",
            (None, false) => "Not that. ",
        };
        if let Some(harm) = &mark.harm {
            let mut sheet = Sheet::new(&mut around.out, around.view);
            sheet.marked((Role::Caution, "  ! "), &[(Role::Plain, &harm.reason)])?;
        }
    }
    let _ = talks;
    let mut sheet = Sheet::new(&mut around.out, around.view);
    for line in firsts(&sitting) {
        sheet.paragraph("  ", &[(Role::Strong, verdict), (Role::Plain, &line)])?;
        verdict = "";
    }
    Ok(())
}

/// What comes first, or how much of what.
fn firsts(sitting: &Sitting<'_>) -> Vec<String> {
    let right = &sitting.right;
    let amounts = right.amounts.iter().map(|one| format!("{}: {}.", one.name, one.given));
    let first = right.firsts.iter().filter_map(|at| right.needed.get(*at));
    let firsts = first.map(|one| format!("{} {}", one.text, one.why));
    amounts.chain(firsts).take(2).collect()
}

fn json(
    topic: &str,
    passages: &[Passage],
    sittings: &[Sitting<'_>],
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let each = passages.len().div_ceil(CHECKS).max(1);
    let checks = sittings.iter().enumerate().map(|(n, sitting)| Check {
        after: ((n + 1) * each).min(passages.len()),
        case: &sitting.case.scenario.id,
        seed: sitting.case.seed,
        text: sitting.case.text.clone(),
        first: firsts(sitting),
    });
    let shape = Shape {
        schema: "brumal.path/1",
        topic,
        minutes: minutes(passages, sittings.len()),
        sections: passages.iter().map(|one| format!("{}#{}", one.note, one.section)).collect(),
        checks: checks.collect(),
    };
    json_line(&mut around.out, &shape)?;
    Ok(Done::Answered)
}
