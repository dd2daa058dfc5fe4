//! Layers of rules: a rule that rests on the absence of a fact lies above every rule that could bring it.

use crate::facts::FactId;
use crate::knowledge::{Concluded, Knowledge};
use crate::problem::{Code, Problem};
use std::collections::{BTreeMap, BTreeSet};

/// What a rule rests on: the rules that conclude a fact it looks at, and whether by absence.
type Edges = Vec<Vec<(usize, bool)>>;

/// Gives each rule its layer; cycles through a negation are reported with the rules named.
pub(in super::super) fn stratify(knowledge: &mut Knowledge, problems: &mut Vec<Problem>) {
    let edges = edges(knowledge);
    match layers(&edges) {
        Some(layers) => {
            for (rule, layer) in knowledge.rules.iter_mut().zip(layers) {
                rule.stratum = layer;
            }
        }
        None => report(knowledge, &edges, problems),
    }
}

/// The layer of each node, from what it rests on and whether by absence: above what it negates, not below
/// what it uses. `None` if a cycle runs through a negation.
#[must_use]
pub fn layers(edges: &[Vec<(usize, bool)>]) -> Option<Vec<u16>> {
    let mut layers = vec![0u16; edges.len()];
    // Longest path by relaxation: more rounds than nodes means a cycle that climbs.
    for _ in 0..=edges.len() {
        let mut changed = false;
        for (node, from) in edges.iter().enumerate() {
            let below = |other: usize| layers.get(other).copied().unwrap_or(0);
            let need = from
                .iter()
                .map(|(other, absence)| below(*other).saturating_add(u16::from(*absence)))
                .max();
            if let (Some(own), Some(need)) = (layers.get(node).copied(), need)
                && own < need
            {
                changed = true;
                if let Some(own) = layers.get_mut(node) {
                    *own = need;
                }
            }
        }
        if !changed {
            return Some(layers);
        }
    }
    None
}

fn edges(knowledge: &Knowledge) -> Edges {
    let mut concluders: BTreeMap<FactId, Vec<usize>> = BTreeMap::new();
    for (at, rule) in knowledge.rules.iter().enumerate() {
        for conclusion in &rule.conclude {
            concluders.entry(conclusion.fact).or_default().push(at);
        }
    }
    let contested = contested(knowledge);
    let mut edges = Vec::new();
    for rule in &knowledge.rules {
        let mut from = Vec::new();
        rule.facts(&mut |id, absence| {
            for other in concluders.get(&id).into_iter().flatten() {
                from.push((*other, absence || contested.contains(&id)));
            }
        });
        edges.push(from);
    }
    edges
}

/// Derived facts that different rules set to different values. A stronger rule overrides a weaker one's
/// value, so whoever looks at such a fact must wait until all its rules are done, as for a negation.
#[must_use]
pub fn contested(knowledge: &Knowledge) -> BTreeSet<FactId> {
    let mut values: BTreeMap<FactId, &Concluded> = BTreeMap::new();
    let mut contested = BTreeSet::new();
    for conclusion in knowledge.rules.iter().flat_map(|rule| &rule.conclude) {
        if let Some(other) = values.insert(conclusion.fact, &conclusion.value)
            && *other != conclusion.value
        {
            contested.insert(conclusion.fact);
        }
    }
    contested
}

/// Names the rules of each cycle that holds a negation.
fn report(knowledge: &Knowledge, edges: &[Vec<(usize, bool)>], problems: &mut Vec<Problem>) {
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
            let message = format!(
                "rules rest on each other through a negation, a number or values that differ: {}",
                names.join(", ")
            );
            let help = "a rule may not stop, by `unless` or `is unknown`, what it rests on itself";
            problems.push(Problem::error(Code::Cycle, place, message).help(help));
        }
    }
}

/// The rules on a way from one rule down to another that it rests on.
fn path(edges: &[Vec<(usize, bool)>], from: usize, to: usize) -> Option<Vec<usize>> {
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
