//! A ten-minute path through the notes of a topic, with three quick checks.

use super::super::args::Format;
use super::super::exit::{Done, Failure};
use super::super::surroundings::Surroundings;
use super::DrillArgs;
use super::input::Input;
use super::pick::Topic;
use crate::drill::{Case, Chance, Ear, Needed, Sitting, draw, in_order};
use crate::knowledge::{Knowledge, NoteRef, Passage, Scenario, Skill};
use crate::render::{Role, Sheet, json_line};
use crate::session::Base;
use serde::Serialize;

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
    let sections = passages(base, &skills);
    let ear = Ear::new(knowledge);
    let seed = args.seed.map_or(1, u64::from);
    let cases = checks(base, &topic_of, &sections, seed, around);
    let passages: Vec<Passage> = sections.into_iter().map(|(passage, _)| passage).collect();
    let sittings: Vec<Sitting<'_>> = cases
        .into_iter()
        .map(|case| Sitting::new(&base.network, &ear, case, around.view.units))
        .collect();
    if around.format == Format::Json {
        return json(topic, &passages, &sittings, around);
    }
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
            check(sitting, &mut input, around)?;
        }
    }
    for sitting in sittings {
        check(sitting, &mut input, around)?;
    }
    Ok(Done::Answered)
}

/// The sections of the skills in an order that builds, each with its skill, as many as can be read in the time.
fn passages<'k>(base: &Base, skills: &[&'k Skill]) -> Vec<(Passage, &'k Skill)> {
    let mut passages: Vec<(Passage, &Skill)> = Vec::new();
    let mut words = CHECKS * CHECK_WORDS;
    for (to, skill) in skills.iter().flat_map(|skill| skill.read.iter().map(move |to| (to, *skill)))
    {
        let Some(passage) = base.notes.passage(&NoteRef(to.to.0.clone())) else { continue };
        let long = passage.text.split_whitespace().count();
        let known = passages
            .iter()
            .any(|(one, _)| one.note == passage.note && one.section == passage.section);
        if known || (words + long > MINUTES * WORDS_A_MINUTE && !passages.is_empty()) {
            continue;
        }
        words += long;
        passages.push((passage, skill));
    }
    passages
}

fn minutes(passages: &[Passage], checks: usize) -> usize {
    let words: usize = passages.iter().map(|one| one.text.split_whitespace().count()).sum();
    (words + checks * CHECK_WORDS).div_ceil(WORDS_A_MINUTE)
}

/// Three cases of the topic, each of what was just read if there is one, easiest first, each another one if there are
/// enough.
fn checks<'b>(
    base: &'b Base,
    topic: &Topic<'_>,
    sections: &[(Passage, &Skill)],
    seed: u64,
    around: &Surroundings,
) -> Vec<Case<'b>> {
    let knowledge: &'b Knowledge = base.knowledge();
    let mut own: Vec<&'b Scenario> =
        knowledge.scenarios.iter().filter(|one| topic.takes(one)).collect();
    own.sort_by_key(|one| one.level);
    let mut chance = Chance::named(seed, "path");
    let mut left = own.clone();
    let each = sections.len().div_ceil(CHECKS).max(1);
    let mut cases = Vec::new();
    for n in 0..CHECKS {
        let read = sections.iter().skip(n * each).take(each).rev();
        let skills: Vec<&str> = read.map(|(_, skill)| skill.id.as_str()).collect();
        // The skill that was read last comes first.
        let just = skills.iter().find_map(|id| left.iter().position(|one| one.skill.id == *id));
        let any = sections
            .iter()
            .find_map(|(_, skill)| left.iter().position(|one| one.skill.id == skill.id));
        let next = just.or(any).map(|at| left.remove(at));
        let Some(scenario) = next.or_else(|| chance.of(&own).copied()) else { continue };
        let seed = u64::from(chance.bits());
        cases.push(draw(&base.network, scenario, seed, around.view.units));
    }
    cases
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
    let first: Vec<&Needed> =
        right.firsts.iter().filter_map(|at| right.needed.get(*at)).take(2).collect();
    // A reason that holds for both is told once, behind them.
    let again = |at: usize| {
        first.get(at + 1).is_some_and(|next| first.get(at).map(|one| &one.why) == Some(&next.why))
    };
    let firsts = first.iter().enumerate().map(|(at, one)| {
        let why = if again(at) { "" } else { one.why.as_str() };
        format!("{} {why}", one.text).trim_end().to_owned()
    });
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
