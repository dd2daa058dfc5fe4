//! The rules and calculators, compiled: who looks at which fact, and in which order nodes fire.

use super::evaluate::{self, Truth};
use super::{Calculator, Memory};
use crate::facts::{FactId, RuleId, Value};
use crate::knowledge::{Condition, Knowledge, Range, Rule, SURFACE, contested, layers};
use crate::problem::{Code, Problem};
use std::collections::{BTreeMap, BTreeSet};

/// A rule or a calculator: rules first, in their order, then calculators. The same number as its [`RuleId`].
pub type NodeId = RuleId;

/// A calculator with its facts resolved.
#[derive(Debug)]
pub(super) struct Bound {
    pub calculator: Box<dyn Calculator>,
    pub inputs: Vec<(&'static str, FactId)>,
    pub needs: Vec<FactId>,
    pub gives: Vec<(&'static str, FactId)>,
}

/// The compiled rule base.
#[derive(Debug)]
pub struct Network {
    knowledge: Knowledge,
    calculators: Vec<Bound>,
    /// For each fact, the nodes that look at it.
    watchers: Vec<Vec<NodeId>>,
    /// For each fact, the nodes that may bring it.
    bringers: Vec<Vec<NodeId>>,
    /// Nodes in firing order; `rank` is the inverse.
    order: Vec<NodeId>,
    rank: Vec<u16>,
    ranges: BTreeMap<FactId, Vec<usize>>,
    surface: Option<FactId>,
    contested: BTreeSet<FactId>,
    /// Nodes that hold while nothing is known; all others wait for a fact that they look at.
    roots: Vec<NodeId>,
}

impl Network {
    /// Compiles the rule base with its calculators.
    ///
    /// # Errors
    /// A problem for each calculator whose facts the vocabulary does not have, and for a cycle through
    /// a calculator.
    pub fn new(
        knowledge: Knowledge,
        calculators: Vec<Box<dyn Calculator>>,
    ) -> Result<Self, Vec<Problem>> {
        let mut problems = Vec::new();
        let bound: Vec<Bound> = calculators
            .into_iter()
            .filter_map(|one| bind(one, &knowledge, &mut problems))
            .collect();
        let mut ranges: BTreeMap<FactId, Vec<usize>> = BTreeMap::new();
        for (at, range) in knowledge.ranges.iter().enumerate() {
            ranges.entry(range.fact).or_default().push(at);
        }
        let facts = knowledge.vocabulary.len();
        let surface = knowledge.vocabulary.find(SURFACE);
        let mut network = Self {
            calculators: bound,
            watchers: vec![Vec::new(); facts],
            bringers: vec![Vec::new(); facts],
            order: Vec::new(),
            rank: Vec::new(),
            ranges,
            surface,
            contested: contested(&knowledge),
            roots: Vec::new(),
            knowledge,
        };
        let edges = network.connect();
        match layers(&edges) {
            Some(layers) => {
                network.sort(&layers);
                network.roots = network.holding_without_facts();
            }
            None => problems.push(Problem::error(
                Code::Cycle,
                None,
                "a calculator rests on what it brings",
            )),
        }
        if problems.is_empty() { Ok(network) } else { Err(problems) }
    }

    fn holding_without_facts(&self) -> Vec<NodeId> {
        let nothing = Memory::new(self.knowledge.vocabulary.len());
        let holds = |node: &NodeId| match (self.rule(*node), self.calculator(*node)) {
            (Some(rule), _) => evaluate::rule(rule, &nothing, self) == Truth::True,
            (None, bound) => bound.is_some_and(|bound| bound.needs.is_empty()),
        };
        self.order.iter().copied().filter(holds).collect()
    }

    pub(super) fn roots(&self) -> &[NodeId] {
        &self.roots
    }

    /// The knowledge it was compiled from.
    #[must_use]
    pub const fn knowledge(&self) -> &Knowledge {
        &self.knowledge
    }

    /// How many nodes there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.knowledge.rules.len() + self.calculators.len()
    }

    /// Whether there is no node.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The name of a node: a rule's id or a calculator's name.
    #[must_use]
    pub fn name(&self, node: NodeId) -> &str {
        match self.rule(node) {
            Some(rule) => &rule.id,
            None => self.calculator(node).map_or("", |bound| bound.calculator.signature().name),
        }
    }

    /// The rule of a node, if it is one.
    #[must_use]
    pub fn rule(&self, node: NodeId) -> Option<&Rule> {
        self.knowledge.rules.get(node.index())
    }

    pub(super) fn calculator(&self, node: NodeId) -> Option<&Bound> {
        self.calculators.get(node.index().checked_sub(self.knowledge.rules.len())?)
    }

    /// The nodes that look at a fact.
    #[must_use]
    pub fn watchers(&self, fact: FactId) -> &[NodeId] {
        self.watchers.get(fact.index()).map_or(&[], Vec::as_slice)
    }

    pub(super) fn bringers(&self, fact: FactId) -> &[NodeId] {
        self.bringers.get(fact.index()).map_or(&[], Vec::as_slice)
    }

    /// The nodes that may bring a fact.
    #[must_use]
    pub fn brought_by(&self, fact: FactId) -> &[NodeId] {
        self.bringers(fact)
    }

    /// The facts that a node looks at.
    #[must_use]
    pub fn looks_at(&self, node: NodeId) -> Vec<FactId> {
        let mut facts = Vec::new();
        match (self.rule(node), self.calculator(node)) {
            (Some(rule), _) => rule.facts(&mut |id, _| facts.push(id)),
            (None, Some(bound)) => facts.extend(bound.inputs.iter().map(|(_, id)| *id)),
            (None, None) => {}
        }
        facts
    }

    /// Whether rules set this fact to different values.
    pub(super) fn contested(&self, fact: FactId) -> bool {
        self.contested.contains(&fact)
    }

    pub(super) fn rank(&self, node: NodeId) -> u16 {
        self.rank.get(node.index()).copied().unwrap_or(u16::MAX)
    }

    pub(super) fn at_rank(&self, rank: u16) -> Option<NodeId> {
        self.order.get(usize::from(rank)).copied()
    }

    /// All nodes in firing order.
    pub fn order(&self) -> &[NodeId] {
        &self.order
    }

    pub(super) fn salience(&self, node: NodeId) -> i8 {
        self.rule(node).map_or(0, |rule| rule.salience)
    }

    /// The range of a value that applies to what is known of the pool.
    #[must_use]
    pub fn range(&self, fact: FactId, memory: &Memory) -> Option<&Range> {
        let known = self.surface.and_then(|id| memory.value(id)).and_then(Value::choices);
        let mut of_fact =
            self.ranges.get(&fact)?.iter().filter_map(|at| self.knowledge.ranges.get(*at));
        match known {
            Some(surface) => {
                of_fact.find(|range| range.surfaces.is_empty() || range.surfaces.meets(surface))
            }
            None => of_fact.clone().find(|range| range.default).or_else(|| of_fact.next()),
        }
    }

    /// Fills the index from facts to nodes; gives back what each node rests on.
    fn connect(&mut self) -> Vec<Vec<(usize, bool)>> {
        let mut looks: Vec<Vec<(FactId, bool)>> = Vec::new();
        for rule in &self.knowledge.rules {
            let mut facts = Vec::new();
            rule.facts(&mut |id, absence| facts.push((id, absence)));
            if rule.when.iter().chain(&rule.unless).any(has_band) {
                facts.extend(self.surface.map(|id| (id, false)));
            }
            looks.push(facts);
        }
        for bound in &self.calculators {
            // A calculator recomputes when an optional input comes: that is a use of absence.
            let needs = &bound.needs;
            looks.push(bound.inputs.iter().map(|(_, id)| (*id, !needs.contains(id))).collect());
        }
        let brings: Vec<Vec<FactId>> = self
            .knowledge
            .rules
            .iter()
            .map(|rule| rule.conclude.iter().map(|c| c.fact).collect())
            .chain(
                self.calculators
                    .iter()
                    .map(|bound| bound.gives.iter().map(|(_, id)| *id).collect()),
            )
            .collect();
        index(
            &looks.iter().map(|l| l.iter().map(|(id, _)| *id).collect()).collect::<Vec<_>>(),
            &mut self.watchers,
        );
        index(&brings, &mut self.bringers);
        let rests_on = |facts: &Vec<(FactId, bool)>| {
            facts
                .iter()
                .flat_map(|(id, absence)| {
                    let strict = *absence || self.contested(*id);
                    self.bringers(*id).iter().map(move |node| (node.index(), strict))
                })
                .collect()
        };
        looks.iter().map(rests_on).collect()
    }

    fn sort(&mut self, layers: &[u16]) {
        let specificity = |node: NodeId| {
            self.rule(node)
                .map_or(usize::MAX, |rule| rule.when.iter().chain(&rule.unless).map(size).sum())
        };
        let mut order: Vec<NodeId> =
            (0..self.len()).filter_map(|n| u16::try_from(n).ok()).map(RuleId).collect();
        order.sort_by_cached_key(|node| {
            let layer = layers.get(node.index()).copied().unwrap_or(0);
            let salience = -i16::from(self.salience(*node));
            (layer, salience, std::cmp::Reverse(specificity(*node)), self.name(*node).to_owned())
        });
        let mut rank = vec![0; order.len()];
        for (at, node) in order.iter().enumerate() {
            if let (Some(place), Ok(at)) = (rank.get_mut(node.index()), u16::try_from(at)) {
                *place = at;
            }
        }
        self.order = order;
        self.rank = rank;
    }
}

fn bind(
    calculator: Box<dyn Calculator>,
    knowledge: &Knowledge,
    problems: &mut Vec<Problem>,
) -> Option<Bound> {
    let signature = calculator.signature();
    let mut find = |name: &&'static str| {
        let found = knowledge.vocabulary.find(name);
        if found.is_none() {
            let message = format!("the calculator `{}` needs the fact `{name}`", signature.name);
            let help = "declare it in `vocabulary.toml` or `figures.toml`";
            problems.push(Problem::error(Code::UnknownName, None, message).help(help));
        }
        found.map(|id| (*name, id))
    };
    let needs: Vec<_> = signature.needs.iter().filter_map(&mut find).collect();
    let uses: Vec<_> = signature.uses.iter().filter_map(&mut find).collect();
    let gives: Vec<_> = signature.gives.iter().filter_map(&mut find).collect();
    let complete = needs.len() == signature.needs.len() && gives.len() == signature.gives.len();
    complete.then(|| Bound {
        needs: needs.iter().map(|(_, id)| *id).collect(),
        inputs: needs.into_iter().chain(uses).collect(),
        gives,
        calculator,
    })
}

fn index(facts_of_nodes: &[Vec<FactId>], of_facts: &mut [Vec<NodeId>]) {
    for (node, facts) in facts_of_nodes.iter().enumerate() {
        let Ok(node) = u16::try_from(node).map(RuleId) else { continue };
        for fact in facts {
            if let Some(nodes) = of_facts.get_mut(fact.index())
                && nodes.last() != Some(&node)
            {
                nodes.push(node);
            }
        }
    }
}

fn has_band(condition: &Condition) -> bool {
    match condition {
        Condition::All(parts) | Condition::Any(parts) => parts.iter().any(has_band),
        Condition::Not(part) => has_band(part),
        Condition::Band(..) => true,
        _ => false,
    }
}

/// How much a condition asks: its tests, counted.
fn size(condition: &Condition) -> usize {
    match condition {
        Condition::All(parts) | Condition::Any(parts) => parts.iter().map(size).sum(),
        Condition::Not(part) => size(part),
        _ => 1,
    }
}
