//! The situations in which a condition holds, as alternatives of domains by fact.
//!
//! Sums of several facts are left open, so a situation may be thought possible that is not; one that is
//! thought impossible is. Derived facts are taken as they come; `search` follows them back.

use super::domain::{Domain, NO, YES};
use crate::facts::{FactId, Value};
use crate::knowledge::{BandSet, Comparison, Concluded, Condition, Expr, Knowledge, Rule};
use std::collections::BTreeMap;

/// One situation: what is still open for each fact that was spoken of.
pub(super) type World = BTreeMap<FactId, Domain>;

/// How a condition should turn out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Want {
    True,
    False,
    /// False or unknown.
    NotTrue,
}

/// More alternatives than this are not followed: the rest of the conditions is then left open.
const MOST: usize = 512;

/// What two situations have in common, if they can be one.
pub(super) fn meet(one: &World, two: &World) -> Option<World> {
    let mut world = one.clone();
    for (id, domain) in two {
        let met = world.get(id).copied().unwrap_or(Domain::ANY).and(*domain);
        if met.is_empty() {
            return None;
        }
        world.insert(*id, met);
    }
    Some(world)
}

/// The situations in which both hold; impossible ones are left out.
fn both(a: &[World], b: &[World]) -> Vec<World> {
    if a.len() * b.len() > MOST {
        return a.to_vec();
    }
    a.iter().flat_map(|one| b.iter().filter_map(|two| meet(one, two))).collect()
}

fn each(parts: &[Condition], want: Want, knowledge: &Knowledge) -> Vec<World> {
    parts.iter().fold(vec![World::new()], |all, part| both(&all, &worlds(part, want, knowledge)))
}

fn any(parts: &[Condition], want: Want, knowledge: &Knowledge) -> Vec<World> {
    parts.iter().flat_map(|part| worlds(part, want, knowledge)).collect()
}

/// The situations in which a condition turns out as wanted.
pub(super) fn worlds(condition: &Condition, want: Want, knowledge: &Knowledge) -> Vec<World> {
    match (condition, want) {
        (Condition::All(parts), Want::True)
        | (Condition::Any(parts), Want::False | Want::NotTrue) => each(parts, want, knowledge),
        (Condition::Any(parts), Want::True)
        | (Condition::All(parts), Want::False | Want::NotTrue) => any(parts, want, knowledge),
        (Condition::Not(part), Want::True) => worlds(part, Want::False, knowledge),
        (Condition::Not(part), Want::False) => worlds(part, Want::True, knowledge),
        // Not true of a negation: the inside is true or unknown; the unknown half is left open.
        (Condition::Not(_), Want::NotTrue) => vec![World::new()],
        (test, want) => match domains(test, want, knowledge) {
            Some((id, domains)) => joined(domains)
                .into_iter()
                .map(|domain| domain.and(possible(id, knowledge)))
                .filter(|domain| !domain.is_empty())
                .map(|domain| World::from([(id, domain)]))
                .collect(),
            None => vec![World::new()],
        },
    }
}

/// What a fact can be at all: a reading beyond its possible range is asked about and never used.
fn possible(id: FactId, knowledge: &Knowledge) -> Domain {
    let range = knowledge.vocabulary.get(id).and_then(|def| def.possible);
    range.map_or(Domain::ANY, |(low, high)| {
        Domain::between((low, false), (high, false)).or_unknown()
    })
}

/// "No or unknown" as one domain: half as many situations for each `unless`.
fn joined(domains: Vec<Domain>) -> Vec<Domain> {
    match domains.as_slice() {
        [known, unknown] if !unknown.known => vec![known.or_unknown()],
        _ => domains,
    }
}

/// The domains of the one fact of a test; `None` if it speaks of several.
fn domains(test: &Condition, want: Want, knowledge: &Knowledge) -> Option<(FactId, Vec<Domain>)> {
    let of = |id: FactId, yes: Vec<Domain>, no: Vec<Domain>| {
        let mut domains = if want == Want::True { yes } else { no };
        if want == Want::NotTrue {
            domains.push(Domain::UNKNOWN);
        }
        Some((id, domains))
    };
    match test {
        Condition::Flag(id, flag) => {
            let (yes, no) = if *flag { (YES, NO) } else { (NO, YES) };
            of(*id, vec![Domain::of(yes)], vec![Domain::of(no)])
        }
        Condition::Is(id, set) => {
            let count = knowledge.vocabulary.get(*id).map_or(0, |def| def.values().len());
            let rest = crate::facts::ChoiceSet::all(count).minus(*set);
            of(*id, vec![Domain::of(*set)], vec![Domain::of(rest)])
        }
        // A fact of several values may have one and another; lacking is to have none of them.
        Condition::Has(id, set) => {
            let count = knowledge.vocabulary.get(*id).map_or(0, |def| def.values().len());
            let rest = crate::facts::ChoiceSet::all(count).minus(*set);
            of(*id, set.iter().map(Domain::having).collect(), vec![Domain::of(rest)])
        }
        Condition::Known(id, known) => {
            let (yes, no) = if *known {
                (Domain::KNOWN, Domain::UNKNOWN)
            } else {
                (Domain::UNKNOWN, Domain::KNOWN)
            };
            Some((*id, vec![if want == Want::True { yes } else { no }]))
        }
        Condition::Band(id, bands) => {
            of(*id, band(*id, *bands, knowledge), band(*id, bands.complement(), knowledge))
        }
        Condition::Compare(a, sign, b) => {
            let (id, sign, edge) = single(a, *sign, b)?;
            let (yes, no) = intervals(sign, edge);
            of(id, yes, no)
        }
        _ => None,
    }
}

