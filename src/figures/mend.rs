//! What one change alone would bring the index back, and how long chlorine lasts by the log.

use super::water::{taken_for_granted, tested};
use crate::chemistry::{
    Composition, Substance, Water, rising_root, saturation_index_at, water_after,
};
use crate::engine::{Calculator, Computed, Inputs, Signature};
use crate::knowledge::{Dosing, IndexBands};
use std::cell::Cell;

/// A concentration has no logarithm at nothing; mg/L.
const LEAST: f64 = 0.1;
/// The index is met when it is so near.
const CLOSE: f64 = 1e-4;

/// The pH, the alkalinity or the calcium that alone brings an index that is out of its band back to it, at the
/// coldest where it is low, now where it is high; each also in notches of its test, so that rules can compare.
#[derive(Debug)]
pub(super) struct Mend {
    dosing: Dosing,
    bands: IndexBands,
    /// One notch of pH, alkalinity and calcium.
    notches: [f64; 3],
}

impl Mend {
    /// With the notches of the knowledge.
    pub fn new(dosing: Dosing, bands: IndexBands, notch: impl Fn(&str) -> f64) -> Self {
        let names = ["water.ph", "water.total_alkalinity", "water.calcium_hardness"];
        Self { dosing, bands, notches: names.map(notch) }
    }

    /// The index aimed at, and the temperature it is judged at; `None` while it is in its band.
    fn goal(&self, water: &Water, surface: Option<&str>) -> Option<(f64, f64)> {
        let [act_low, low, high, act_high] = self.bands.of(surface);
        let cold_c = self.dosing.coldest_c.min(water.temperature_c);
        let cold = saturation_index_at(water, cold_c).ok()?;
        let now = saturation_index_at(water, water.temperature_c).ok()?;
        if cold < act_low {
            return Some((low, cold_c));
        }
        (now > act_high).then_some((high, water.temperature_c))
    }
}

impl Calculator for Mend {
    fn signature(&self) -> Signature {
        Signature {
            name: "what mends the index",
            needs: &[
                "water.temperature",
                "water.ph",
                "water.total_alkalinity",
                "water.calcium_hardness",
            ],
            uses: &[
                "pool.surface",
                "water.cyanuric_acid",
                "water.salt",
                "water.dissolved_solids",
                "water.borate",
            ],
            gives: &[
                "figure.mend_by_ph",
                "figure.mend_by_alkalinity",
                "figure.mend_by_calcium",
                "figure.notches_by_ph",
                "figure.notches_by_alkalinity",
                "figure.notches_by_calcium",
            ],
        }
    }

    fn compute(&self, inputs: &Inputs<'_>) -> Vec<Computed> {
        let Some(water) = tested(inputs) else { return Vec::new() };
        let Some((goal, at_c)) = self.goal(&water, inputs.choice("pool.surface")) else {
            return Vec::new();
        };
        let low = saturation_index_at(&water, at_c).is_ok_and(|index| index < goal);
        let index = |water: &Water| saturation_index_at(water, at_c).ok();
        // Bicarbonate brings its carbon along, so pH goes its own way; each step begins at the pH of the last.
        let totals = Composition::of(&water).ok();
        let ph = Cell::new(water.ph);
        let with_alkalinity = |value: f64| {
            let eq =
                (value - water.total_alkalinity) / crate::chemistry::CALCIUM_CARBONATE_MG_PER_EQ;
            let after = water_after(&totals?, &[(Substance::SodiumBicarbonate, eq)]);
            let found = after.settled_near(at_c, ph.get()).ok()?;
            ph.set(found.ph);
            Some(found.calcite_index)
        };
        let by_ph = |value: f64| index(&Water { ph: value, ..water });
        let by_calcium = |value: f64| index(&Water { calcium_hardness: value, ..water });
        let ends = |now: f64, (least, most)| if low { (now, most) } else { (now, least) };
        let limits = self.dosing.mend;
        let alkalinity = (water.total_alkalinity, limits.alkalinity_most);
        let found = [
            reach(goal, ends(water.ph, limits.ph), &by_ph),
            low.then(|| reach_by_log(goal, alkalinity, &with_alkalinity)).flatten(),
            reach_by_log(goal, ends(water.calcium_hardness, limits.calcium), &by_calcium),
        ];
        let now = [water.ph, water.total_alkalinity, water.calcium_hardness];
        let names = [
            ("figure.mend_by_ph", "figure.notches_by_ph"),
            ("figure.mend_by_alkalinity", "figure.notches_by_alkalinity"),
            ("figure.mend_by_calcium", "figure.notches_by_calcium"),
        ];
        let taken = taken_for_granted(inputs);
        let told =
            format!("the value that alone brings the index to {goal} at {at_c:.0} °C{taken}");
        let each = found.into_iter().zip(now).zip(names).zip(self.notches);
        each.filter_map(|(((value, now), names), notch)| Some((value?, now, names, notch)))
            .flat_map(|(value, now, (name, notches), notch)| {
                [(name, value), (notches, (value - now).abs() / notch)]
            })
            .map(|(gives, value)| Computed {
                gives,
                value,
                low: None,
                high: None,
                method: told.clone(),
            })
            .collect()
    }
}

/// Where an index that rises between two values meets the goal; `None` if it does not.
fn reach(goal: f64, ends: (f64, f64), index: &dyn Fn(f64) -> Option<f64>) -> Option<f64> {
    let (low, high) = (ends.0.min(ends.1), ends.0.max(ends.1));
    let failed = Cell::new(false);
    let found = rising_root(low, high, 0.0, CLOSE, |value| {
        index(value).map_or_else(
            || {
                failed.set(true);
                0.0
            },
            |index| index - goal,
        )
    });
    // The goal lies beyond an end that is given back.
    (!failed.get() && found > low && found < high).then_some(found)
}

/// The same for a concentration: the index goes nearly as its logarithm, so few steps are needed.
fn reach_by_log(goal: f64, ends: (f64, f64), index: &dyn Fn(f64) -> Option<f64>) -> Option<f64> {
    let logs = (ends.0.max(LEAST).ln(), ends.1.ln());
    reach(goal, logs, &|log| index(log.exp())).map(f64::exp)
}

/// Days until free chlorine falls to the least, by the loss that the pool's own log bears out.
#[derive(Debug)]
pub(super) struct ChlorineLasts(pub Dosing);

impl Calculator for ChlorineLasts {
    fn signature(&self) -> Signature {
        Signature {
            name: "how long chlorine lasts",
            needs: &["trend.chlorine_use", "water.free_chlorine"],
            uses: &[],
            gives: &["figure.chlorine_days"],
        }
    }

    fn compute(&self, inputs: &Inputs<'_>) -> Vec<Computed> {
        let both = inputs.number("trend.chlorine_use").zip(inputs.number("water.free_chlorine"));
        let Some((rate, free)) = both.filter(|(rate, _)| *rate > 0.0) else { return Vec::new() };
        let value = ((free - self.0.chlorine_least) / rate).max(0.0);
        let least = self.0.chlorine_least;
        let method = format!(
            "free chlorine over the least of {least} mg/L, by the loss a day that the log bears out \
             (the middle of its stretches without a dose)"
        );
        vec![Computed { gives: "figure.chlorine_days", value, low: None, high: None, method }]
    }
}
