//! What drifts at a pool, by robust fits; where the readings say nothing, nothing is said.

use super::base::Base;
use crate::clock::Moment;
use crate::engine::State;
use crate::facts::{Origin, Value};
use crate::logbook::{Held, Visit, robust_fit};
use crate::units::{System, count, find_unit, show};

/// The filter wants cleaning at this rise over the clean gauge, kPa (8 psi; common practice).
const FILTER_RISE_KPA: f64 = 55.0;

/// So many stretches between visits are needed to speak of a rate.
const FEWEST: usize = 5;

/// One drift, with the sentence that tells it.
#[derive(Debug, Clone, PartialEq)]
pub struct Trend {
    /// Its name: `chlorine_use`, `filter_rise`, `level_loss`, `dilution`.
    pub name: &'static str,
    /// Its size, in the canonical unit per day.
    pub value: f64,
    /// The sentence.
    pub text: String,
    /// The facts by which rules may use it.
    pub facts: Vec<(&'static str, Held)>,
}

fn number(visit: &Visit, fact: &str) -> Option<f64> {
    visit.readings.iter().find(|reading| reading.fact == fact)?.value.number()
}

/// Days from the first moment, and the value, of each visit that has it; oldest first.
pub(super) fn points(visits: &[Visit], fact: &str, from: Moment) -> Vec<(f64, f64)> {
    let mut points: Vec<(f64, f64)> = visits
        .iter()
        .filter_map(|visit| Some((visit.at.hours_since(from) / 24.0, number(visit, fact)?)))
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    points
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}

/// The drifts of a pool, from its visits (newest first, as the log gives them) and its profile.
#[must_use]
pub fn trends(
    base: &Base,
    visits: &[Visit],
    profile: &[crate::logbook::ProfileEntry],
    at: Moment,
    units: System,
) -> Vec<Trend> {
    let found = [
        chlorine_use(visits),
        filter_rise(visits, at, units),
        level_loss(base, visits, profile, units),
        dilution(visits, "water.salt", "Salt"),
        dilution(visits, "water.cyanuric_acid", "Cyanuric acid"),
        acid_demand(visits),
    ];
    found.into_iter().flatten().collect()
}

/// Fall of free chlorine from one visit to the next, where nothing was added in between.
fn chlorine_use(visits: &[Visit]) -> Option<Trend> {
    let doses = |visit: &Visit| {
        visit.additions.iter().any(|one| one.product.contains("chlor") || one.product == "cal-hypo")
    };
    let rate = |pair: &[Visit]| {
        let [later, earlier] = pair else { return None };
        let days = later.at.hours_since(earlier.at) / 24.0;
        let fall = number(earlier, "water.free_chlorine")? - number(later, "water.free_chlorine")?;
        ((0.5..=10.0).contains(&days) && !doses(earlier)).then_some(fall / days)
    };
    let rates: Vec<f64> = visits.windows(2).filter_map(rate).collect();
    if rates.len() < FEWEST {
        return None;
    }
    let many = rates.len();
    let value = median(rates)?;
    (value > 0.005).then(|| Trend {
        name: "chlorine_use",
        value,
        text: format!("Free chlorine falls by about {value:.2} mg/L a day (middle of {many} stretches without a dose)."),
        facts: vec![("trend.chlorine_use", Held::Number(value))],
    })
}

/// Rise of the filter's gauge since it was last cleaned.
fn filter_rise(visits: &[Visit], at: Moment, units: System) -> Option<Trend> {
    let cleans =
        |visit: &Visit| visit.tasks.iter().any(|task| task == "backwash" || task == "cartridge");
    let cleaned = visits.iter().find(|visit| cleans(visit))?;
    let since: Vec<Visit> = visits.iter().filter(|visit| visit.at > cleaned.at).cloned().collect();
    let points = points(&since, "filter.pressure", cleaned.at);
    let fit = robust_fit(&points).filter(|fit| fit.is_sure() && fit.slope > 0.0)?;
    let due_days = FILTER_RISE_KPA / fit.slope;
    let ahead = due_days - at.hours_since(cleaned.at) / 24.0;
    let kpa = find_unit("kPa")?;
    let week = show(fit.slope * 7.0, kpa, 1, units);
    let rise = show(FILTER_RISE_KPA, kpa, 0, units);
    let when = if ahead < 1.0 { "now".to_owned() } else { format!("in about {ahead:.0} days") };
    Some(Trend {
        name: "filter_rise",
        value: fit.slope,
        text: format!(
            "The filter's pressure rises by {week} a week since it was cleaned on {}; it reaches {rise} over the clean gauge {when}.",
            cleaned.at.time().format("%-d %B")
        ),
        facts: vec![("trend.filter_days", Held::Number(ahead.max(0.0)))],
    })
}

/// Fall of the level against computed evaporation; rain only makes the fall smaller, so it is a floor.
fn level_loss(
    base: &Base,
    visits: &[Visit],
    profile: &[crate::logbook::ProfileEntry],
    units: System,
) -> Option<Trend> {
    let rate = |pair: &[Visit]| {
        let [later, earlier] = pair else { return None };
        let days = later.at.hours_since(earlier.at) / 24.0;
        // How far it fell since the visit before, at which it was brought back to its mark.
        let fell = number(later, "water.level_drop")?;
        (0.5..=15.0).contains(&days).then_some(fell / days)
    };
    let rates: Vec<f64> = visits.windows(2).filter_map(rate).collect();
    if rates.len() < FEWEST {
        return None;
    }
    let (best, most) = evaporation(base, visits, profile)?;
    let over = count(rates.iter().filter(|rate| **rate > most).count());
    let share = over / count(rates.len());
    let many = rates.len();
    let value = median(rates)?;
    let per_day = find_unit("mm/d")?;
    let shown = |value: f64| show(value, per_day, 2, units);
    let confidence = match value > most && share >= 0.75 {
        true if share >= 0.9 && many >= 10 => "likely",
        true => "possible",
        false => "none",
    };
    let text = if confidence != "none" {
        format!(
            "The level falls by {} where evaporation explains about {} and {} at most: a leak is {confidence} ({over:.0} of {many} stretches between visits are above it).",
            shown(value),
            shown(best),
            shown(most)
        )
    } else {
        format!(
            "The level falls by {} where no rain makes up for it; evaporation explains up to {}.",
            shown(value),
            shown(most)
        )
    };
    let facts = vec![
        ("trend.level_loss", Held::Number(value)),
        ("trend.leak", Held::Word(confidence.to_owned())),
    ];
    Some(Trend { name: "level_loss", value, text, facts })
}

/// Evaporation at the middle of air and water, mm a day: best and most, by the calculator that answers use.
fn evaporation(
    base: &Base,
    visits: &[Visit],
    profile: &[crate::logbook::ProfileEntry],
) -> Option<(f64, f64)> {
    let mut state = State::new(&base.network);
    for (id, value) in super::history::of_profile(profile, &base.knowledge().vocabulary) {
        state.state(id, value, Origin::Profile);
    }
    for fact in ["air.temperature", "water.temperature"] {
        let id = base.knowledge().vocabulary.find(fact)?;
        let middle = median(visits.iter().filter_map(|visit| number(visit, fact)).collect())?;
        state.state(id, Value::Number(middle), Origin::Assumed);
    }
    // A cover only lessens it: without one is the most that evaporation explains.
    if let (Some(id), Some(def)) =
        (base.knowledge().vocabulary.find("cover.on"), base.knowledge().vocabulary.def("cover.on"))
        && def.unit().is_none()
    {
        state.state(id, Value::Flag(false), Origin::Assumed);
    }
    state.run();
    let found = state.computed().find(|(_, one)| one.gives == "figure.evaporation")?.1.clone();
    Some((found.value, found.high.unwrap_or(found.value * 1.5)))
}

fn dilution(visits: &[Visit], fact: &str, title: &str) -> Option<Trend> {
    let first = visits.last()?.at;
    let points = points(visits, fact, first);
    let fit = robust_fit(&points).filter(crate::logbook::Fit::is_sure)?;
    let month = fit.slope * 30.0;
    let way = if month < 0.0 { "falls" } else { "rises" };
    Some(Trend {
        name: "dilution",
        value: fit.slope,
        text: format!("{title} {way} by about {:.0} mg/L a month.", month.abs()),
        facts: Vec::new(),
    })
}

/// How often and how much acid went in.
fn acid_demand(visits: &[Visit]) -> Option<Trend> {
    let acid: Vec<f64> = visits
        .iter()
        .flat_map(|visit| &visit.additions)
        .filter(|one| one.product.ends_with("-acid") && one.product != "cyanuric-acid")
        .map(|one| one.amount)
        .collect();
    let days = visits.first()?.at.hours_since(visits.last()?.at) / 24.0;
    if acid.len() < FEWEST || days < 14.0 {
        return None;
    }
    let value = acid.iter().sum::<f64>() / days;
    Some(Trend {
        name: "acid_demand",
        value,
        text: format!(
            "Acid went in {} times, {:.2} (L or kg) a week on average.",
            acid.len(),
            value * 7.0
        ),
        facts: Vec::new(),
    })
}

/// Whether a value was kept as words that say so.
pub(super) fn says(visit: &Visit, fact: &str, word: &str) -> bool {
    let held = visit.readings.iter().find(|reading| reading.fact == fact);
    matches!(held.map(|reading| &reading.value), Some(Held::Word(said)) if said == word)
}