/// A comparison of one fact with a number, as one of its canonical value.
fn single(a: &Expr, sign: Comparison, b: &Expr) -> Option<(FactId, Comparison, f64)> {
    let mirrored = match sign {
        Comparison::Less => Comparison::More,
        Comparison::AtMost => Comparison::AtLeast,
        Comparison::More => Comparison::Less,
        Comparison::AtLeast => Comparison::AtMost,
        same => same,
    };
    match (a, b) {
        (Expr::Fact { id, factor, offset }, Expr::Number(n)) => {
            Some((*id, sign, (n - offset) / factor))
        }
        (Expr::Number(n), Expr::Fact { id, factor, offset }) => {
            Some((*id, mirrored, (n - offset) / factor))
        }
        _ => None,
    }
}

fn intervals(sign: Comparison, edge: f64) -> (Vec<Domain>, Vec<Domain>) {
    let open = (f64::NEG_INFINITY, false);
    let end = (f64::INFINITY, false);
    let below = |strict| Domain::between(open, (edge, strict));
    let above = |strict| Domain::between((edge, strict), end);
    let point = Domain::between((edge, false), (edge, false));
    match sign {
        Comparison::Less => (vec![below(true)], vec![above(false)]),
        Comparison::AtMost => (vec![below(false)], vec![above(true)]),
        Comparison::More => (vec![above(true)], vec![below(false)]),
        Comparison::AtLeast => (vec![above(false)], vec![below(true)]),
        Comparison::Equal => (vec![point], vec![below(true), above(true)]),
        Comparison::Unequal => (vec![below(true), above(true)], vec![point]),
    }
}

/// The values in some bands, over all surfaces: the hull of each band.
fn band(id: FactId, bands: BandSet, knowledge: &Knowledge) -> Vec<Domain> {
    let mut domains = Vec::new();
    for number in (0..5u8).filter(|number| bands.holds(*number)) {
        let of_fact = || knowledge.ranges.iter().filter(|range| range.fact == id);
        let at = usize::from(number);
        let below = |range: &crate::knowledge::Range| {
            at.checked_sub(1).and_then(|n| range.edges.get(n).copied()).unwrap_or(f64::NEG_INFINITY)
        };
        let above =
            |range: &crate::knowledge::Range| range.edges.get(at).copied().unwrap_or(f64::INFINITY);
        let low = of_fact().map(below).fold(f64::INFINITY, f64::min);
        let high = of_fact().map(above).fold(f64::NEG_INFINITY, f64::max);
        // An edge belongs to the band nearer to ok.
        domains.push(Domain::between((low, number > 2), (high, number < 2)));
    }
    domains
}

/// The situations in which a rule's own conditions hold, derived facts taken as they come.
pub(super) fn own(rule: &Rule, knowledge: &Knowledge) -> Vec<World> {
    both(&each(&rule.when, Want::True, knowledge), &each(&rule.unless, Want::NotTrue, knowledge))
}

/// Whether a rule sets a fact to a value within a domain. Numbers count as possible.
pub(super) fn concludes(rule: &Rule, id: FactId, domain: &Domain) -> bool {
    rule.conclude.iter().filter(|conclusion| conclusion.fact == id).any(|conclusion| {
        match &conclusion.value {
            Concluded::Expr(_) => true,
            Concluded::Value(value) => !domain.and(Domain::of(as_choices(*value))).is_empty(),
        }
    })
}

/// A yes, no or choice as choices.
pub(super) fn as_choices(value: Value) -> crate::facts::ChoiceSet {
    match value {
        Value::Flag(true) => YES,
        Value::Flag(false) => NO,
        other => other.choices().unwrap_or_default(),
    }
}

/// Whether in a situation a condition surely turns out as wanted.
pub(super) fn entails(
    world: &World,
    condition: &Condition,
    want: Want,
    knowledge: &Knowledge,
) -> bool {
    match (condition, want) {
        (Condition::All(parts), Want::True)
        | (Condition::Any(parts), Want::False | Want::NotTrue) => {
            parts.iter().all(|part| entails(world, part, want, knowledge))
        }
        (Condition::Any(parts), Want::True)
        | (Condition::All(parts), Want::False | Want::NotTrue) => {
            parts.iter().any(|part| entails(world, part, want, knowledge))
        }
        (Condition::Not(part), Want::True) => entails(world, part, Want::False, knowledge),
        (Condition::Not(part), Want::False) => entails(world, part, Want::True, knowledge),
        (Condition::Not(_) | Condition::Has(..) | Condition::Band(..), _) => false,
        (test, want) => domains(test, want, knowledge).is_some_and(|(id, domains)| {
            let here = world.get(&id).copied().unwrap_or(Domain::ANY);
            domains.iter().any(|domain| here.within(domain))
                || (want == Want::NotTrue && not_true_joined(&here, &domains))
        }),
    }
}

/// "No or unknown" comes as two domains; a fact that may be either lies within their union.
fn not_true_joined(here: &Domain, domains: &[Domain]) -> bool {
    let known = Domain { unknown: false, ..*here };
    domains.iter().any(|domain| domain.unknown) && domains.iter().any(|domain| known.within(domain))
}
