//! From amounts to steps: rounded, cut into portions, ordered, hours apart, each with the water after it.

use super::amount::{Amount, measurable, per_mole};
use super::pick::Picked;
use super::reading::{Tested, readings};
use super::{DoseReading, DoseRequest, DoseStep};
use crate::chemistry::{Composition, Substance, Water, water_after};
use crate::knowledge::Product;
use crate::units::trim_number;

/// So much of a product for the whole plan.
#[derive(Debug, Clone)]
pub(super) struct Dose<'a> {
    pub picked: Picked<'a>,
    /// mol of substance in each kg of pool.
    pub mol_per_kg: f64,
}

/// The water at some point of the plan.
#[derive(Debug, Clone)]
pub(super) struct Now {
    pub totals: Composition,
    /// `None` while pH or alkalinity is unknown.
    pub outlook: Option<Outlook>,
    pub temperature_c: f64,
    pub coldest_c: f64,
}

/// pH and index, now and at the coldest.
#[derive(Debug, Clone, Copy)]
pub(super) struct Outlook {
    pub ph: f64,
    pub index: f64,
    pub ph_cold: f64,
    pub index_cold: f64,
}

impl Outlook {
    /// Of some totals; near a pH that they likely have.
    pub fn of(totals: &Composition, at_c: f64, cold_c: f64, near: (f64, f64)) -> Option<Self> {
        let now = totals.settled_near(at_c, near.0).ok()?;
        let cold = totals.settled_near(cold_c, near.1).ok()?;
        Some(Self {
            ph: now.ph,
            index: now.calcite_index,
            ph_cold: cold.ph,
            index_cold: cold.calcite_index,
        })
    }
}

impl Now {
    /// The water before.
    pub fn before(tested: &Tested, coldest_c: f64) -> Self {
        let temperature_c = tested.water.temperature_c;
        let totals = tested.composition.or_else(|| Composition::readings(&tested.water).ok());
        let totals = totals.unwrap_or_default();
        let near = (tested.water.ph, tested.water.ph + 0.1);
        let outlook = tested
            .composition
            .and_then(|totals| Outlook::of(&totals, temperature_c, coldest_c, near));
        Self { totals, outlook, temperature_c, coldest_c }
    }

    /// The water after something went in.
    pub fn with(&self, substance: Substance, mol_per_kg: f64) -> Self {
        self.holding(water_after(&self.totals, &[(substance, mol_per_kg)]))
    }

    /// The water with other totals.
    pub fn holding(&self, totals: Composition) -> Self {
        let outlook = self.outlook.and_then(|o| {
            Outlook::of(&totals, self.temperature_c, self.coldest_c, (o.ph, o.ph_cold))
        });
        Self { totals, outlook, ..*self }
    }

    /// What a test would read.
    pub fn water(&self) -> Water {
        let ph = self.outlook.map_or(f64::NAN, |outlook| outlook.ph);
        self.totals.reading_at(self.temperature_c, ph)
    }

    /// What is shown of it: what was given, what products changed, and the index.
    pub fn shown(&self, names: &[&'static str]) -> Vec<DoseReading> {
        let mut names = names.to_vec();
        if self.outlook.is_none() {
            names.retain(|name| *name != "water.ph");
        }
        let index = self.outlook.map(|outlook| outlook.index);
        let cold = self.outlook.map(|outlook| outlook.index_cold);
        readings(&self.water(), &names, index, cold)
    }
}

/// One portion, measured.
#[derive(Debug, Clone)]
pub(super) struct Portion<'a> {
    pub product: &'a Product,
    pub substance: Substance,
    pub strength: String,
    pub amount: Amount,
    pub mol_per_kg: f64,
    pub number: u32,
    pub of: u32,
}

/// The portions of a plan in their order, and the products of which some is left for another visit.
pub(super) fn portions<'a>(
    request: &DoseRequest<'a>,
    start: &Now,
    mut doses: Vec<Dose<'a>>,
    litres: f64,
) -> (Vec<Portion<'a>>, Vec<&'a Product>) {
    doses.sort_by(|a, b| a.picked.product.place_in_plan.total_cmp(&b.picked.product.place_in_plan));
    let most_portions = request.knowledge.dosing.most_portions;
    let mut now = start.clone();
    let mut all = Vec::new();
    let mut left = Vec::new();
    for dose in &doses {
        let picked = &dose.picked;
        let Some(each_mole) = per_mole(picked.product, picked.strength) else { continue };
        let amount = dose.mol_per_kg * litres * each_mole;
        let most = picked.product.at_once_per_l * litres;
        let at_once = request.knowledge.dosing.ph_at_once;
        let fits = |of: &u32| {
            let share = 1.0 / f64::from(*of);
            amount * share <= most * 1.001
                && largest_move(&now, picked.substance, dose.mol_per_kg * share, *of)
                    <= at_once + 0.01
        };
        let least = least_portions(request, &now, dose);
        let of = (least..=most_portions).find(fits);
        if of.is_none() {
            left.push(picked.product);
        }
        // What does not fit is left for another visit: this one takes the portions that do.
        let share = of.map_or_else(
            || (most / amount).min(1.0 / f64::from(2 * most_portions)),
            |of| 1.0 / f64::from(of),
        );
        let of = of.unwrap_or(most_portions);
        let measured = measurable(
            amount * share,
            picked.product.form,
            request.system,
            &request.knowledge.dosing,
        );
        let mol_per_kg = measured.value / each_mole / litres;
        for number in 1..=of {
            // Acid for alkalinity alone stops where pH would fall too low: air brings it back by the next visit.
            if too_low(request, &now, picked, mol_per_kg) {
                left.push(picked.product);
                break;
            }
            all.push(Portion {
                product: picked.product,
                substance: picked.substance,
                strength: format!("{} %", trim_number(picked.strength.percent, 2)),
                amount: measured.clone(),
                mol_per_kg,
                number,
                of,
            });
            now = now.with(picked.substance, mol_per_kg);
        }
    }
    (all, left)
}

