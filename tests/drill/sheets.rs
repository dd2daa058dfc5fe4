//! Two tools for whoever writes answers in their own words: the cases as sheets, and the score of a file of answers.
//!
//! A writer needs what a senior technician knows of a case (what was told, what is so, what has to be done in which
//! order, what must not be done) and nothing of the words that the program knows.

use super::own_words::{cases_at, difference};
use super::{BASE, EAR, named, network, scenarios};
use brumal::drill::{Right, Sitting, draw, right};
use brumal::knowledge::{Knowledge, Scenario};
use brumal::units::{System, count};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::fmt::Write as _;

fn sheet(scenario: &'static Scenario, seed: u64) -> String {
    let case = draw(network(), scenario, seed, System::Us);
    let vocabulary = &BASE.knowledge().vocabulary;
    let hidden = case.facts.iter().filter(|(id, _)| !case.told.contains(id));
    let shown = hidden.map(|(id, value)| {
        let shown = vocabulary.get(*id).map(|def| def.show(*value, System::Us));
        format!("{}: {}", vocabulary.name(*id), shown.unwrap_or_default())
    });
    let hidden: Vec<String> = shown.collect();
    let right = right(network(), &case, System::Us);
    let mut text =
        format!("=== {} seed {seed} ({})\nTOLD: {}\n", scenario.id, scenario.title, case.text);
    writeln!(text, "SO, IF ASKED: {}", hidden.join("; ")).unwrap();
    write_right(&mut text, &right);
    text
}

fn write_right(text: &mut String, right: &Right<'_>) {
    for (at, one) in right.needed.iter().enumerate() {
        let first = if right.firsts.contains(&at) { "may come first, " } else { "" };
        writeln!(text, "  {at} {} [{first}{:?}]: {}", one.id, one.urgency, one.text).unwrap();
    }
    let mattered: Vec<&str> =
        right.mattered.iter().map(|id| BASE.knowledge().vocabulary.name(*id)).collect();
    writeln!(text, "  QUESTIONS THAT MATTER: {mattered:?}; BEFORE EACH OTHER: {:?}", right.order)
        .unwrap();
    for one in &right.amounts {
        writeln!(text, "  AMOUNT {} of {}, within {} of it", one.given, one.name, one.tolerance)
            .unwrap();
    }
    if let Some(hours) = right.hours {
        writeln!(text, "  HOURS {:.1} to {:.1}", hours.low, hours.high).unwrap();
    }
    for danger in right.dangers.iter().filter(|danger| danger.outright) {
        writeln!(text, "  NEVER {}: {}", danger.id, danger.reason).unwrap();
    }
}

/// `BRUMAL_SEEDS="7 8" cargo test --test all -- --ignored answer_sheets --nocapture`
#[test]
#[ignore = "a tool: prints every case of the seeds that BRUMAL_SEEDS names"]
fn answer_sheets() {
    let seeds = named("BRUMAL_SEEDS").unwrap_or_else(|| "1".into());
    for scenario in scenarios() {
        for seed in seeds.split_whitespace() {
            println!("{}", sheet(scenario, seed.parse().expect("a seed is a whole number")));
        }
    }
}

/// `BRUMAL_ANSWERS=FILE cargo test --test all -- --ignored score_of_answers --nocapture`
#[test]
#[ignore = "a tool: scores the answers in the file that BRUMAL_ANSWERS names"]
fn score_of_answers() {
    let path = named("BRUMAL_ANSWERS").expect("BRUMAL_ANSWERS names a file of answers");
    let cases = cases_at(&path);
    let different: Vec<String> = cases.iter().filter_map(difference).collect();
    let agree = cases.len() - different.len();
    println!("{}", different.join("\n"));
    println!("{agree} of {} agree ({:.3})", cases.len(), count(agree) / count(cases.len()));
}

