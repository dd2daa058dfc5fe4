//! Faults seeded into drills: each is told with its file, its line, what is wrong and what to do about it.

use brumal::drill::check;
use brumal::knowledge::{Knowledge, read_folder};
use brumal::problem::{Problem, Severity, SourceText};
use brumal::session::Base;
use serde::Deserialize;
use std::path::Path;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Faults {
    fault: Vec<Fault>,
}

/// One fault: a text that is added to the scenarios, and what has to be said of it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Fault {
    what: String,
    add: String,
    /// Another file that is added, by name and text.
    #[serde(default)]
    beside: Option<(String, String)>,
    /// A warning at a rule, and no error at the drill.
    #[serde(default)]
    warns: bool,
    at: String,
    message: String,
    help: String,
}

/// The shipped knowledge with no drills but the skills and the words of doing, so that a check is quick.
fn bare() -> Vec<SourceText> {
    let mut texts =
        read_folder(Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/knowledge"))).unwrap();
    let keeps = |name: &str| {
        !name.starts_with("scenarios/")
            || name.ends_with("skills.toml")
            || name.ends_with("words.toml")
    };
    texts.retain(|text| keeps(&text.name));
    texts
}

fn problems(texts: &[SourceText]) -> Vec<Problem> {
    let loaded = Knowledge::load(texts);
    let mut problems = loaded.problems;
    problems.extend(loaded.value.check(None));
    // As `rules check` has it: cases are drawn when what is written can be read.
    let here = |problem: &Problem| problem.place.as_ref().is_some_and(|at| at.file == FILE);
    if problems.iter().any(|problem| here(problem) && problem.severity == Severity::Error) {
        return problems;
    }
    match Base::from_texts(texts) {
        Ok(base) => problems.extend(check(&base.network)),
        Err(more) => problems.extend(more),
    }
    problems
}

const FILE: &str = "scenarios/zz-fault.toml";

fn tells(fault: &Fault, problem: &Problem) -> bool {
    let Some(place) = problem.place.as_ref() else { return false };
    let line = fault.add.lines().nth(place.line.saturating_sub(1)).unwrap_or("");
    let here = if fault.warns { place.file.starts_with("rules/") } else { place.file == FILE };
    let severity = if fault.warns { Severity::Warning } else { Severity::Error };
    here && problem.severity == severity
        && (fault.warns || line.contains(&fault.at))
        && problem.message.contains(&fault.message)
        && problem.help.as_deref().is_some_and(|help| help.contains(&fault.help))
}

#[test]
fn each_fault_of_a_drill_is_told_with_file_line_words_and_hint() {
    let cases = include_str!("../cases/drills/faults.toml");
    let faults = toml::from_str::<Faults>(cases).unwrap().fault;
    assert!(faults.len() >= 12, "only {} faults", faults.len());
    let sound = bare();
    let mut missed = Vec::new();
    for fault in &faults {
        let mut texts = sound.clone();
        texts.extend(
            fault
                .beside
                .iter()
                .map(|(name, text)| SourceText { name: name.clone(), text: text.clone() }),
        );
        texts.push(SourceText { name: FILE.to_owned(), text: fault.add.clone() });
        let found = problems(&texts);
        if !found.iter().any(|problem| tells(fault, problem)) {
            let told = found.iter().filter(|p| p.place.as_ref().is_some_and(|at| at.file == FILE));
            let told: Vec<String> = told.map(|p| format!("{p} / {:?}", p.help)).collect();
            missed.push(format!("{}\n      {}", fault.what, told.join("\n      ")));
        }
    }
    assert!(missed.is_empty(), "{} of {}:\n{}", missed.len(), faults.len(), missed.join("\n"));
}

/// The same drill without a fault is told nothing of: the test above does not find what it seeds by chance.
#[test]
fn a_sound_drill_is_not_complained_of() {
    let mut texts = bare();
    let add = r#"
[[scenario]]
id = "zz-sound"
title = "Sound"
skill = "cold-night"
level = "basic"
call = "emergency"
tell = ["{air.temperature}, the pump runs on a clock."]

[[scenario.fact]]
name = "air.temperature"
range = "14..30 °F"
told = "always"

[[scenario.fact]]
name = "pump.running"
is = "yes"

[[scenario.fact]]
name = "timer.fitted"
is = "yes"
"#;
    texts.push(SourceText { name: FILE.to_owned(), text: add.to_owned() });
    let found: Vec<Problem> = problems(&texts)
        .into_iter()
        .filter(|problem| problem.place.as_ref().is_some_and(|at| at.file == FILE))
        .collect();
    assert!(found.is_empty(), "{found:?}");
}
