//! Drills: names that resolve, nothing written twice, skills that build on each other in no circle.

use crate::knowledge::{Knowledge, Sayings, stems};
use crate::problem::{Code, Place, Problem};
use std::collections::{BTreeMap, BTreeSet};

/// All checks of what stands in `scenarios/`.
pub(super) fn check(
    knowledge: &Knowledge,
    sections: Option<&BTreeSet<String>>,
    problems: &mut Vec<Problem>,
) {
    twice(knowledge, problems);
    names(knowledge, problems);
    words(knowledge, problems);
    examples(knowledge, problems);
    circles(knowledge, problems);
    let Some(sections) = sections else { return };
    let read = knowledge.skills.iter().flat_map(|skill| &skill.read);
    for citation in read.filter(|citation| !sections.contains(&citation.to.0)) {
        let message = format!("no note has the section `{}`", citation.to.0);
        let problem = Problem::error(Code::Citation, Some(citation.place.clone()), message);
        problems.push(problem.did_you_mean(&citation.to.0, sections.iter().map(String::as_str)));
    }
}

fn twice(knowledge: &Knowledge, problems: &mut Vec<Problem>) {
    let drills = knowledge.scenarios.iter().map(|one| ("drill", &one.id, &one.place));
    let skills = knowledge.skills.iter().map(|one| ("skill", &one.id, &one.place));
    let mut seen: BTreeSet<(&str, &str)> = BTreeSet::new();
    for (kind, id, place) in drills.chain(skills) {
        if !seen.insert((kind, id)) {
            let message = format!("the {kind} `{id}` is written twice");
            let problem = Problem::error(Code::Duplicate, Some(place.clone()), message);
            problems.push(problem.help("give one of them another id"));
        }
    }
}

fn unknown<'a>(
    what: &str,
    id: &str,
    place: &Place,
    known: impl IntoIterator<Item = &'a str>,
) -> Problem {
    let message = format!("no {what} is called `{id}`");
    Problem::error(Code::UnknownName, Some(place.clone()), message).did_you_mean(id, known)
}

fn names(knowledge: &Knowledge, problems: &mut Vec<Problem>) {
    let skills: Vec<&str> = knowledge.skills.iter().map(|skill| skill.id.as_str()).collect();
    let needs = knowledge.skills.iter().flat_map(|skill| &skill.needs);
    let named = knowledge.scenarios.iter().map(|one| &one.skill).chain(needs);
    for one in named.filter(|one| !skills.contains(&one.id.as_str())) {
        problems.push(unknown("skill", &one.id, &one.place, skills.iter().copied()));
    }
    let topics: BTreeSet<&str> = knowledge.rules.iter().map(|rule| rule.topic.as_str()).collect();
    let rules = knowledge.skills.iter().flat_map(|skill| &skill.rules);
    for one in rules.filter(|one| !topics.contains(one.id.as_str())) {
        problems.push(unknown("file of rules", &one.id, &one.place, topics.iter().copied()));
    }
    for scenario in &knowledge.scenarios {
        let mut drawn = scenario.facts.iter().map(|fact| fact.fact).collect::<Vec<_>>();
        for fact in scenario.tell.iter().flat_map(crate::knowledge::Template::facts) {
            if !drawn.contains(&fact) {
                let name = knowledge.vocabulary.name(fact);
                let message = format!("`{}` tells `{name}`, which it does not draw", scenario.id);
                let problem =
                    Problem::error(Code::UnknownName, Some(scenario.place.clone()), message);
                problems.push(problem.help("add it as a `[[scenario.fact]]`"));
                drawn.push(fact);
            }
        }
    }
}

fn words(knowledge: &Knowledge, problems: &mut Vec<Problem>) {
    let doing = &knowledge.doing;
    let actions = || knowledge.actions.iter().map(|action| action.id.as_str());
    let cautions = || knowledge.cautions.iter().map(|caution| caution.id.as_str());
    let no_action = |one: &&Sayings| knowledge.action(&one.id).is_none();
    for one in doing.said.iter().filter(no_action) {
        problems.push(unknown("action", &one.id, &one.place, actions()));
    }
    for one in doing.never.iter().filter(|one| knowledge.caution(&one.id).is_none()) {
        problems.push(unknown("caution", &one.id, &one.place, cautions()));
    }
    for one in doing.examples.iter().filter(|one| knowledge.action(&one.id).is_none()) {
        problems.push(unknown("action", &one.id, &one.place, actions()));
    }
    for (id, others, place) in &doing.together {
        let all = std::iter::once(id).chain(others);
        for one in all.filter(|one| knowledge.action(one).is_none()) {
            problems.push(unknown("action", one, place, actions()));
        }
    }
    for (name, _, place) in &doing.asked {
        if knowledge.vocabulary.find(name).is_none() {
            problems.push(unknown("fact", name, place, knowledge.vocabulary.names()));
        }
    }
}

/// An example says one thing: the same words for two actions tell nothing.
fn examples(knowledge: &Knowledge, problems: &mut Vec<Problem>) {
    let mut seen: BTreeMap<Vec<String>, &str> = BTreeMap::new();
    for one in &knowledge.doing.examples {
        for (text, place) in &one.clauses {
            let words = stems(text);
            let problem = |message: String, help: &str| {
                Problem::error(Code::Duplicate, Some(place.clone()), message).help(help)
            };
            if words.is_empty() {
                problems.push(problem("this example says nothing".into(), "write a clause"));
                continue;
            }
            if let Some(other) = seen.insert(words, &one.id) {
                let message = format!("this example is one of `{other}` already");
                problems.push(problem(
                    message,
                    "word it as somebody else would say it, or take one out",
                ));
            }
        }
    }
}

/// A skill that needs itself, by whatever way.
fn circles(knowledge: &Knowledge, problems: &mut Vec<Problem>) {
    for skill in &knowledge.skills {
        let mut open: Vec<&str> = skill.needs.iter().map(|need| need.id.as_str()).collect();
        let mut seen: BTreeSet<&str> = BTreeSet::new();
        while let Some(id) = open.pop() {
            if id == skill.id {
                let message = format!("the skill `{}` needs itself in the end", skill.id);
                let problem = Problem::error(Code::Cycle, Some(skill.place.clone()), message);
                problems.push(problem.help("take one of its `needs` out"));
                break;
            }
            if seen.insert(id) {
                let next = knowledge.skills.iter().filter(|one| one.id == id);
                open.extend(next.flat_map(|one| &one.needs).map(|need| need.id.as_str()));
            }
        }
    }
}
