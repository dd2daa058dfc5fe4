//! Layers of rules: a rule that rests on the absence of a fact lies above every rule that could bring it.

use crate::facts::FactId;
use crate::knowledge::Knowledge;
use crate::problem::{Code, Problem};
use std::collections::BTreeMap;

/// What a rule rests on: the rules that conclude a fact it looks at, and whether by absence.
type Edges = Vec<Vec<(usize, bool)>>;

/// Gives each rule its layer; cycles through a negation are reported with the rules named.
pub(in crate::knowledge) fn stratify(knowledge: &mut Knowledge, problems: &mut Vec<Problem>) {
    let edges = edges(knowledge);
    let count = edges.len();
    let mut layer = vec![0u16; count];
    // Longest path by relaxation: more rounds than rules means a cycle through a negation.
    let mut changed = true;
    let mut rounds = 0;
    while changed && rounds <= count {
        changed = false;
        rounds += 1;
        for (rule, from) in edges.iter().enumerate() {
            let need = from
                .iter()
                .map(|(other, absence)| {
                    layer.get(*other).copied().unwrap_or(0).saturating_add(u16::from(*absence))
                })
                .max()
                .unwrap_or(0);
            if let Some(own) = layer.get_mut(rule)
                && *own < need
            {
                *own = need;
                changed = true;
            }
        }
    }
    if changed {
        report(knowledge, &edges, problems);
    }
    for (rule, layer) in knowledge.rules.iter_mut().zip(layer) {
        rule.stratum = layer;
    }
}

fn edges(knowledge: &Knowledge) -> Edges {
    let mut concluders: BTreeMap<FactId, Vec<usize>> = BTreeMap::new();
    for (at, rule) in knowledge.rules.iter().enumerate() {
        for conclusion in &rule.conclude {
            concluders.entry(conclusion.fact).or_default().push(at);
        }
    }
    let mut edges = Vec::new();
    for rule in &knowledge.rules {
        let mut from = Vec::new();
        rule.facts(&mut |id, absence| {
            for other in concluders.get(&id).into_iter().flatten() {
                from.push((*other, absence));
            }
        });
        edges.push(from);
    }
    edges
}

/// Names the rules of each cycle that holds a negation.
fn report(knowledge: &Knowledge, edges: &Edges, problems: &mut Vec<Problem>) {
    let mut told: Vec<usize> = Vec::new();
    for (start, from) in edges.iter().enumerate() {
        for (other, absence) in from {
            if !absence || told.contains(&start) {
                continue;
            }
            let Some(path) = path(edges, *other, start) else { continue };
            told.extend(&path);
            let names: Vec<String> = path
                .iter()
                .filter_map(|at| knowledge.rules.get(*at))
                .map(|rule| format!("`{}`", rule.id))
                .collect();
            let place = knowledge.rules.get(start).map(|rule| rule.place.clone());
            let message =
                format!("rules rest on each other through a negation: {}", names.join(", "));
            let help = "a rule may not stop, by `unless` or `is unknown`, what it rests on itself";
            problems.push(Problem::error(Code::Cycle, place, message).help(help));
        }
    }
}

/// The rules on a way from one rule down to another that it rests on.
fn path(edges: &Edges, from: usize, to: usize) -> Option<Vec<usize>> {
    let mut before: BTreeMap<usize, usize> = BTreeMap::new();
    let mut queue = std::collections::VecDeque::from([from]);
    let mut seen = vec![from];
    while let Some(at) = queue.pop_front() {
        if at == to {
            let mut way = vec![to];
            let mut here = to;
            while let Some(previous) = before.get(&here) {
                way.push(*previous);
                here = *previous;
            }
            way.reverse();
            return Some(way);
        }
        for (next, _) in edges.get(at).into_iter().flatten() {
            if !seen.contains(next) {
                seen.push(*next);
                before.insert(*next, at);
                queue.push_back(*next);
            }
        }
    }
    None
}
