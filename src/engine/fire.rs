//! The loop that fires nodes to a fixed point, and withdraws what a change leaves without ground.
//!
//! A change of a fact is a deletion and a setting. On deletion every fired node that looked at the fact is
//! undone, with what it brought, and what rested on that (over-deletion: this also breaks circles of
//! facts that only hold each other up); all of these are looked at again, so that what still holds comes
//! back. Layers keep this sound for `unless` and `is unknown`: nodes of a lower layer come first.

use super::agenda::{Agenda, NodeSet};
use super::evaluate::{self, Truth};
use super::network::Bound;
use super::{Computed, Inputs, Memory, Network, NodeId};
use crate::facts::{FactId, Origin, Value};
use crate::knowledge::{Concluded, Condition};
use std::cell::RefCell;
use std::rc::Rc;

/// No rule base needs as many steps as this times its nodes; more would be a fault of the engine.
const STEPS_PER_NODE: usize = 64;

/// One pool's working memory and what has fired on it.
#[derive(Debug, Clone)]
pub struct State<'n> {
    network: &'n Network,
    memory: Memory,
    fired: NodeSet,
    agenda: Agenda,
    figures: Vec<(NodeId, Rc<Vec<Computed>>)>,
    /// What calculators gave for inputs they have had; copies of a state share it.
    remembered: Rc<RefCell<Vec<Remembered>>>,
}

/// A calculator's numbers for one set of inputs.
#[derive(Debug)]
struct Remembered {
    node: NodeId,
    inputs: Vec<Option<Value>>,
    computed: Rc<Vec<Computed>>,
}

/// More is not remembered: a conversation asks about a few dozen different pads at most.
const REMEMBERED: usize = 128;

impl<'n> State<'n> {
    /// An empty memory; nodes that hold without any fact wait on the agenda.
    #[must_use]
    pub fn new(network: &'n Network) -> Self {
        let mut agenda = Agenda::new(network.len());
        for node in network.roots() {
            agenda.add(network.rank(*node));
        }
        Self {
            network,
            memory: Memory::new(network.knowledge().vocabulary.len()),
            fired: NodeSet::new(network.len()),
            agenda,
            figures: Vec::new(),
            remembered: Rc::default(),
        }
    }

    /// The working memory.
    #[must_use]
    pub const fn memory(&self) -> &Memory {
        &self.memory
    }

