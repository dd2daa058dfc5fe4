//! The balance of the water: how much acid, carbonate and calcium, together.

use super::DoseRequest;
use super::band::{Band, band};
use super::goal::Goal;
use super::pick::{Picked, of_family, of_substance};
use super::reading::Tested;
use super::schedule::{Dose, Now, Outlook};
use super::search::{Problem as Search, solve};
use crate::chemistry::{
    CALCIUM_CARBONATE_MG_PER_EQ, CALCIUM_CARBONATE_MG_PER_MOL, Composition, Substance, water_after,
};
use crate::knowledge::SearchWeights;

/// The search for acid, carbonate and calcium.
pub(super) struct Balance<'g> {
    base: Composition,
    temperature_c: f64,
    coldest_c: f64,
    start: Outlook,
    /// pH with what goes in anyway: chlorine, stabilizer, salt.
    base_ph: f64,
    goals: &'g [Goal],
    band: Option<Band>,
    calcium: bool,
    asked: bool,
    weights: &'g SearchWeights,
}

impl<'g> Balance<'g> {
    pub fn new(
        request: &DoseRequest<'g>,
        tested: &Tested,
        start: &Now,
        outlook: Outlook,
        goals: &'g [Goal],
        base: Composition,
    ) -> Self {
        let asked = request.wish.aims();
        let calcium = tested.knows("water.calcium_hardness");
        let indexed = calcium && !asked && outlook.index.is_finite();
        let near = (outlook.ph, outlook.ph_cold);
        let with = Outlook::of(&base, start.temperature_c, start.coldest_c, near);
        Self {
            base_ph: with.map_or(outlook.ph, |with| with.ph),
            base,
            temperature_c: start.temperature_c,
            coldest_c: start.coldest_c,
            start: outlook,
            goals,
            band: indexed.then(|| band(request, start, outlook)),
            calcium,
            asked,
            weights: &request.knowledge.dosing.search,
        }
    }

