//! What `rules check` says of drills: every case solvable, told truly, with one clear beginning; every skill covered,
//! every emergency rule practised.
//!
//! Cases are drawn with a few seeds, always the same ones: what holds of them is no proof for all seeds, which the
//! project's own tests draw by the thousand.

use super::draw::draw;
use super::ear::Ear;
use super::right::Right;
use super::sitting::Sitting;
use crate::engine::Network;
use crate::facts::RuleId;
use crate::knowledge::{Call, Knowledge, Rule, Scenario, Urgency};
use crate::problem::{Code, Problem};
use crate::units::System;
use std::collections::{BTreeMap, BTreeSet};

/// So many seeds of each template are drawn.
const SEEDS: u64 = 4;
/// An emergency may begin with so many things at most.
const BEGINNINGS: usize = 3;
/// Every emergency rule is practised by so many templates.
const PRACTISED: usize = 2;

/// Everything that is wrong with the drills, in order of file and place.
#[must_use]
pub fn check(network: &Network) -> Vec<Problem> {
    let knowledge = network.knowledge();
    let mut problems = Vec::new();
    if knowledge.scenarios.is_empty() && knowledge.skills.is_empty() {
        return problems;
    }
    covered(knowledge, &mut problems);
    let ear = Ear::new(knowledge);
    let mut practised: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    for scenario in &knowledge.scenarios {
        for seed in 0..SEEDS {
            let case = draw(network, scenario, seed, System::Us);
            let mut sitting = Sitting::new(network, &ear, case, System::Us);
            let fired = sitting.right.answer.fired.iter();
            for rule in fired.filter_map(|id| emergency(knowledge, *id)) {
                practised.entry(&rule.id).or_default().insert(&scenario.id);
            }
            if let Some(problem) = fault(scenario, seed, &mut sitting, knowledge) {
                problems.push(problem);
                break;
            }
        }
    }
    for rule in knowledge.rules.iter().filter(|rule| is_emergency(rule)) {
        let by = practised.get(rule.id.as_str()).map_or(0, BTreeSet::len);
        if by < PRACTISED {
            let message = format!("the emergency rule `{}` is practised by {by} drills", rule.id);
            let help = "add a `[[scenario]]` whose facts fire it, until there are two";
            problems
                .push(Problem::warning(Code::Unused, Some(rule.place.clone()), message).help(help));
        }
    }
    problems.sort_by(|a, b| a.place.cmp(&b.place));
    problems
}

fn is_emergency(rule: &Rule) -> bool {
    rule.urgency == Urgency::Now && !rule.call.is_empty()
}

fn emergency(knowledge: &Knowledge, id: RuleId) -> Option<&Rule> {
    knowledge.rule(id).filter(|rule| is_emergency(rule))
}

/// Every skill has a drill, and every topic of the rules belongs to a skill.
fn covered(knowledge: &Knowledge, problems: &mut Vec<Problem>) {
    for skill in &knowledge.skills {
        if !knowledge.scenarios.iter().any(|one| one.skill.id == skill.id) {
            let message = format!("no drill practises the skill `{}`", skill.id);
            let problem = Problem::error(Code::Unused, Some(skill.place.clone()), message);
            problems.push(
                problem.help(format!("add a `[[scenario]]` with `skill = \"{}\"`", skill.id)),
            );
        }
    }
    let mut told: BTreeSet<&str> = BTreeSet::new();
    for rule in knowledge.rules.iter().filter(|rule| !rule.call.is_empty()) {
        let known =
            knowledge.skills.iter().any(|skill| skill.rules.iter().any(|one| one.id == rule.topic));
        if !known && told.insert(&rule.topic) {
            let message = format!("no skill is about the rules of `{}`", rule.topic);
            let problem = Problem::warning(Code::Unused, Some(rule.place.clone()), message);
            problems.push(problem.help("name the file in the `rules` of a `[[skill]]`"));
        }
    }
}

/// The first thing that is wrong with one draw.
fn fault(
    scenario: &Scenario,
    seed: u64,
    sitting: &mut Sitting<'_>,
    knowledge: &Knowledge,
) -> Option<Problem> {
    let right = sitting.right.clone();
    let problem = |message: String, help: &str| {
        Some(Problem::error(Code::Example, Some(scenario.place.clone()), message).help(help))
    };
    let name = format!("the drill `{}` (seed {seed})", scenario.id);
    if right.needed.is_empty() && right.amounts.is_empty() {
        let help = "let its facts fire a rule that calls for something, or raise its `within`";
        return problem(format!("{name} has no right answer"), help);
    }
    if scenario.call == Call::Emergency && beginnings(&right, knowledge) > BEGINNINGS {
        let first = right.firsts.iter().filter_map(|at| right.needed.get(*at));
        let ids: Vec<&str> = first.map(|one| one.id.as_str()).collect();
        let message = format!("{name} may begin with any of {}", ids.join(", "));
        return problem(message, "say by `before` or `after` which of these actions comes first");
    }
    for fact in right.mattered.clone() {
        let ask = knowledge.vocabulary.get(fact).map(|def| def.ask.clone()).unwrap_or_default();
        sitting.say(&ask);
    }
    for one in &right.needed {
        sitting.say(&one.text);
    }
    for one in &right.amounts {
        sitting.say(&format!("add {} of {}", one.given, one.name));
    }
    if let Some(hours) = right.hours {
        sitting.say(&format!("about {:.2} hours", hours.best));
    }
    let mark = sitting.mark();
    if mark.share < 0.999 || !mark.passed() {
        let missing = mark.missing.iter().chain(mark.late.iter().map(|(at, _)| at));
        let ids: Vec<&str> =
            missing.filter_map(|at| right.needed.get(*at)).map(|one| one.id.as_str()).collect();
        let unasked = mark.unasked.iter().map(|fact| knowledge.vocabulary.name(*fact));
        let ids: Vec<&str> = ids.into_iter().chain(unasked).collect();
        let harm = mark.harm.map(|harm| harm.words).unwrap_or_default();
        let message =
            format!("{name} gives its own right answer no full marks: {}{harm}", ids.join(", "));
        let help =
            "look at the order of these actions, and at the patterns in scenarios/words.toml";
        return problem(message, help);
    }
    None
}

/// How many things an emergency may begin with, once what is done at one time counts as one.
fn beginnings(right: &Right<'_>, knowledge: &Knowledge) -> usize {
    let ids: Vec<&str> = right
        .firsts
        .iter()
        .filter_map(|at| right.needed.get(*at))
        .map(|one| one.id.as_str())
        .collect();
    let alone = |at: usize, id: &str| {
        !ids.iter().take(at).any(|other| knowledge.doing.at_one_time(other, id))
    };
    ids.iter().enumerate().filter(|(at, id)| alone(*at, id)).count()
}
