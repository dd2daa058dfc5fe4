//! Why something holds: a tree of facts and the nodes that brought them; and why something does not.

use super::evaluate::{self, Truth};
use super::{Memory, Network, NodeId, State};
use crate::facts::{FactId, Origin, Value};
use crate::knowledge::{Condition, Expr};

/// A fact with its ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Justification {
    /// Which fact.
    pub fact: FactId,
    /// Its value.
    pub value: Value,
    /// Where it came from.
    pub origin: Origin,
    /// The node that brought it, if it is derived, and the facts that the node rested on.
    pub by: Option<(NodeId, Vec<Justification>)>,
}

/// A condition that keeps a rule from firing.
#[derive(Debug, Clone, PartialEq)]
pub struct Obstacle {
    /// The condition.
    pub condition: Condition,
    /// False, or unknown.
    pub truth: Truth,
    /// Whether it is an exception (`unless`) that is true.
    pub exception: bool,
    /// The facts that it looks at.
    pub facts: Vec<FactId>,
}

/// Facts of trees deeper than this are given without their ground.
const DEPTH: usize = 16;

impl State<'_> {
    /// The facts that make a node's conditions true, in order of id.
    #[must_use]
    pub fn because(&self, node: NodeId) -> Vec<FactId> {
        let mut facts = Vec::new();
        if let Some(rule) = self.network().rule(node) {
            for condition in &rule.when {
                support(condition, self.memory(), self.network(), &mut facts);
            }
        } else if let Some(bound) = self.network().calculator(node) {
            facts.extend(
                bound
                    .inputs
                    .iter()
                    .map(|(_, id)| *id)
                    .filter(|id| self.memory().value(*id).is_some()),
            );
        }
        facts.sort_unstable();
        facts.dedup();
        facts
    }

    /// The tree of grounds of a fact.
    #[must_use]
    pub fn justify(&self, fact: FactId) -> Option<Justification> {
        self.justify_to(fact, DEPTH)
    }

    fn justify_to(&self, fact: FactId, depth: usize) -> Option<Justification> {
        let (value, origin) = self.memory().entry(fact)?;
        let by = match (origin, depth.checked_sub(1)) {
            (Origin::Derived(node), Some(depth)) => {
                let grounds = self.because(node);
                let below =
                    grounds.into_iter().filter_map(|id| self.justify_to(id, depth)).collect();
                Some((node, below))
            }
            _ => None,
        };
        Some(Justification { fact, value, origin, by })
    }

    /// What keeps a rule from firing; empty if it fires.
    #[must_use]
    pub fn obstacles(&self, node: NodeId) -> Vec<Obstacle> {
        let Some(rule) = self.network().rule(node) else { return Vec::new() };
        let mut obstacles = Vec::new();
        let all = rule.when.iter().chain(&rule.unless);
        for (at, condition) in all.enumerate() {
            let exception = at >= rule.when.len();
            let truth = evaluate::condition(condition, self.memory(), self.network());
            let stands_in_the_way =
                if exception { truth == Truth::True } else { truth != Truth::True };
            if stands_in_the_way {
                let mut facts = Vec::new();
                condition.facts(&mut |id, _| facts.push(id));
                let condition = condition.clone();
                obstacles.push(Obstacle { condition, truth, exception, facts });
            }
        }
        obstacles
    }

    /// The unknown facts that a rule waits for: those of its unknown conditions, if none is false and something
    /// that is known makes another one true. In no order, some perhaps twice.
    pub fn waits_for(&self, node: NodeId, facts: &mut Vec<FactId>) {
        facts.clear();
        let Some(rule) = self.network().rule(node) else { return };
        let (mut grounded, memory) = (false, self.memory());
        for condition in &rule.when {
            match evaluate::condition(condition, memory, self.network()) {
                Truth::False => return facts.clear(),
                Truth::Unknown => condition.facts(&mut |id, _| facts.push(id)),
                Truth::True => {
                    condition.facts(&mut |id, _| grounded |= memory.value(id).is_some());
                }
            }
        }
        let stops =
            |part: &Condition| evaluate::condition(part, memory, self.network()) == Truth::True;
        if !grounded || facts.is_empty() || rule.unless.iter().any(stops) {
            return facts.clear();
        }
        facts.retain(|id| memory.value(*id).is_none());
    }

    /// The unknown facts whose knowing could stop a rule that has fired. In no order, some perhaps twice.
    pub fn could_stop(&self, node: NodeId, facts: &mut Vec<FactId>) {
        facts.clear();
        if let Some(rule) = self.network().rule(node) {
            for condition in &rule.unless {
                condition.facts(&mut |id, _| facts.push(id));
            }
        }
        facts.retain(|id| self.memory().value(*id).is_none());
    }
}

/// Adds the facts that make a true condition true.
fn support(condition: &Condition, memory: &Memory, network: &Network, facts: &mut Vec<FactId>) {
    if evaluate::condition(condition, memory, network) != Truth::True {
        return;
    }
    match condition {
        Condition::All(parts) | Condition::Any(parts) => {
            for part in parts {
                support(part, memory, network, facts);
            }
        }
        Condition::Compare(a, _, b) => {
            let mut add = |expr: &Expr| expr.facts(&mut |id| facts.push(id));
            add(a);
            add(b);
        }
        other => other.facts(&mut |id, _| {
            if memory.value(id).is_some() {
                facts.push(id);
            }
        }),
    }
}
