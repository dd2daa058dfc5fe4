//! The right answer of a case: found by running the rules and the calculators on what is so, never listed.

use super::draw::Case;
use crate::advice::{Answer, compose};
use crate::clock::Moment;
use crate::engine::{Network, State};
use crate::facts::{Fact, FactId, Origin, Value};
use crate::knowledge::{Action, Pattern, Urgency, Want};
use crate::plan::{DoseRequest, measured_out, plan_dose};
use crate::units::System;

/// An action that the case needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Needed {
    /// The action's id.
    pub id: String,
    /// What to do.
    pub text: String,
    /// Why: what was found.
    pub why: String,
    /// The sections that explain it.
    pub cites: Vec<String>,
    /// How soon.
    pub urgency: Urgency,
}

/// An amount that the case needs.
#[derive(Debug, Clone, PartialEq)]
pub struct NeededAmount {
    /// The product's id.
    pub product: String,
    /// The product's name.
    pub name: String,
    /// L of a liquid, kg of a powder.
    pub amount: f64,
    /// As it is measured; several portions one by one.
    pub given: String,
    /// All of it as it is measured.
    pub total: String,
    /// What it does.
    pub why: String,
    /// The sections that explain it.
    pub cites: Vec<String>,
    /// How far it may be off, as a share.
    pub tolerance: f64,
}

/// Hours that the case asks for: the band that counts as right, and the best estimate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NeededHours {
    /// Lower end.
    pub low: f64,
    /// Best estimate.
    pub best: f64,
    /// Upper end.
    pub high: f64,
}

/// Something that must not be done in this case.
#[derive(Debug, Clone, PartialEq)]
pub struct Danger<'n> {
    /// The caution that forbids it, or the action that it would be.
    pub id: String,
    /// How somebody says that they do it.
    pub patterns: Vec<&'n Pattern>,
    /// Why not.
    pub reason: String,
    /// The sections that explain it.
    pub cites: Vec<String>,
    /// Whether a caution forbids it outright, or it only contradicts what is needed …
    pub outright: bool,
    /// … and which: its place in [`Right::needed`].
    pub against: Option<usize>,
}

/// The right answer.
#[derive(Debug, Clone)]
pub struct Right<'n> {
    /// What the rules say.
    pub answer: Answer,
    /// What has to be done, in order.
    pub needed: Vec<Needed>,
    /// Places in `needed`: the first comes before the second.
    pub order: Vec<(usize, usize)>,
    /// Places in `needed` that may come first.
    pub firsts: Vec<usize>,
    /// Places in `needed` of what says its own hour ("at first light"): it may be named before what comes first.
    pub timed: Vec<usize>,
    /// What must not be done.
    pub dangers: Vec<Danger<'n>>,
    /// Amounts, in order.
    pub amounts: Vec<NeededAmount>,
    /// Hours.
    pub hours: Option<NeededHours>,
    /// Facts that were not told and change what is needed.
    pub mattered: Vec<FactId>,
}

/// Works a case out.
#[must_use]
pub fn right<'n>(network: &'n Network, case: &Case<'_>, units: System) -> Right<'n> {
    let state = settled(network, &case.facts);
    // A case has no date: nothing that it rests on grows old.
    let answer = compose(&state, Moment::new(Default::default()), units, &[]);
    let amounts = amounts(network, case, units);
    let deeds = amounts.is_empty();
    let needed: Vec<Needed> =
        if deeds { needed(&answer, case.scenario.within) } else { Vec::new() };
    let order = order(network, &needed);
    let firsts = firsts(&needed, &order);
    let own_hour = &network.knowledge().doing.shapes.timed;
    let timed = (0..needed.len())
        .filter(|at| needed.get(*at).is_some_and(|one| own_hour.contains(&one.id)))
        .filter(|at| !firsts.contains(at))
        .collect();
    let dangers = dangers(network, &answer, &needed);
    let hours = hours(network, case, &answer);
    let mattered = mattered(network, case, &needed);
    Right { answer, needed, order, firsts, timed, dangers, amounts, hours, mattered }
}

fn settled<'n>(network: &'n Network, facts: &[(FactId, Value)]) -> State<'n> {
    let mut state = State::new(network);
    for (id, value) in facts {
        state.state(*id, *value, Origin::Message);
    }
    state.run();
    state
}