/// Whether acid would take pH below the floor, though nobody asked for such a pH.
fn too_low(request: &DoseRequest<'_>, now: &Now, picked: &Picked<'_>, mol_per_kg: f64) -> bool {
    let words = &request.knowledge.vocabulary;
    let mut aims = request.wish.to.iter().chain(&request.wish.by);
    let of_ph = aims.any(|(fact, _)| words.name(*fact) == "water.ph");
    let after = now.with(picked.substance, mol_per_kg).outlook;
    let floor = request.knowledge.dosing.ph_floor;
    picked.product.family == "acid" && !of_ph && after.is_some_and(|after| after.ph < floor)
}

/// Cold water answers late: there acid goes in at least two portions, unless it moves pH by little.
fn least_portions(request: &DoseRequest<'_>, now: &Now, dose: &Dose<'_>) -> u32 {
    let dosing = &request.knowledge.dosing;
    let acid = dose.picked.product.family == "acid";
    let cold = now.temperature_c < dosing.acid_halves_below_c;
    let moves = largest_move(now, dose.picked.substance, dose.mol_per_kg, 1);
    if acid && cold && moves > dosing.acid_halves_over { 2 } else { 1 }
}

/// The largest move of pH that any of so many portions of so much makes, one after the other.
fn largest_move(start: &Now, substance: Substance, mol_per_kg: f64, of: u32) -> f64 {
    let mut now = start.clone();
    let mut largest = 0.0_f64;
    for _ in 0..of {
        let next = now.with(substance, mol_per_kg);
        let moved = now.outlook.zip(next.outlook).map_or(0.0, |(a, b)| (b.ph - a.ph).abs());
        largest = largest.max(moved);
        now = next;
    }
    largest
}

/// The steps of portions, with waits that keep apart what must be apart, and the water after each.
pub(super) fn steps(
    request: &DoseRequest<'_>,
    start: &Now,
    portions: &[Portion<'_>],
    names: &mut Vec<&'static str>,
) -> (Vec<DoseStep>, Now) {
    let mut now = start.clone();
    let mut steps: Vec<DoseStep> = Vec::new();
    let mut done: Vec<(&Product, f64)> = Vec::new();
    let mut clock_h = 0.0;
    for portion in portions {
        keep_apart(request, portion.product, &done, &mut steps, &mut clock_h);
        now = now.with(portion.substance, portion.mol_per_kg);
        touched(request, portion.substance, names);
        steps.push(DoseStep {
            order: steps.len() + 1,
            product: portion.product.id.clone(),
            name: portion.product.name.clone(),
            portion: portion.number,
            portions: portion.of,
            strength: portion.strength.clone(),
            amount: portion.amount.clone(),
            text: wording(request, portion),
            wait_h: portion.product.wait_h,
            after: now.shown(names),
        });
        done.push((portion.product, clock_h));
        clock_h += portion.product.wait_h;
    }
    (steps, now)
}

/// Lengthens the last wait so that this product is far enough from every one before that it conflicts with.
fn keep_apart(
    request: &DoseRequest<'_>,
    product: &Product,
    done: &[(&Product, f64)],
    steps: &mut [DoseStep],
    clock_h: &mut f64,
) {
    let needed = done
        .iter()
        .filter_map(|(earlier, at_h)| {
            let conflict = request.knowledge.conflict(earlier, product)?;
            Some(conflict.apart_h - (*clock_h - at_h))
        })
        .fold(0.0, f64::max);
    if let Some(last) = steps.last_mut() {
        last.wait_h += needed;
        *clock_h += needed;
    }
}

/// Readings that a product changes are shown from then on, given or not.
fn touched(request: &DoseRequest<'_>, substance: Substance, names: &mut Vec<&'static str>) {
    let effect = substance.effect();
    let changes = [
        ("water.free_chlorine", effect.free_chlorine),
        ("water.bromine", effect.bromine),
        ("water.total_alkalinity", 0.0),
        ("water.calcium_hardness", effect.calcium),
        ("water.cyanuric_acid", effect.cyanurate),
        ("water.salt", effect.salt),
        ("water.borate", effect.boron),
    ];
    for (name, change) in changes {
        // A neutraliser in water of unknown chlorine, or acid's trace of salt, is not worth a line.
        let worth =
            change > 0.0 && (name != "water.salt" || substance == Substance::SodiumChloride);
        // A change that was asked for from an unknown reading leads to an unknown reading.
        let id = request.knowledge.vocabulary.find(name);
        let unknown = request.wish.by.iter().any(|(fact, _)| Some(*fact) == id);
        if worth && !unknown && !names.contains(&name) {
            names.push(name);
        }
    }
}

fn wording(request: &DoseRequest<'_>, portion: &Portion<'_>) -> String {
    let dosing = &request.knowledge.dosing;
    let product = portion.product;
    let fill =
        [("add", product.add.as_str()), ("cold", &product.cold), ("caution", &product.caution)];
    let text = dosing.say("step", &fill).trim().to_owned();
    if portion.of == 1 {
        return text;
    }
    let (n, of) = (portion.number.to_string(), portion.of.to_string());
    format!("{} {text}", dosing.say("portion", &[("n", &n), ("of", &of)]))
}
