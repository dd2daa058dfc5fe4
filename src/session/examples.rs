//! The second half of `rules check`: runs the examples that stand beside the rules.

use super::base::{Base, Settings};
use super::turn::Session;
use crate::advice::Answer;
use crate::clock::Moment;
use crate::facts::{FactId, RuleId, Value};
use crate::knowledge::{Example, IdRef, Knowledge, Rule, read_folder};
use crate::notes::Notes;
use crate::problem::{Code, Problem, Severity, SourceText};
use std::path::Path;

/// The moment by which examples are answered: a winter morning before light.
const MOMENT: &str = "2026-01-14T06:10:00-05:00";

/// Everything that is wrong with a knowledge folder: its texts, what belongs together, and the examples.
///
/// # Errors
/// Problems that keep the folder from being read at all.
pub fn check_folder(folder: &Path) -> Result<(Vec<Problem>, Vec<SourceText>), Vec<Problem>> {
    let texts = read_folder(folder)?;
    Ok((check_texts(&texts)?, texts))
}

/// Everything that is wrong with the texts of a knowledge folder.
///
/// # Errors
/// Problems that keep the texts from being read at all.
pub fn check_texts(texts: &[SourceText]) -> Result<Vec<Problem>, Vec<Problem>> {
    let loaded = Knowledge::load(texts);
    let notes = Notes::load(texts).map_err(|problem| vec![problem])?;
    let mut problems = loaded.problems;
    problems.extend(loaded.value.check(Some(&notes.value.section_names())));
    problems.extend(notes.problems);
    let sound = |problem: &Problem| {
        // What the examples cannot run without; a contradiction or a gap leaves them running.
        !matches!(
            problem.code,
            Code::Syntax
                | Code::UnknownName
                | Code::Condition
                | Code::Units
                | Code::Cycle
                | Code::Duplicate
        )
    };
    if problems.iter().filter(|p| p.severity == Severity::Error).all(sound) {
        match Base::from_texts(texts) {
            Ok(base) => problems.extend(run_examples(&base)),
            Err(more) => problems.extend(more.into_iter().filter(|p| p.code != Code::Value)),
        }
    }
    problems.sort_by(|a, b| a.place.cmp(&b.place));
    problems.dedup();
    Ok(problems)
}

/// Runs every example of every rule; each that does not hold is a problem at its place.
#[must_use]
pub fn run_examples(base: &Base) -> Vec<Problem> {
    let mut problems = Vec::new();
    let Ok(at) = Moment::parse(MOMENT) else { return problems };
    for (number, rule) in base.knowledge().rules.iter().enumerate() {
        let Ok(id) = u16::try_from(number).map(RuleId) else { continue };
        for example in &rule.examples {
            let answer = answer(base, example, at);
            for failure in failures(base, rule, id, example, &answer) {
                let message = format!("an example of `{}` does not hold: {failure}", rule.id);
                problems.push(
                    Problem::error(Code::Example, Some(example.place.clone()), message)
                        .help(format!("read and concluded: {}", told(&answer))),
                );
            }
        }
    }
    problems
}

fn answer(base: &Base, example: &Example, at: Moment) -> Answer {
    let mut session = Session::new(base, Settings::default());
    for (id, value) in &example.facts {
        session.give(*id, *value);
    }
    session.turn(example.message.as_deref().unwrap_or(""), at)
}

fn failures(
    base: &Base,
    rule: &Rule,
    id: RuleId,
    example: &Example,
    answer: &Answer,
) -> Vec<String> {
    let mut failures = Vec::new();
    let fired = answer.fired.contains(&id);
    if fired != example.fires {
        let wanted = if example.fires { "does not fire" } else { "fires" };
        failures.push(format!("the rule {wanted}"));
    }
    let called = |id: &IdRef| answer.actions.iter().any(|action| action.id == id.id);
    let ids = |list: &[IdRef], wanted: bool| -> Vec<String> {
        list.iter().filter(|id| called(id) != wanted).map(|id| format!("`{}`", id.id)).collect()
    };
    let missing = ids(&example.calls, true);
    if !missing.is_empty() {
        failures.push(format!("{} is not called", missing.join(", ")));
    }
    let unwanted = ids(&example.not_calls, false);
    if !unwanted.is_empty() {
        failures.push(format!("{} is called", unwanted.join(", ")));
    }
    for caution in &example.cautions {
        if !answer.cautions.iter().any(|one| one.id == caution.id) {
            failures.push(format!("the caution `{}` is missing", caution.id));
        }
    }
    for (fact, value) in &example.concludes {
        if !holds(answer, *fact, *value) {
            failures.push(format!("`{}` is not so", base.knowledge().vocabulary.name(*fact)));
        }
    }
    if let Some(fact) = example.asks
        && !answer.questions.iter().any(|question| question.fact == fact)
    {
        failures.push(format!("it does not ask for `{}`", base.knowledge().vocabulary.name(fact)));
    }
    if let Some(verdict) = example.verdict
        && answer.verdicts.first().map(|one| one.verdict) != Some(verdict)
    {
        failures.push(format!("the verdict is not `{}`", verdict.name()));
    }
    if let Some(idle) = idle(rule, example) {
        failures.push(idle);
    }
    failures
}

/// An example that fires its rule says nothing about what the rule calls for: it earns little.
fn idle(rule: &Rule, example: &Example) -> Option<String> {
    let states =
        !(example.calls.is_empty() && example.cautions.is_empty() && example.concludes.is_empty());
    let expects =
        states || example.asks.is_some() || example.verdict.is_some() || rule.finding.is_some();
    (example.fires && !expects)
        .then(|| "it states no `calls`, `cautions` or `concludes`".to_owned())
}

fn holds(answer: &Answer, fact: FactId, value: Value) -> bool {
    answer.facts.iter().filter(|known| known.id == fact).any(|known| match (known.value, value) {
        (Value::Number(a), Value::Number(b)) => (a - b).abs() <= 0.005 * b.abs().max(1.0),
        (a, b) => a == b,
    })
}

fn told(answer: &Answer) -> String {
    let facts: Vec<&str> = answer.facts.iter().map(|fact| fact.shown.as_str()).collect();
    let actions: Vec<&str> = answer.actions.iter().map(|action| action.id.as_str()).collect();
    format!(
        "{}; calls {}",
        facts.join(", "),
        if actions.is_empty() { "nothing".to_owned() } else { actions.join(", ") }
    )
}
