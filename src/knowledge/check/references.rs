//! Names: every id resolves, every citation leads somewhere, nothing is written twice or for nothing.

use crate::knowledge::action::IdRef;
use crate::knowledge::{Bringer, Citation, FactDef, Knowledge, Rule};
use crate::problem::{Code, Place, Problem};
use std::collections::{BTreeMap, BTreeSet};

/// All checks of names.
pub(super) fn check(
    knowledge: &Knowledge,
    sections: Option<&BTreeSet<String>>,
    problems: &mut Vec<Problem>,
) {
    duplicates(knowledge, problems);
    ids(knowledge, problems);
    if let Some(sections) = sections {
        citations(knowledge, sections, problems);
    }
    products(knowledge, problems);
    sources_and_examples(knowledge, problems);
    unused(knowledge, problems);
}

fn duplicates(knowledge: &Knowledge, problems: &mut Vec<Problem>) {
    let mut twice = |kind: &str, all: &mut dyn Iterator<Item = (&str, &Place)>| {
        let mut seen: BTreeMap<String, Place> = BTreeMap::new();
        for (id, place) in all {
            if let Some(first) = seen.insert(id.to_owned(), place.clone()) {
                let message = format!("the {kind} `{id}` is written twice");
                let problem = Problem::error(Code::Duplicate, Some(place.clone()), message);
                problems.push(problem.help(format!("the other one stands at {first}")));
            }
        }
    };
    twice("rule", &mut knowledge.rules.iter().map(|rule| (rule.id.as_str(), &rule.place)));
    twice(
        "action",
        &mut knowledge.actions.iter().map(|action| (action.id.as_str(), &action.place)),
    );
    twice(
        "caution",
        &mut knowledge.cautions.iter().map(|caution| (caution.id.as_str(), &caution.place)),
    );
}

/// Products and ways of keeping a pool that actions and plans name.
fn products(knowledge: &Knowledge, problems: &mut Vec<Problem>) {
    let mut known = |id: &str, place: Option<&Place>, kind: &str, names: &[&str]| {
        if !names.contains(&id) {
            let message = format!("no {kind} is called `{id}`");
            let problem = Problem::error(Code::UnknownName, place.cloned(), message);
            problems.push(problem.did_you_mean(id, names.iter().copied()));
        }
    };
    let products: Vec<&str> = knowledge.products.iter().map(|one| one.id.as_str()).collect();
    // A trial of a few files has no products.
    if products.is_empty() {
        return;
    }
    for action in &knowledge.actions {
        let general = |id: &&String| !["all", "hold"].contains(&id.as_str());
        for id in action.dose.iter().filter(general).chain(&action.own_dose) {
            known(id, Some(&action.place), "product", &products);
        }
    }
    let chlorine = &knowledge.dosing.chlorine;
    let place = chlorine.place.as_ref();
    for (_, id) in chlorine.usual.iter().filter(|_| place.is_some()) {
        known(id, place, "product", &products);
    }
    if place.is_some() {
        known(&chlorine.usual_else, place, "product", &products);
    }
    let methods = chlorine.usual.iter().map(|(name, _)| ("sanitizer.method", name));
    let heaters = knowledge.dosing.exchanger_heaters.iter().map(|name| ("heater.kind", name));
    for (fact, name) in methods.chain(heaters) {
        let values = knowledge.vocabulary.def(fact).map(FactDef::values).unwrap_or_default();
        let values: Vec<&str> = values.iter().map(String::as_str).collect();
        known(name, place, fact, &values);
    }
}

fn ids(knowledge: &Knowledge, problems: &mut Vec<Problem>) {
    let mut action = |list: &[IdRef]| {
        for id in list.iter().filter(|id| knowledge.action(&id.id).is_none()) {
            let problem = Problem::error(
                Code::UnknownName,
                Some(id.place.clone()),
                format!("no action is called `{}`", id.id),
            );
            problems.push(
                problem.did_you_mean(&id.id, knowledge.actions.iter().map(|a| a.id.as_str())),
            );
        }
    };
    for rule in &knowledge.rules {
        action(&rule.call);
        for example in &rule.examples {
            action(&example.calls);
            action(&example.not_calls);
        }
    }
    for one in &knowledge.actions {
        action(&one.before);
        action(&one.after);
        action(&one.never_with);
    }
    let of_rules = knowledge.rules.iter().flat_map(|rule| {
        rule.cautions.iter().chain(rule.examples.iter().flat_map(|example| &example.cautions))
    });
    let of_actions = knowledge.actions.iter().flat_map(|action| &action.cautions);
    for id in of_rules.chain(of_actions).filter(|id| knowledge.caution(&id.id).is_none()) {
        let problem = Problem::error(
            Code::UnknownName,
            Some(id.place.clone()),
            format!("no caution is called `{}`", id.id),
        );
        problems
            .push(problem.did_you_mean(&id.id, knowledge.cautions.iter().map(|c| c.id.as_str())));
    }
}

fn all_citations(knowledge: &Knowledge) -> impl Iterator<Item = &Citation> {
    let rules = knowledge.rules.iter().flat_map(|rule| &rule.cites);
    let actions = knowledge.actions.iter().flat_map(|action| &action.cites);
    let winter = knowledge.winter.checks.iter().chain(&knowledge.winter.cautions);
    rules
        .chain(actions)
        .chain(knowledge.cautions.iter().flat_map(|caution| &caution.cites))
        .chain(winter.flat_map(|check| &check.cites))
}

