//! Ranges without gap or overlap, orders without circles, facts that can be asked for.

use crate::facts::{ChoiceSet, FactId};
use crate::knowledge::{Bringer, Kind, Knowledge, Range, SURFACE};
use crate::problem::{Code, Problem};
use std::collections::BTreeMap;

/// Every surface has exactly one range of each fact that has ranges, and one of them is the default.
pub(super) fn ranges(knowledge: &Knowledge, problems: &mut Vec<Problem>) {
    let surfaces: Vec<&String> =
        knowledge.vocabulary.def(SURFACE).map_or(Vec::new(), |def| def.values().iter().collect());
    let mut by_fact: BTreeMap<FactId, Vec<&Range>> = BTreeMap::new();
    for range in &knowledge.ranges {
        by_fact.entry(range.fact).or_default().push(range);
    }
    for (fact, ranges) in by_fact {
        let Some(first) = ranges.first() else { continue };
        let name = knowledge.vocabulary.name(fact);
        let mut tell = |message: String, help: &str| {
            problems
                .push(Problem::error(Code::Range, Some(first.place.clone()), message).help(help));
        };
        for (at, surface) in surfaces.iter().enumerate() {
            let one = ChoiceSet::one(at);
            match ranges.iter().filter(|r| r.surfaces.is_empty() || r.surfaces.meets(one)).count() {
                1 => {}
                0 => tell(
                    format!("`{name}` has no range for {surface}"),
                    "add the surface to one of its ranges",
                ),
                _ => tell(
                    format!("`{name}` has more than one range for {surface}"),
                    "leave it in one of them",
                ),
            }
        }
        if ranges.len() > 1 && ranges.iter().filter(|range| range.default).count() != 1 {
            let help =
                "write `default = true` in the one that is used while the surface is unknown";
            tell(format!("of the ranges of `{name}` not exactly one is the default"), help);
        }
        for range in ranges {
            let [_, low, high, _] = range.edges;
            if range.aim.is_some_and(|aim| aim < low || aim > high) {
                let message = format!("the aim of `{name}` lies outside its ok band");
                problems.push(Problem::error(Code::Range, Some(range.place.clone()), message));
            }
        }
    }
}

/// `before` and `after` run in no circle.
pub(super) fn orders(knowledge: &Knowledge, problems: &mut Vec<Problem>) {
    let mut later: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for action in &knowledge.actions {
        for id in &action.before {
            later.entry(&action.id).or_default().push(&id.id);
        }
        for id in &action.after {
            later.entry(&id.id).or_default().push(&action.id);
        }
    }
    for action in &knowledge.actions {
        let mut seen: Vec<&str> = Vec::new();
        let mut open: Vec<&str> = later.get(action.id.as_str()).cloned().unwrap_or_default();
        while let Some(id) = open.pop() {
            if id == action.id {
                let message = format!("the order of `{}` runs in a circle", action.id);
                let problem = Problem::error(Code::Cycle, Some(action.place.clone()), message);
                problems.push(problem.help("take one of its `before` or `after` out"));
                break;
            }
            if !seen.contains(&id) {
                seen.push(id);
                open.extend(later.get(id).into_iter().flatten());
            }
        }
    }
}

/// Facts are complete: a title, words for yes and no, a way to ask, ranges inside each other.
pub(super) fn facts(knowledge: &Knowledge, problems: &mut Vec<Problem>) {
    for (_, def) in knowledge.vocabulary.iter() {
        let mut tell = |message: String| {
            problems.push(Problem::error(Code::Value, Some(def.place.clone()), message));
        };
        if def.title.is_empty() {
            tell(format!("`{}` has no title", def.name));
        }
        if let Kind::YesNo { yes, no } = &def.kind
            && (yes.is_empty() || no.is_empty())
        {
            tell(format!("`{}` does not say how yes and no are told", def.name));
        }
        if def.bringer == Bringer::People && (def.ask.is_empty() || def.why.is_empty()) {
            tell(format!("`{}` does not say how, or why, it is asked for", def.name));
        }
        if let (Some((low, high)), Some((least, most))) = (def.plausible, def.possible)
            && (low < least || high > most)
        {
            tell(format!("the plausible range of `{}` is wider than the possible one", def.name));
        }
    }
}