fn needed(answer: &Answer, within: Urgency) -> Vec<Needed> {
    let why = |because: &[String]| -> String {
        let first = because.first();
        let found = first.and_then(|rule| answer.findings.iter().find(|one| one.rule == *rule));
        let found = found.or_else(|| answer.findings.iter().find(|f| because.contains(&f.rule)));
        found.map(|finding| finding.text.clone()).unwrap_or_default()
    };
    answer
        .actions
        .iter()
        .filter(|action| action.urgency <= within)
        .map(|action| Needed {
            id: action.id.clone(),
            text: action.text.clone(),
            why: why(&action.because),
            cites: action.cites.clone(),
            urgency: action.urgency,
        })
        .collect()
}

/// The ids of what a set of facts needs: the same as [`needed`], without the words.
pub(super) fn needed_ids<'n>(
    network: &'n Network,
    facts: &[(FactId, Value)],
    within: Urgency,
) -> Vec<&'n str> {
    let state = settled(network, facts);
    let called = crate::advice::called(&state);
    let ids = called.iter().filter(|one| one.urgency <= within);
    ids.map(|one| one.action.id.as_str()).collect()
}

fn order(network: &Network, needed: &[Needed]) -> Vec<(usize, usize)> {
    let place = |id: &str| needed.iter().position(|one| one.id == id);
    let mut pairs = Vec::new();
    for (at, one) in needed.iter().enumerate() {
        let Some(action) = network.knowledge().action(&one.id) else { continue };
        pairs.extend(action.after.iter().filter_map(|id| place(&id.id)).map(|first| (first, at)));
        pairs.extend(action.before.iter().filter_map(|id| place(&id.id)).map(|later| (at, later)));
    }
    let id = |at: usize| needed.get(at).map_or("", |one| one.id.as_str());
    pairs.retain(|(a, b)| !network.knowledge().doing.at_one_time(id(*a), id(*b)));
    pairs.sort_unstable();
    pairs.dedup();
    pairs
}

/// What may come first: as urgent as the most urgent, and nothing has to come before it.
fn firsts(needed: &[Needed], order: &[(usize, usize)]) -> Vec<usize> {
    let Some(most) = needed.iter().map(|one| one.urgency).min() else { return Vec::new() };
    let free = |at: &usize| !order.iter().any(|(_, later)| later == at);
    let urgent = |at: &usize| needed.get(*at).is_some_and(|one| one.urgency == most);
    (0..needed.len()).filter(|at| free(at) && urgent(at)).collect()
}

fn dangers<'n>(network: &'n Network, answer: &Answer, needed: &[Needed]) -> Vec<Danger<'n>> {
    let knowledge = network.knowledge();
    let mut dangers: Vec<Danger<'n>> = Vec::new();
    let called = answer.cautions.iter();
    let mut cautions: Vec<(String, String, Vec<String>)> =
        called.map(|one| (one.id.clone(), one.text.clone(), one.cites.clone())).collect();
    for id in &knowledge.doing.shapes.always {
        let known = knowledge.caution(id).filter(|_| cautions.iter().all(|(have, ..)| have != id));
        cautions.extend(known.map(|caution| {
            let cites = caution.cites.iter().map(|citation| citation.to.0.clone()).collect();
            (caution.id.clone(), caution.text.fill(&|_| String::new()), cites)
        }));
    }
    for (id, reason, cites) in cautions {
        let patterns: Vec<&Pattern> = knowledge.doing.of_caution(&id).collect();
        if !patterns.is_empty() {
            let (outright, against) = (true, None);
            dangers.push(Danger { id, patterns, reason, cites, outright, against });
        }
    }
    for (at, one) in needed.iter().enumerate() {
        if one.urgency != Urgency::Now {
            continue;
        }
        let Some(action) = knowledge.action(&one.id) else { continue };
        for other in knowledge.actions.iter().filter(|other| never(action, other)) {
            // A bare noun ("have the plugs ready") is no deed that could contradict one, nor is leaving something.
            let acts = |pattern: &&Pattern| !pattern.denied && knowledge.doing.acts(pattern);
            let patterns: Vec<&Pattern> =
                knowledge.doing.of_action(&other.id).filter(acts).collect();
            if !patterns.is_empty() && !answer.actions.iter().any(|one| one.id == other.id) {
                let reason = format!("That goes against what has to be done now: {}", one.text);
                let cites = one.cites.clone();
                let id = other.id.clone();
                let (outright, against) = (false, Some(at));
                dangers.push(Danger { id, patterns, reason, cites, outright, against });
            }
        }
    }
    dangers
}

