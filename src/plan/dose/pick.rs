//! Which products a plan may use: what is on the van, one of a kind, side effects considered.

use super::goal::{Goal, choice};
use super::reading::Tested;
use super::{DoseRequest, HeldBack, Preferred};
use crate::chemistry::{Effect, Substance};
use crate::knowledge::{FactDef, Product, Strength, Use};

/// A product with its strength and what a mole of it does.
#[derive(Debug, Clone)]
pub(super) struct Picked<'a> {
    pub product: &'a Product,
    pub strength: Strength,
    pub substance: Substance,
    pub effect: Effect,
}

impl<'a> Picked<'a> {
    /// A product at its usual strength; `None` if chemistry does not know its substance.
    pub fn of(product: &'a Product) -> Option<Self> {
        let substance = Substance::named(&product.substance)?;
        let strength = product.usual_strength();
        Some(Self { product, strength, substance, effect: substance.effect() })
    }
}

/// The strength in which a product was asked for by name; `None` if it was not.
pub(super) fn preferred<'w>(request: &'w DoseRequest<'_>, id: &str) -> Option<&'w Preferred> {
    request.wish.prefer.iter().find(|preferred| preferred.product == id)
}

/// Everything that plans may use and that is on the van; all of it while nobody said what is.
pub(super) fn available<'a>(request: &DoseRequest<'a>) -> Vec<Picked<'a>> {
    let products = request.knowledge.products.iter();
    let usable = products.filter(|p| p.use_in == Use::Plan && on_hand(request, p));
    let mut all: Vec<Picked<'a>> = usable.filter_map(Picked::of).collect();
    for picked in &mut all {
        if let Some(percent) = preferred(request, &picked.product.id).and_then(|p| p.percent) {
            picked.strength = picked.product.strength(percent);
        }
    }
    // What was asked for by name comes first; else the order of the file.
    all.sort_by_key(|picked| preferred(request, &picked.product.id).is_none());
    all
}

/// Whether a product is on the van, as far as anybody said.
pub(super) fn on_hand(request: &DoseRequest<'_>, product: &Product) -> bool {
    let words = &request.knowledge.vocabulary;
    let Some(id) = words.find("chemical.on_hand") else { return true };
    let said = request.facts.iter().rev().find(|fact| fact.id == id && !fact.supposed);
    let Some(set) = said.and_then(|fact| fact.value.choices()) else { return true };
    let values = words.get(id).map(FactDef::values).unwrap_or_default();
    set.iter().any(|at| values.get(at).is_some_and(|value| *value == product.id))
}

/// The first of a family.
pub(super) fn of_family<'a>(all: &[Picked<'a>], family: &str) -> Option<Picked<'a>> {
    all.iter().find(|picked| picked.product.family == family).cloned()
}

/// The one product of a substance.
pub(super) fn of_substance<'a>(all: &[Picked<'a>], substance: Substance) -> Option<Picked<'a>> {
    all.iter().find(|picked| picked.substance == substance).cloned()
}

/// The one chlorine of a plan: by the pool's habit where its side effects allow, else the one with the fewest;
/// and why the others that are on the van are not used.
pub(super) fn chlorine<'a>(
    request: &DoseRequest<'a>,
    all: &[Picked<'a>],
    tested: &Tested,
    goals: &[Goal],
) -> (Option<Picked<'a>>, Vec<HeldBack>) {
    let said = on_hand_was_said(request);
    let brings = all.iter().filter(|picked| picked.effect.free_chlorine > 0.0);
    let mut ranked: Vec<(f64, &Picked<'a>)> =
        brings.map(|picked| (drawback(request, picked, tested, goals), picked)).collect();
    // A stable sort: equal drawbacks stay in the order of the file.
    ranked.sort_by(|a, b| a.0.total_cmp(&b.0));
    let Some((_, best)) = ranked.first().copied() else { return (None, Vec::new()) };
    let others = ranked
        .iter()
        .skip(1)
        .filter(|(_, picked)| said || preferred(request, &picked.product.id).is_some());
    let held = others
        .map(|(_, picked)| HeldBack {
            product: picked.product.id.clone(),
            why: why_not(request, picked, tested, goals, best.product.name.as_str()),
            missing: false,
        })
        .collect();
    (Some(best.clone()), held)
}

fn on_hand_was_said(request: &DoseRequest<'_>) -> bool {
    super::reading::said(request, "chemical.on_hand")
}

/// Whether a reading has no room left below its aim or the middle of its range.
fn full(goals: &[Goal], tested: &Tested, name: &str) -> bool {
    let goal = goals.iter().find(|goal| goal.name == name);
    goal.is_some_and(|goal| tested.value(name) > 0.5 * (goal.low.max(0.0) + goal.high) - 1e-9)
}

/// Trichlor, which only comes as tablets, in water where tablets hardly dissolve.
fn too_slow(request: &DoseRequest<'_>, picked: &Picked<'_>, tested: &Tested) -> bool {
    picked.substance == Substance::Trichlor
        && super::reading::said(request, "water.temperature")
        && tested.water.temperature_c < request.knowledge.dosing.warm_from_c
}

fn drawback(
    request: &DoseRequest<'_>,
    picked: &Picked<'_>,
    tested: &Tested,
    goals: &[Goal],
) -> f64 {
    let weights = &request.knowledge.dosing.chlorine;
    let usual = weights.usual(choice(request, "sanitizer.method"));
    let stabilizes = picked.effect.cyanurate > 0.0;
    let hardens = picked.effect.calcium > 0.0;
    let counts = [
        (picked.product.id != usual, weights.not_usual),
        (preferred(request, &picked.product.id).is_some(), weights.asked_for),
        (stabilizes && full(goals, tested, "water.cyanuric_acid"), weights.stabilizes),
        (hardens && full(goals, tested, "water.calcium_hardness"), weights.hardens),
        (too_slow(request, picked, tested), weights.too_slow),
    ];
    counts.iter().filter(|(holds, _)| *holds).map(|(_, weight)| weight).sum()
}

fn why_not(
    request: &DoseRequest<'_>,
    picked: &Picked<'_>,
    tested: &Tested,
    goals: &[Goal],
    chosen: &str,
) -> String {
    let dosing = &request.knowledge.dosing;
    let said = |name: &str| super::hold::shown(request, name, tested.value(name));
    if too_slow(request, picked, tested) {
        return dosing.say("slow_cold", &[("value", &said("water.temperature"))]);
    }
    if picked.effect.cyanurate > 0.0 && full(goals, tested, "water.cyanuric_acid") {
        return dosing.say("stabilized", &[("value", &said("water.cyanuric_acid"))]);
    }
    if picked.effect.calcium > 0.0 && full(goals, tested, "water.calcium_hardness") {
        return dosing.say("hardens", &[("value", &said("water.calcium_hardness"))]);
    }
    dosing.say("other_chlorine", &[("value", chosen)])
}
