//! Which actions are called, how urgent they are, and in which order they are done.

use crate::engine::{NodeId, State, Truth};
use crate::knowledge::{Action, Urgency};
use std::collections::BTreeMap;

/// An action that rules call for.
#[derive(Debug, Clone, PartialEq)]
pub struct Called<'k> {
    /// The action.
    pub action: &'k Action,
    /// The urgency of its most pressing caller, or of what has to wait for it.
    pub urgency: Urgency,
    /// The rules that call it, in firing order.
    pub by: Vec<NodeId>,
    /// Its place in the lists of its callers, for a stable order.
    key: (Urgency, usize),
}

/// The actions that the fired rules call for, in the order in which they are done.
#[must_use]
pub fn called<'k>(state: &State<'k>) -> Vec<Called<'k>> {
    let knowledge = state.network().knowledge();
    let mut found: BTreeMap<&str, Called<'k>> = BTreeMap::new();
    let mut place = 0;
    for node in state.fired() {
        let Some(rule) = state.network().rule(node) else { continue };
        for id in &rule.call {
            let Some(action) = knowledge.action(&id.id) else { continue };
            place += 1;
            let entry = found.entry(&action.id).or_insert_with(|| Called {
                action,
                urgency: rule.urgency,
                by: Vec::new(),
                key: (rule.urgency, place),
            });
            entry.by.push(node);
            if rule.urgency < entry.urgency {
                entry.urgency = rule.urgency;
                entry.key = (rule.urgency, place);
            }
        }
    }
    let mut all: Vec<Called<'k>> = found.into_values().collect();
    drop_contradictions(&mut all);
    let before = constraints(&all);
    promote(&mut all, &before);
    sort(all, &before)
}

/// Whether the facts say that an action is done already.
#[must_use]
pub fn done(state: &State<'_>, called: &Called<'_>) -> bool {
    let conditions = &called.action.done_when;
    !conditions.is_empty() && conditions.iter().all(|one| state.holds(one) == Truth::True)
}

/// Whether two actions may never stand together.
pub(super) fn never(a: &Action, b: &Action) -> bool {
    a.never_with.iter().any(|id| id.id == b.id) || b.never_with.iter().any(|id| id.id == a.id)
}

/// Of two actions that may never stand together the more urgent stays. `rules check` proves that this
/// does not happen; should a folder of rules be used unchecked, the answer still never contradicts itself.
fn drop_contradictions(all: &mut Vec<Called<'_>>) {
    let mut dropped: Vec<String> = Vec::new();
    for a in all.iter() {
        for b in all.iter() {
            if a.key < b.key && never(a.action, b.action) && !dropped.contains(&a.action.id) {
                dropped.push(b.action.id.clone());
            }
        }
    }
    all.retain(|called| !dropped.contains(&called.action.id));
}

/// Pairs of places: the first is done before the second.
fn constraints(all: &[Called<'_>]) -> Vec<(usize, usize)> {
    let place = |id: &str| all.iter().position(|called| called.action.id == id);
    let mut pairs = Vec::new();
    for (at, called) in all.iter().enumerate() {
        pairs.extend(
            called.action.after.iter().filter_map(|id| place(&id.id)).map(|first| (first, at)),
        );
        pairs.extend(
            called.action.before.iter().filter_map(|id| place(&id.id)).map(|later| (at, later)),
        );
    }
    pairs
}

/// What has to come before an urgent action is as urgent itself.
fn promote(all: &mut [Called<'_>], before: &[(usize, usize)]) {
    for _ in 0..all.len() {
        let mut changed = false;
        for (first, later) in before {
            let Some((urgency, key)) = all.get(*later).map(|called| (called.urgency, called.key))
            else {
                continue;
            };
            if let Some(called) = all.get_mut(*first)
                && called.urgency > urgency
            {
                called.urgency = urgency;
                called.key = called.key.min((urgency, key.1));
                changed = true;
            }
        }
        if !changed {
            return;
        }
    }
}

/// The earliest free action by urgency and caller first; a circle, which `rules check` refuses, is cut.
fn sort<'k>(all: Vec<Called<'k>>, before: &[(usize, usize)]) -> Vec<Called<'k>> {
    let mut left: Vec<Option<Called<'k>>> = all.into_iter().map(Some).collect();
    let mut sorted = Vec::with_capacity(left.len());
    while sorted.len() < left.len() {
        let waiting = |at: usize| {
            before
                .iter()
                .any(|(first, later)| *later == at && left.get(*first).is_some_and(Option::is_some))
        };
        let key = |at: usize| left.get(at).and_then(Option::as_ref).map(|c| (c.urgency, c.key.1));
        let open = || (0..left.len()).filter(|at| key(*at).is_some());
        let next =
            open().filter(|at| !waiting(*at)).min_by_key(|at| key(*at)).or_else(|| open().next());
        match next.and_then(|at| left.get_mut(at)).and_then(Option::take) {
            Some(called) => sorted.push(called),
            None => break,
        }
    }
    sorted
}