fn citations(knowledge: &Knowledge, sections: &BTreeSet<String>, problems: &mut Vec<Problem>) {
    for citation in all_citations(knowledge).filter(|citation| !sections.contains(&citation.to.0)) {
        let message = format!("no note has the section `{}`", citation.to.0);
        let problem = Problem::error(Code::Citation, Some(citation.place.clone()), message);
        problems.push(problem.did_you_mean(&citation.to.0, sections.iter().map(String::as_str)));
    }
    for range in &knowledge.ranges {
        if let Some(note) = range.note.as_ref().filter(|note| !sections.contains(*note)) {
            let message = format!("no note has the section `{note}`");
            let problem = Problem::error(Code::Citation, Some(range.place.clone()), message);
            problems.push(problem.did_you_mean(note, sections.iter().map(String::as_str)));
        }
    }
    let uncited = |what: String, place: &Place| {
        Problem::error(Code::Citation, Some(place.clone()), format!("{what} cites no note"))
            .help("add `cites = [\"note#section\"]`")
    };
    for rule in
        knowledge.rules.iter().filter(|rule| rule.finding.is_some() && rule.cites.is_empty())
    {
        problems.push(uncited(format!("the finding of `{}`", rule.id), &rule.place));
    }
    // What many rules call, such as a call for help, is explained by what its callers cite.
    let explained = |id: &str| {
        let mut callers =
            knowledge.rules.iter().filter(|rule| rule.call.iter().any(|call| call.id == id));
        callers.all(|rule| !rule.cites.is_empty())
    };
    let uncited_actions = knowledge.actions.iter().filter(|action| action.cites.is_empty());
    for action in uncited_actions.filter(|action| !explained(&action.id)) {
        problems.push(uncited(format!("the action `{}`", action.id), &action.place));
    }
}

fn sources_and_examples(knowledge: &Knowledge, problems: &mut Vec<Problem>) {
    for rule in &knowledge.rules {
        if rule.source.trim().is_empty() {
            let message = format!("`{}` has no source", rule.id);
            let problem = Problem::error(Code::Source, Some(rule.place.clone()), message);
            problems.push(
                problem.help("name body, document, year and section, or write `common practice`"),
            );
        }
        if !rule.examples.iter().any(|example| example.fires) {
            let message = format!("`{}` has no example that fires it", rule.id);
            let problem = Problem::error(Code::Example, Some(rule.place.clone()), message);
            problems
                .push(problem.help("add a `[[rule.example]]` with a `message` or with `facts`"));
        }
        if does_nothing(rule) {
            let message = format!("`{}` finds, concludes, calls and warns of nothing", rule.id);
            problems.push(Problem::error(Code::Unused, Some(rule.place.clone()), message));
        }
    }
    for range in knowledge.ranges.iter().filter(|range| range.source.trim().is_empty()) {
        let message =
            format!("the range of `{}` has no source", knowledge.vocabulary.name(range.fact));
        problems.push(Problem::error(Code::Source, Some(range.place.clone()), message));
    }
}

const fn does_nothing(rule: &Rule) -> bool {
    rule.finding.is_none()
        && rule.conclude.is_empty()
        && rule.call.is_empty()
        && rule.cautions.is_empty()
        && rule.ask.is_empty()
}

fn unused(knowledge: &Knowledge, problems: &mut Vec<Problem>) {
    let called: BTreeSet<&str> =
        knowledge.rules.iter().flat_map(|rule| &rule.call).map(|id| id.id.as_str()).collect();
    for action in knowledge.actions.iter().filter(|action| !called.contains(action.id.as_str())) {
        let message = format!("no rule calls the action `{}`", action.id);
        problems.push(Problem::warning(Code::Unused, Some(action.place.clone()), message));
    }
    let of_rules = knowledge.rules.iter().flat_map(|rule| &rule.cautions);
    let warned: BTreeSet<&str> = of_rules
        .chain(knowledge.actions.iter().flat_map(|action| &action.cautions))
        .map(|id| id.id.as_str())
        .collect();
    for caution in knowledge.cautions.iter().filter(|caution| !warned.contains(caution.id.as_str()))
    {
        let message = format!("nothing calls the caution `{}`", caution.id);
        problems.push(Problem::warning(Code::Unused, Some(caution.place.clone()), message));
    }
    let mut looked_at = BTreeSet::new();
    for rule in &knowledge.rules {
        rule.facts(&mut |id, _| {
            looked_at.insert(id);
        });
        looked_at.extend(rule.finding.iter().flat_map(crate::knowledge::Template::facts));
    }
    looked_at.extend(knowledge.actions.iter().flat_map(|action| action.text.facts()));
    looked_at.extend(knowledge.actions.iter().filter_map(|action| action.own_aim));
    looked_at.extend(knowledge.cautions.iter().flat_map(|caution| caution.text.facts()));
    for (id, def) in knowledge.vocabulary.iter() {
        if def.bringer == Bringer::Rules && !looked_at.contains(&id) {
            let message = format!("no rule looks at the derived fact `{}`", def.name);
            problems.push(Problem::warning(Code::Unused, Some(def.place.clone()), message));
        }
    }
}