/// `BRUMAL_EXAMPLES=FOLDER cargo test --test all -- --ignored score_of_examples --nocapture`
#[test]
#[ignore = "a tool: says which examples of scenarios/examples.toml are not read, those of another folder if it is named"]
fn score_of_examples() {
    let drawn = drawn();
    let other = named("BRUMAL_EXAMPLES").map(|folder| {
        let texts = brumal::knowledge::read_folder(folder.as_ref()).expect("a folder of knowledge");
        Knowledge::load(&texts).value.doing.examples
    });
    let (mut read, mut all) = (0, 0);
    for examples in other.as_ref().unwrap_or(&BASE.knowledge().doing.examples) {
        let needs = |one: &&Sitting<'_>| one.right.needed.iter().any(|n| n.id == examples.id);
        let Some(sitting) = drawn.iter().find(needs) else { continue };
        let place = sitting.right.needed.iter().position(|one| one.id == examples.id);
        for (text, _) in &examples.clauses {
            let mut sitting = sitting.clone();
            let harm = sitting.say(text).harm;
            let mark = sitting.mark();
            let late = mark.late.iter().map(|(at, _)| *at);
            let done = mark.right.iter().copied().chain(late).any(|at| Some(at) == place);
            all += 1;
            read += usize::from(done && harm.is_none());
            if harm.is_some() || !done {
                let why = harm.map_or(String::new(), |harm| format!(" (danger: {})", harm.reason));
                println!("Does {}: `{text}`{why}", examples.id);
            }
        }
    }
    println!("{read} of {all} read");
}

fn drawn() -> Vec<Sitting<'static>> {
    let sit = |one| Sitting::new(network(), &EAR, draw(network(), one, 1, System::Us), System::Us);
    scenarios().iter().map(sit).collect()
}

/// What breaks a caution and what keeps it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Sayings {
    breaks: Vec<String>,
    keeps: Vec<String>,
}

/// How many of some sayings are dangerous to a case that has the caution, and how many there are; told which are not read as
/// they are meant.
fn dangerous(part: impl Fn(&[String]) -> Vec<String>) -> (String, [(usize, usize); 2]) {
    let drawn = drawn();
    let text = include_str!("../cases/drills/cautions.toml");
    let sayings: BTreeMap<String, Sayings> = toml::from_str(text).unwrap();
    let mut told = String::new();
    let mut read = [(0, 0); 2];
    for (id, said) in &sayings {
        let has = |one: &&Sitting<'_>| one.right.dangers.iter().any(|d| d.outright && d.id == *id);
        let sitting = drawn.iter().find(has).expect(id);
        for (at, (texts, meant)) in
            [(&said.breaks, true), (&said.keeps, false)].into_iter().enumerate()
        {
            for text in part(texts) {
                let harm = sitting.clone().say(&text).harm.is_some();
                read[at] = (read[at].0 + usize::from(harm == meant), read[at].1 + 1);
                if harm != meant {
                    writeln!(told, "{} {id}: `{text}`", if meant { "Breaks" } else { "Keeps" })
                        .unwrap();
                }
            }
        }
    }
    (told, read)
}

/// Of what breaks a caution, said in one clause, most is seen; of what keeps to one, hardly anything is called dangerous.
/// On 2026-11-30 the words of the day before read 141 of 448 and 416 of 448; the first words taught from ten of each list 332
/// and 436, of the four kept aside 53 and 119 of 128 (28 and 117 before). A list of misses showed some of those four later.
#[test]
fn what_breaks_a_caution_is_told_from_what_keeps_it() {
    let (told, read) = dangerous(<[String]>::to_vec);
    let (_, aside) = dangerous(|all| all.iter().skip(10).cloned().collect());
    let shares = [read[0], read[1], aside[0], aside[1]].map(|(good, all)| count(good) / count(all));
    let floors = [0.72, 0.96, 0.4, 0.91];
    let low = shares.iter().zip(floors).any(|(share, floor)| *share < floor);
    assert!(!low, "{shares:?} of {floors:?}\n{told}");
}

#[test]
#[ignore = "a tool: says which sayings of tests/cases/drills/cautions.toml are not read as they are meant"]
fn score_of_cautions() {
    let (told, [breaks, keeps]) = dangerous(<[String]>::to_vec);
    let (_, [aside, kept]) = dangerous(|all| all.iter().skip(10).cloned().collect());
    println!("{told}breaks {breaks:?} keeps {keeps:?}, of those kept aside {aside:?} {kept:?}");
}
