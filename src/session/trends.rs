//! What drifts at a pool, by robust fits; where the readings say nothing, nothing is said. The limits stand in
//! `tasks.toml`.

mod fits;
mod level;

use super::base::Base;
use crate::clock::Moment;
use crate::knowledge::TrendLimits;
use crate::logbook::{Held, ProfileEntry, Visit};
use crate::units::{System, count};

/// One drift, with the sentence that tells it.
#[derive(Debug, Clone, PartialEq)]
pub struct Trend {
    /// Its name: `chlorine_use`, `filter_rise`, `level_loss`, `salt`, `cyanuric_acid`, `ph_drift`, `acid_demand`.
    pub name: &'static str,
    /// Its size, in the canonical unit per day.
    pub value: f64,
    /// The sentence.
    pub text: String,
    /// The facts by which rules may use it.
    pub facts: Vec<(&'static str, Held)>,
}

/// What trends are found in.
struct Ground<'a> {
    base: &'a Base,
    limits: &'a TrendLimits,
    /// Oldest first.
    visits: Vec<&'a Visit>,
    profile: &'a [ProfileEntry],
    at: Moment,
    units: System,
}

/// A change from one reading to the next.
#[derive(Debug, Clone, Copy)]
struct Change {
    days: f64,
    by: f64,
}

/// The drifts of a pool, from its visits (newest first, as the log gives them) and its profile.
#[must_use]
pub fn trends(
    base: &Base,
    visits: &[Visit],
    profile: &[ProfileEntry],
    at: Moment,
    units: System,
) -> Vec<Trend> {
    let limits = &base.knowledge().work.trend;
    let mut visits: Vec<&Visit> = visits.iter().collect();
    visits.sort_by_key(|visit| visit.at);
    let ground = Ground { base, limits, visits, profile, at, units };
    let found = [
        ground.chlorine_use(),
        ground.filter_rise(),
        ground.level_loss(),
        ground.dilution("salt", "water.salt", &["salt"]),
        ground.dilution("cyanuric_acid", "water.cyanuric_acid", &["cyanuric-acid"]),
        ground.ph_drift(),
        ground.acid_demand(),
    ];
    found.into_iter().flatten().collect()
}

fn number(visit: &Visit, fact: &str) -> Option<f64> {
    visit.readings.iter().find(|reading| reading.fact == fact)?.value.number()
}

/// Whether one of these products went in.
fn dosed(visit: &Visit, products: &[String]) -> bool {
    visit.additions.iter().any(|one| products.contains(&one.product))
}

/// Days from the first moment, and the value, of each visit that has it; oldest first.
pub(super) fn points<'v>(
    visits: impl IntoIterator<Item = &'v Visit>,
    fact: &str,
    from: Moment,
) -> Vec<(f64, f64)> {
    let point = |visit: &Visit| Some((visit.at.hours_since(from) / 24.0, number(visit, fact)?));
    let mut points: Vec<(f64, f64)> = visits.into_iter().filter_map(point).collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    points
}

/// Whether a value was kept as words that say so.
pub(super) fn says(visit: &Visit, fact: &str, word: &str) -> bool {
    let held = visit.readings.iter().find(|reading| reading.fact == fact);
    matches!(held.map(|reading| &reading.value), Some(Held::Word(said)) if said == word)
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let upper = *values.get(values.len() / 2)?;
    if values.len() % 2 == 1 {
        return Some(upper);
    }
    Some(f64::midpoint(*values.get((values.len() / 2).checked_sub(1)?)?, upper))
}

/// How sure it is that such values lie above a mark: one less the chance that a fair coin falls as often on one side
/// (sign test: W. J. Dixon and A. M. Mood, Journal of the American Statistical Association 41, 1946). Values on the
/// mark count for neither side.
fn confidence_above(values: impl Iterator<Item = f64>) -> f64 {
    let (mut above, mut all) = (0_u32, 0_u32);
    for value in values.filter(|value| value.abs() > 1e-9) {
        all += 1;
        above += u32::from(value > 0.0);
    }
    if all == 0 {
        return 0.0;
    }
    // The binomial terms from the top down, each from the one before it.
    let mut term = 0.5_f64.powf(f64::from(all));
    let mut tail = 0.0;
    for hits in (above..=all).rev() {
        tail += term;
        term *= f64::from(hits) / f64::from(all - hits + 1);
    }
    1.0 - tail
}

impl Ground<'_> {
    /// The changes of a reading from one visit that has it to the next one that has it, where none of these products
    /// went in between.
    fn changes(&self, fact: &str, products: &[String]) -> Vec<Change> {
        let mut found = Vec::new();
        let mut last: Option<(Moment, f64)> = None;
        for visit in &self.visits {
            if let Some(value) = number(visit, fact) {
                if let Some((at, before)) = last {
                    let days = visit.at.hours_since(at) / 24.0;
                    if (0.5..=self.limits.longest_stretch_d).contains(&days) {
                        found.push(Change { days, by: value - before });
                    }
                }
                last = Some((visit.at, value));
            }
            if dosed(visit, products) {
                last = None;
            }
        }
        found
    }

    fn enough(&self, many: usize) -> bool {
        count(many) >= self.limits.fewest
    }

    /// The middle of the daily changes, if their sign is sure.
    fn sure_rate(&self, changes: &[Change]) -> Option<f64> {
        if !self.enough(changes.len()) {
            return None;
        }
        let rates: Vec<f64> = changes.iter().map(|change| change.by / change.days).collect();
        let middle = median(rates.clone())?;
        let way = middle.signum();
        let sure = confidence_above(rates.into_iter().map(|rate| rate * way));
        (middle.abs() > 1e-9 && sure >= self.limits.sure).then_some(middle)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: nine heads or more of ten fair coins come up in 11 of 1024 cases, five of five in 1 of 32.
    #[test]
    fn the_sign_test_counts_coins() {
        let of = |above: usize, below: usize| {
            confidence_above(
                std::iter::repeat_n(1.0, above).chain(std::iter::repeat_n(-1.0, below)),
            )
        };
        assert!((of(9, 1) - (1.0 - 11.0 / 1024.0)).abs() < 1e-12);
        assert!((of(5, 0) - (1.0 - 1.0 / 32.0)).abs() < 1e-12);
        assert!((of(2, 0) - 0.75).abs() < 1e-12 && of(0, 0).abs() < 1e-12);
    }
}