    /// The rule base that it runs on.
    #[must_use]
    pub const fn network(&self) -> &'n Network {
        self.network
    }

    /// States a fact. Takes effect with [`Self::run`].
    pub fn state(&mut self, fact: FactId, value: Value, origin: Origin) {
        if self.memory.value(fact) == Some(value) {
            self.memory.put(fact, Some((value, origin)));
            return;
        }
        self.delete(fact);
        self.set(fact, value, origin);
    }

    /// Takes a stated fact back. Takes effect with [`Self::run`].
    pub fn retract(&mut self, fact: FactId) {
        self.delete(fact);
    }

    /// Fires until nothing more follows. Gives back whether a fixed point was reached in the bound.
    pub fn run(&mut self) -> bool {
        let mut left = STEPS_PER_NODE * self.network.len().max(1);
        while let Some(rank) = self.agenda.take() {
            if let Some(node) = self.network.at_rank(rank) {
                self.look_at(node);
            }
            left -= 1;
            if left == 0 {
                return false;
            }
        }
        true
    }

    /// Whether a node has fired.
    #[must_use]
    pub fn has_fired(&self, node: NodeId) -> bool {
        self.fired.has(node.index())
    }

    /// Whether the same nodes have fired as in another state of the same network.
    #[must_use]
    pub fn fired_alike(&self, other: &Self) -> bool {
        self.fired == other.fired
    }

    /// The nodes that have fired, in the network's order.
    pub fn fired(&self) -> impl Iterator<Item = NodeId> {
        self.network.order().iter().copied().filter(|node| self.has_fired(*node))
    }

    /// What the calculators brought.
    pub fn computed(&self) -> impl Iterator<Item = (NodeId, &Computed)> {
        self.figures.iter().flat_map(|(node, all)| all.iter().map(|one| (*node, one)))
    }

    /// The truth of a node's conditions as things stand.
    #[must_use]
    pub fn truth(&self, node: NodeId) -> Truth {
        if let Some(rule) = self.network.rule(node) {
            return evaluate::rule(rule, &self.memory, self.network);
        }
        let needs = self.network.calculator(node).map_or(&[][..], |bound| bound.needs.as_slice());
        let known = needs.iter().all(|id| self.memory.value(*id).is_some());
        if known { Truth::True } else { Truth::Unknown }
    }

    /// The truth of a condition as things stand.
    #[must_use]
    pub fn holds(&self, condition: &Condition) -> Truth {
        evaluate::condition(condition, &self.memory, self.network)
    }

    fn look_at(&mut self, node: NodeId) {
        let holds = self.truth(node) == Truth::True;
        match (holds, self.has_fired(node)) {
            (true, false) => self.fire(node),
            (false, true) => self.undo(node),
            (true, true) => {
                // Something it looked at came in: its numbers may be others now.
                if self.brings_other(node) {
                    self.undo(node);
                    self.fire(node);
                }
            }
            (false, false) => {}
        }
    }

    fn fire(&mut self, node: NodeId) {
        self.fired.set(node.index(), true);
        for (fact, value) in self.brings(node) {
            self.bring(node, fact, value);
        }
    }

    /// Sets a derived fact, unless something stronger holds it.
    fn bring(&mut self, node: NodeId, fact: FactId, value: Value) {
        match self.memory.entry(fact) {
            None => self.set(fact, value, Origin::Derived(node)),
            // A fact that no two rules disagree about stays with who brought it first: handing it over
            // could leave a circle of facts that only hold each other up.
            Some((held, Origin::Derived(other)))
                if other != node && self.network.contested(fact) =>
            {
                let stronger =
                    |n: NodeId| (-i16::from(self.network.salience(n)), self.network.rank(n));
                if stronger(node) < stronger(other) {
                    if held == value {
                        self.memory.put(fact, Some((value, Origin::Derived(node))));
                    } else {
                        self.replace(fact, value, Origin::Derived(node));
                    }
                }
            }
            // What people say stands above what rules conclude.
            Some(_) => {}
        }
    }

    fn replace(&mut self, fact: FactId, value: Value, origin: Origin) {
        self.memory.put(fact, None);
        self.undo_watchers(fact);
        self.set(fact, value, origin);
    }

    fn set(&mut self, fact: FactId, value: Value, origin: Origin) {
        self.memory.put(fact, Some((value, origin)));
        for node in self.network.watchers(fact) {
            self.agenda.add(self.network.rank(*node));
        }
    }

    /// Takes a fact out, with all that rested on it; what may bring it again is looked at again.
    fn delete(&mut self, fact: FactId) {
        if self.memory.put(fact, None).is_none() {
            return;
        }
        self.undo_watchers(fact);
        for node in self.network.bringers(fact) {
            self.undo(*node);
        }
    }

    fn undo_watchers(&mut self, fact: FactId) {
        for node in self.network.watchers(fact) {
            self.undo(*node);
        }
    }

    /// Undoes a node if it has fired, and looks at it again in any case.
    fn undo(&mut self, node: NodeId) {
        self.agenda.add(self.network.rank(node));
        if !self.has_fired(node) {
            return;
        }
        self.fired.set(node.index(), false);
        self.figures.retain(|(other, _)| *other != node);
        for fact in self.facts_of(node) {
            if matches!(self.memory.entry(fact), Some((_, Origin::Derived(by))) if by == node) {
                self.delete(fact);
            }
        }
    }

    fn facts_of(&self, node: NodeId) -> Vec<FactId> {
        match (self.network.rule(node), self.network.calculator(node)) {
            (Some(rule), _) => rule.conclude.iter().map(|conclusion| conclusion.fact).collect(),
            (None, Some(bound)) => bound.gives.iter().map(|(_, id)| *id).collect(),
            (None, None) => Vec::new(),
        }
    }

    /// What a node brings as things stand; a calculator's numbers are kept with their methods.
    fn brings(&mut self, node: NodeId) -> Vec<(FactId, Value)> {
        if let Some(rule) = self.network.rule(node) {
            return conclusions(rule, &self.memory, self.network);
        }
        let Some(bound) = self.network.calculator(node) else { return Vec::new() };
        let computed = self.compute(node, bound);
        let facts = computed.iter().filter_map(|one| {
            let (_, id) = bound.gives.iter().find(|(name, _)| *name == one.gives)?;
            Some((*id, Value::Number(one.value)))
        });
        let facts = facts.collect();
        self.figures.push((node, computed));
        facts
    }

    /// Runs a calculator, unless it has run on the same inputs: the search for a question tries many
    /// suppositions that leave its inputs alone.
    fn compute(&self, node: NodeId, bound: &Bound) -> Rc<Vec<Computed>> {
        let inputs: Vec<_> = bound.inputs.iter().map(|(_, id)| self.memory.value(*id)).collect();
        let mut remembered = self.remembered.borrow_mut();
        let same = |one: &&Remembered| one.node == node && one.inputs == inputs;
        if let Some(one) = remembered.iter().find(same) {
            return Rc::clone(&one.computed);
        }
        let words = &self.network.knowledge().vocabulary;
        let given = Inputs { names: &bound.inputs, memory: &self.memory, words };
        let mut computed = bound.calculator.compute(&given);
        computed.retain(|one| one.value.is_finite());
        let computed = Rc::new(computed);
        if remembered.len() < REMEMBERED {
            remembered.push(Remembered { node, inputs, computed: Rc::clone(&computed) });
        }
        computed
    }

    /// Whether a calculator that has run would give something else now. Only then is it run again:
    /// running it puts it back on the agenda, so without this it would never come to rest.
    fn computes_other(&self, node: NodeId) -> bool {
        let Some(bound) = self.network.calculator(node) else { return false };
        let computed = self.compute(node, bound);
        !self.figures.iter().any(|(other, held)| *other == node && *held == computed)
    }

    /// Whether a fired node would bring something else now.
    fn brings_other(&self, node: NodeId) -> bool {
        let Some(rule) = self.network.rule(node) else { return self.computes_other(node) };
        conclusions(rule, &self.memory, self.network).iter().any(|(fact, value)| {
            matches!(self.memory.entry(*fact), Some((held, Origin::Derived(by))) if by == node && held != *value)
        })
    }
}

fn conclusions(
    rule: &crate::knowledge::Rule,
    memory: &Memory,
    network: &Network,
) -> Vec<(FactId, Value)> {
    let words = &network.knowledge().vocabulary;
    let value = |conclusion: &crate::knowledge::Conclusion| match &conclusion.value {
        Concluded::Value(value) => Some(*value),
        Concluded::Expr(expr) => {
            let base = evaluate::number(expr, memory)?;
            let unit = words.get(conclusion.fact)?.unit()?;
            Some(Value::Number(crate::units::from_base(base, unit)))
        }
    };
    rule.conclude.iter().filter_map(|c| value(c).map(|value| (c.fact, value))).collect()
}