fn never(a: &Action, b: &Action) -> bool {
    a.never_with.iter().any(|id| id.id == b.id) || b.never_with.iter().any(|id| id.id == a.id)
}

/// The products of the plan, each with what it takes in all.
fn amounts(network: &Network, case: &Case<'_>, system: System) -> Vec<NeededAmount> {
    let Want::Amounts { tolerance, to } = &case.scenario.want else { return Vec::new() };
    let stated = |(id, value): &(FactId, Value)| Fact::stated(*id, *value, "", Origin::Message);
    let facts: Vec<Fact> = case.facts.iter().map(stated).collect();
    let plan = plan_dose(&DoseRequest {
        knowledge: network.knowledge(),
        facts: &facts,
        wish: crate::plan::DoseWish { to: to.clone(), ..crate::plan::DoseWish::default() },
        system,
    });
    let aim = aim(network, case, to, system);
    let mut skills = network.knowledge().skills.iter();
    let skill = skills.find(|skill| skill.id == case.scenario.skill.id);
    let read = skill.and_then(|skill| skill.read.first());
    let cites: Vec<String> = read.map(|one| one.to.0.clone()).into_iter().collect();
    let mut amounts: Vec<NeededAmount> = Vec::new();
    for step in plan.map(|plan| plan.steps).unwrap_or_default() {
        match amounts.iter_mut().find(|one| one.product == step.product) {
            Some(one) => {
                one.amount += step.amount.value;
                one.given = format!("{} and {}", one.given, step.amount.given);
            }
            None => amounts.push(NeededAmount {
                product: step.product,
                name: step.name,
                amount: step.amount.value,
                given: step.amount.given,
                total: String::new(),
                why: aim.clone(),
                cites: cites.clone(),
                tolerance: *tolerance,
            }),
        }
    }
    let knowledge = network.knowledge();
    for one in &mut amounts {
        let form = knowledge.product(&one.product).map(|product| product.form);
        one.total =
            form.map_or_else(String::new, |form| measured_out(one.amount, form, system, knowledge));
    }
    amounts
}

/// What the amounts are to do: "It brings pH from 7.9 to 7.5."
fn aim(network: &Network, case: &Case<'_>, to: &[(FactId, f64)], system: System) -> String {
    let told = to.iter().filter_map(|(id, to)| {
        let def = network.knowledge().vocabulary.get(*id)?;
        let from = def.show(case.value(*id)?, system);
        Some(format!("{} from {from} to {}", def.title, def.show(Value::Number(*to), system)))
    });
    let told: Vec<String> = told.collect();
    if told.is_empty() { String::new() } else { format!("It brings {}.", told.join(", ")) }
}

/// A single number without a band counts as right within so much of it.
const BAND: f64 = 0.25;

fn hours(network: &Network, case: &Case<'_>, answer: &Answer) -> Option<NeededHours> {
    let Want::Hours(fact) = case.scenario.want else { return None };
    let name = network.knowledge().vocabulary.name(fact).trim_start_matches("figure.");
    let figure = answer.figures.iter().find(|figure| figure.name == name)?;
    let best = figure.value;
    let low = figure.low.unwrap_or(best).min(best * (1.0 - BAND));
    let high = figure.high.unwrap_or(best).max(best * (1.0 + BAND));
    Some(NeededHours { low, best, high })
}

/// Facts that were not told and without which something else would be needed.
fn mattered(network: &Network, case: &Case<'_>, needed: &[Needed]) -> Vec<FactId> {
    let mut now: Vec<&str> = needed.iter().map(|one| one.id.as_str()).collect();
    now.sort_unstable();
    let changes = |fact: FactId| {
        let rest: Vec<_> = case.facts.iter().copied().filter(|(id, _)| *id != fact).collect();
        let mut without = needed_ids(network, &rest, case.scenario.within);
        without.sort_unstable();
        without != now
    };
    let hidden = case.facts.iter().map(|(id, _)| *id).filter(|id| !case.told.contains(id));
    if needed.is_empty() {
        return Vec::new();
    }
    hidden.filter(|id| changes(*id)).collect()
}