    /// One product of each kind that may be needed, in a fixed order.
    fn candidates<'a>(&self, all: &[Picked<'a>]) -> Vec<Picked<'a>> {
        if self.asked {
            return self.asked_for(all);
        }
        let mut chosen: Vec<Picked<'a>> = of_family(all, "acid").into_iter().collect();
        chosen.extend(of_substance(all, Substance::SodiumBicarbonate));
        chosen.extend(of_substance(all, Substance::SodiumCarbonate));
        if self.calcium {
            chosen.extend(of_family(all, "calcium"));
        }
        chosen
    }

    /// What moves the values that were asked for: acid or soda ash for pH, bicarbonate or acid for alkalinity,
    /// all of them for both.
    fn asked_for<'a>(&self, all: &[Picked<'a>]) -> Vec<Picked<'a>> {
        let wish = |name: &str, now: f64| {
            let aim = self.goals.iter().find(|goal| goal.name == name)?.aim?;
            Some(aim > now)
        };
        let alkalinity = self.base.alkalinity * CALCIUM_CARBONATE_MG_PER_EQ;
        let ph = wish("water.ph", self.start.ph);
        let alkalinity = wish("water.total_alkalinity", alkalinity);
        let soda = || of_substance(all, Substance::SodiumCarbonate);
        let bicarbonate = || of_substance(all, Substance::SodiumBicarbonate);
        let mut chosen = Vec::new();
        match (ph, alkalinity) {
            (Some(_), Some(_)) => {
                chosen.extend(of_family(all, "acid"));
                chosen.extend(bicarbonate());
                chosen.extend(soda());
            }
            (Some(true), None) => chosen.extend(soda().or_else(bicarbonate)),
            (None, Some(true)) => chosen.extend(bicarbonate().or_else(soda)),
            (Some(false), None) | (None, Some(false)) => chosen.extend(of_family(all, "acid")),
            (None, None) => {}
        }
        if wish("water.calcium_hardness", 0.0).is_some() {
            chosen.extend(of_family(all, "calcium"));
        }
        chosen
    }

    /// Amounts, with those left out that no test could tell from nothing.
    pub fn doses<'a>(&self, all: &[Picked<'a>]) -> Vec<Dose<'a>> {
        let mut candidates = self.candidates(all);
        loop {
            let amounts = self.amounts(&candidates);
            if let Some(at) = self.undoes(&candidates, &amounts) {
                candidates.remove(at);
                continue;
            }
            let negligible = candidates
                .iter()
                .zip(&amounts)
                .map(|(picked, mmol)| (self.told_apart(picked, *mmol), *mmol))
                .position(|(tells, mmol)| !tells && mmol > 0.0);
            match negligible {
                // Each round leaves one out, so this ends.
                Some(at) => drop(candidates.remove(at)),
                None => {
                    let both = candidates.into_iter().zip(amounts);
                    return both
                        .filter(|(_, mmol)| *mmol > 0.0)
                        .map(|(picked, mmol)| Dose { picked, mol_per_kg: mmol / 1e3 })
                        .collect();
                }
            }
        }
    }

    /// A product that would undo what acid does: soda ash beside it, or calcium that only makes up for it.
    fn undoes(&self, candidates: &[Picked<'_>], amounts: &[f64]) -> Option<usize> {
        let both = || candidates.iter().zip(amounts).map(|(picked, mmol)| (picked, *mmol > 0.0));
        let acid = both().any(|(picked, used)| used && picked.product.family == "acid");
        let wanted =
            |name: &str| self.goals.iter().any(|goal| goal.name == name && goal.aim.is_some());
        let undoes = |picked: &Picked<'_>| match picked.substance {
            Substance::SodiumCarbonate => true,
            _ => picked.product.family == "calcium" && !wanted("water.calcium_hardness"),
        };
        acid.then(|| both().position(|(picked, used)| used && undoes(picked))).flatten()
    }

    /// Whether a test could tell the water with this much of a product from the water without.
    fn told_apart(&self, picked: &Picked<'_>, mmol: f64) -> bool {
        let with = water_after(&self.base, &[(picked.substance, mmol / 1e3)]);
        let alkalinity = (with.alkalinity - self.base.alkalinity) * CALCIUM_CARBONATE_MG_PER_EQ;
        let calcium = (with.calcium - self.base.calcium) * CALCIUM_CARBONATE_MG_PER_MOL;
        let near = (self.start.ph, self.start.ph_cold);
        let ph = Outlook::of(&with, self.temperature_c, self.coldest_c, near)
            .map_or(0.0, |outlook| outlook.ph - self.base_ph);
        let weights = self.weights;
        let finer = if self.asked { 0.1 } else { 1.0 };
        alkalinity.abs() > weights.worth_alkalinity * finer
            || calcium.abs() > weights.worth_calcium * finer
            || ph.abs() > weights.worth_ph * finer
    }

    fn amounts(&self, candidates: &[Picked<'_>]) -> Vec<f64> {
        let weights = self.weights;
        let alkalinity = weights.alkalinity_notch / CALCIUM_CARBONATE_MG_PER_EQ * 1e3;
        let calcium = weights.calcium_notch / CALCIUM_CARBONATE_MG_PER_MOL * 1e3;
        let nudge: Vec<f64> = candidates
            .iter()
            .map(|picked| {
                if picked.effect.calcium > 0.0 {
                    calcium
                } else {
                    alkalinity / picked.effect.alkalinity.abs()
                }
            })
            .collect();
        // Soda ash drags pH along: where alkalinity alone is wanted, bicarbonate is the smaller change.
        let dear = |picked: &Picked<'_>| {
            if picked.substance == Substance::SodiumCarbonate {
                weights.soda_ash_dearer
            } else {
                1.0
            }
        };
        let priced = candidates.iter().zip(&nudge);
        let price: Vec<f64> =
            priced.map(|(picked, notch)| dear(picked) * weights.price / notch).collect();
        let mut residuals = |mmol: &[f64]| self.residuals(candidates, mmol);
        let start = vec![0.0; candidates.len()];
        solve(Search { nudge: &nudge, price: &price, residuals: &mut residuals }, &start)
    }

    /// How far from the goals some amounts (mmol/kg) leave the water.
    fn residuals(&self, candidates: &[Picked<'_>], mmol: &[f64]) -> Vec<f64> {
        let added: Vec<(Substance, f64)> =
            candidates.iter().zip(mmol).map(|(picked, n)| (picked.substance, n / 1e3)).collect();
        let totals = water_after(&self.base, &added);
        let near = (self.start.ph, self.start.ph_cold);
        let Some(outlook) = Outlook::of(&totals, self.temperature_c, self.coldest_c, near) else {
            return vec![1e6; self.goals.len() + 2];
        };
        let mut all: Vec<f64> = self
            .goals
            .iter()
            .map(|goal| {
                let value = match goal.name {
                    "water.ph" => outlook.ph,
                    "water.total_alkalinity" => totals.alkalinity * CALCIUM_CARBONATE_MG_PER_EQ,
                    "water.calcium_hardness" => totals.calcium * CALCIUM_CARBONATE_MG_PER_MOL,
                    _ => return 0.0,
                };
                pull(goal, value, self.weights)
            })
            .collect();
        if let Some(band) = self.band {
            all.push((band.low - outlook.index_cold).max(0.0) / 0.1 * self.weights.index_pull);
            all.push((outlook.index - band.high).max(0.0) / 0.1 * self.weights.index_pull);
        }
        all
    }
}

/// How hard a reading pulls: to its aim if it has one, else back into its range.
fn pull(goal: &Goal, value: f64, weights: &SearchWeights) -> f64 {
    let notches = |off: f64| off / goal.scale;
    match goal.aim {
        Some(aim) if goal.asked => weights.asked_pull * notches(value - aim),
        Some(aim) => notches(value - aim),
        None => {
            weights.keep_pull
                * (notches(value - goal.high).max(0.0) - notches(goal.low - value).max(0.0))
        }
    }
}
