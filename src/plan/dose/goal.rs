//! What a plan aims at: the ranges that apply, or the values that were asked for.

use super::reading::{READINGS, Tested, number};
use super::{DoseRequest, HeldBack};
use crate::facts::{FactId, Value};

/// What one reading should come to.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Goal {
    /// The reading.
    pub name: &'static str,
    /// Its fact.
    pub fact: FactId,
    /// The range, mg/L or pH.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
    /// Beyond this the reading is far too high.
    pub very_high: f64,
    /// Where it is to go: set where it is out of range by more than the test's error, or asked for.
    pub aim: Option<f64>,
    /// One notch of it.
    pub scale: f64,
    /// What the test can tell apart.
    pub resolution: f64,
    /// It was asked for by name.
    pub asked: bool,
}

/// The goals of all readings that were given, and what is left alone for the test's error.
pub(super) fn goals(request: &DoseRequest<'_>, tested: &Tested) -> (Vec<Goal>, Vec<HeldBack>) {
    let mut held = Vec::new();
    let goals = READINGS
        .into_iter()
        .filter(|name| tested.knows(name) || changed(request, name))
        .filter_map(|name| goal(request, tested, name, &mut held))
        .collect();
    (goals, held)
}

fn goal(
    request: &DoseRequest<'_>,
    tested: &Tested,
    name: &'static str,
    held: &mut Vec<HeldBack>,
) -> Option<Goal> {
    let fact = request.knowledge.vocabulary.find(name)?;
    let resolution = request.knowledge.dosing.resolution(fact);
    let error = resolution.map_or(0.0, |r| if request.wish.strips { r.strips } else { r.drops });
    let scale = resolution.map_or(1.0, |r| r.scale);
    let blank = Goal {
        name,
        fact,
        low: f64::NEG_INFINITY,
        high: f64::INFINITY,
        very_high: f64::INFINITY,
        aim: None,
        scale,
        resolution: error,
        asked: false,
    };
    if request.wish.aims() {
        let of = |list: &[(FactId, f64)]| list.iter().find(|(id, _)| *id == fact).map(|(_, v)| *v);
        let by = || of(&request.wish.by).map(|by| tested.value(name) + by);
        let wanted = of(&request.wish.to).or_else(by)?;
        let aim = Some(wanted);
        return Some(Goal { low: wanted, high: wanted, aim, asked: true, ..blank });
    }
    if name == "water.free_chlorine" && bromine(request) {
        return None;
    }
    if name == "water.borate" || (name == "water.salt" && !salt_cell(request)) {
        return None;
    }
    let range = request.knowledge.range(fact, surface(request))?;
    let [_, low, high, very_high] = range.edges;
    let value = tested.value(name);
    let off = (low - value).max(value - high);
    if off > 0.0 && off <= error + 1e-9 {
        let words = &request.knowledge.vocabulary;
        let def = words.get(fact);
        let shown = def.map(|def| def.show(Value::Number(value), request.system));
        let title = def.map_or(name, |def| def.title.as_str());
        let fill = [("title", title), ("value", &shown.unwrap_or_default())];
        let why = request.knowledge.dosing.say("within_error", &fill);
        held.push(HeldBack { product: name.to_owned(), why, missing: false });
    }
    let middle = || range.aim.unwrap_or_else(|| 0.5 * (low.max(0.0) + high.min(1e6)));
    let mut aim = (off > error + 1e-9).then(middle);
    if name == "water.free_chlorine" {
        aim = chlorine_aim(request, tested, (value, high), aim);
    }
    // What is left alone for the test's error must not be pulled back by the way.
    let (low, high) = if aim.is_none() { (low.min(value), high.max(value)) } else { (low, high) };
    Some(Goal { low, high, very_high, aim, ..blank })
}

/// In warm water chlorine is taken to the warm aim.
fn chlorine_aim(
    request: &DoseRequest<'_>,
    tested: &Tested,
    (value, high): (f64, f64),
    aim: Option<f64>,
) -> Option<f64> {
    let dosing = &request.knowledge.dosing;
    let warm = tested.water.temperature_c >= dosing.warm_from_c - 0.05;
    if warm && value < dosing.warm_chlorine {
        return Some(dosing.warm_chlorine);
    }
    // By its own log it may need more to last.
    let least = super::lasting::lasting(request).filter(|least| value < *least);
    match (aim, least) {
        (Some(aim), Some(least)) => Some(aim.max(least.min(high))),
        _ => aim,
    }
}

/// Whether a change of a reading was asked for, whatever it is now.
fn changed(request: &DoseRequest<'_>, name: &str) -> bool {
    let id = request.knowledge.vocabulary.find(name);
    request.wish.by.iter().any(|(fact, _)| Some(*fact) == id)
}

/// Whether the pool is kept by bromine.
pub(super) fn bromine(request: &DoseRequest<'_>) -> bool {
    choice(request, "sanitizer.method") == Some("bromine")
        || number(request, "water.bromine").is_some()
}

fn salt_cell(request: &DoseRequest<'_>) -> bool {
    choice(request, "sanitizer.method") == Some("salt-cell")
}

/// The word of a fact that is one of some.
pub(super) fn choice<'a>(request: &DoseRequest<'a>, name: &str) -> Option<&'a str> {
    let words = &request.knowledge.vocabulary;
    let id = words.find(name)?;
    let fact =
        request.facts.iter().rev().find(|f| f.id == id && !f.supposed && f.doubt.is_none())?;
    let at = fact.value.choices()?.iter().next()?;
    words.get(id)?.values().get(at).map(String::as_str)
}

/// The place of the pool's surface among the surfaces.
pub(super) fn surface(request: &DoseRequest<'_>) -> Option<usize> {
    let word = choice(request, "pool.surface")?;
    request.knowledge.vocabulary.def("pool.surface")?.choice(word)
}

/// The coldest that the water is expected to get, °C: no warmer than it is.
pub(super) fn coldest(request: &DoseRequest<'_>, now_c: f64) -> f64 {
    let said = request.wish.coldest_c.unwrap_or(request.knowledge.dosing.coldest_c);
    said.max(0.0).min(now_c)
}

/// The combined chlorine goal: free chlorine that would clear it, if it is above its range.
pub(super) fn breakpoint(request: &DoseRequest<'_>, tested: &Tested) -> Option<(f64, f64)> {
    let combined = tested.combined?;
    let fact = request.knowledge.vocabulary.find("water.combined_chlorine")?;
    let range = request.knowledge.range(fact, None)?;
    let [_, _, high, _] = range.edges;
    number(request, "water.free_chlorine")?;
    (combined > high + 1e-9)
        .then_some((combined, combined * request.knowledge.dosing.breakpoint_ratio))
}
