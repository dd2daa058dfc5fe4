//! The water that a plan starts from: readings, what is taken for granted, what does not add up.

use super::{DoseNeed, DoseReading, DoseRequest};
use crate::chemistry::{BROMINE_MG_PER_MOL, CHLORINE_MG_PER_MOL, Composition, Water, WaterError};
use crate::facts::{Origin, Value};
use crate::problem::{Code, Problem};
use crate::units::{System, show, trim_number, unit};

/// Readings that a plan looks at, and their places in [`Water`].
pub(super) const READINGS: [&str; 8] = [
    "water.ph",
    "water.free_chlorine",
    "water.bromine",
    "water.total_alkalinity",
    "water.calcium_hardness",
    "water.cyanuric_acid",
    "water.salt",
    "water.borate",
];

/// A pH that stands where none is known.
const NEUTRAL_PH: f64 = 7.5;

/// The water before, as far as it is known.
#[derive(Debug, Clone)]
pub(super) struct Tested {
    /// Readings and assumptions together.
    pub water: Water,
    /// Its composition; `None` while pH or alkalinity is unknown, or the readings contradict each other.
    pub composition: Option<Composition>,
    /// Which readings were given.
    pub given: Vec<&'static str>,
    /// Combined chlorine, mg/L.
    pub combined: Option<f64>,
    /// What does not add up or is missing.
    pub questions: Vec<DoseNeed>,
    /// What was taken for granted, in words.
    pub assumed: Vec<String>,
    /// The pool's volume, L.
    pub volume_l: Option<f64>,
    /// Chlorine readings contradict each other: no chlorine is planned.
    pub chlorine_in_doubt: bool,
}

impl Tested {
    /// Whether a reading was given.
    pub fn knows(&self, name: &str) -> bool {
        self.given.contains(&name)
    }

    /// A reading's value.
    pub fn value(&self, name: &str) -> f64 {
        of_water(&self.water, name)
    }
}

/// One reading of a water, by its fact's name.
pub(super) fn of_water(water: &Water, name: &str) -> f64 {
    match name {
        "water.temperature" => water.temperature_c,
        "water.ph" => water.ph,
        "water.free_chlorine" => water.free_chlorine,
        "water.bromine" => water.bromine,
        "water.total_alkalinity" => water.total_alkalinity,
        "water.calcium_hardness" => water.calcium_hardness,
        "water.cyanuric_acid" => water.cyanuric_acid,
        "water.salt" => water.salt,
        "water.borate" => water.borate,
        _ => f64::NAN,
    }
}

/// A number that the facts hold, in its canonical unit; later ones count.
pub(super) fn number(request: &DoseRequest<'_>, name: &str) -> Option<f64> {
    let id = request.knowledge.vocabulary.find(name)?;
    let stated = request.facts.iter().rev().filter(|fact| !fact.supposed && fact.doubt.is_none());
    stated.filter(|fact| fact.id == id).find_map(|fact| fact.value.number())
}

/// Reads the water from the facts.
///
/// # Errors
/// Every number that cannot be, with its bounds.
pub(super) fn tested(request: &DoseRequest<'_>) -> Result<Tested, Vec<Problem>> {
    refuse_impossible(request)?;
    let mut assumed = Vec::new();
    let mut value = |name: &str| {
        number(request, name).unwrap_or_else(|| {
            let words = &request.knowledge.vocabulary;
            let found =
                request.knowledge.dosing.assumed.iter().find(|a| words.name(a.fact) == name);
            let Some(found) = found else { return 0.0 };
            let def = words.get(found.fact);
            let shown = def.map(|def| def.show(Value::Number(found.value), request.system));
            let title = def.map_or(name, |def| def.title.as_str());
            assumed.push(format!("{title} {}: {}", shown.unwrap_or_default(), found.why));
            found.value
        })
    };
    let bromine = bromine_read(request);
    let water = Water {
        temperature_c: value("water.temperature"),
        // Where it is unknown nothing rests on it; the totals that are known still have to be water.
        ph: number(request, "water.ph").unwrap_or(NEUTRAL_PH),
        total_alkalinity: value("water.total_alkalinity"),
        calcium_hardness: value("water.calcium_hardness"),
        cyanuric_acid: value("water.cyanuric_acid"),
        salt: value("water.salt"),
        borate: value("water.borate"),
        sulfate: 0.0,
        free_chlorine: value("water.free_chlorine"),
        bromine: bromine.as_ref().map_or(0.0, |(value, _)| *value),
    };
    let in_bromine = bromine.is_some();
    assumed.extend(bromine.and_then(|(_, told)| told));
    let known = |name: &&str| match *name {
        "water.bromine" => in_bromine,
        // Read in a bromine pool, it was the bromine.
        "water.free_chlorine" if in_bromine => false,
        name => number(request, name).is_some(),
    };
    let given: Vec<&'static str> = READINGS.into_iter().filter(known).collect();
    let mut questions = missing(request, &given);
    if super::goal::bromine(request) && !in_bromine {
        questions.push(asked(request, "water.bromine"));
    }
    let chlorine_in_doubt = chlorine_doubts(request, &mut questions);
    let ready = given.contains(&"water.ph") && given.contains(&"water.total_alkalinity");
    let composition = if ready { composition(&water, request, &mut questions) } else { None };
    let volume_l = number(request, "pool.volume");
    if volume_l.is_none() {
        questions.push(asked(request, "pool.volume"));
    }
    Ok(Tested {
        water,
        composition,
        given,
        combined: combined(request),
        questions,
        assumed,
        volume_l,
        chlorine_in_doubt,
    })
}

/// Combined chlorine as it was read, or what total and free leave for it.
fn combined(request: &DoseRequest<'_>) -> Option<f64> {
    number(request, "water.combined_chlorine").or_else(|| {
        let total = number(request, "water.total_chlorine")?;
        Some(total - number(request, "water.free_chlorine")?).filter(|c| *c >= 0.0)
    })
}

/// Bromine as it was read, or as a chlorine test of a bromine pool showed it, and what is said of that.
fn bromine_read(request: &DoseRequest<'_>) -> Option<(f64, Option<String>)> {
    if let Some(value) = number(request, "water.bromine") {
        return Some((value, None));
    }
    let free = number(request, "water.free_chlorine").filter(|_| super::goal::bromine(request))?;
    let value = free / CHLORINE_MG_PER_MOL * BROMINE_MG_PER_MOL;
    let said = |name: &str, value| super::hold::shown(request, name, value);
    let fill =
        [("value", said("water.bromine", value)), ("free", said("water.free_chlorine", free))];
    let fill = fill.each_ref().map(|(name, value)| (*name, value.as_str()));
    Some((value, Some(request.knowledge.dosing.say("bromine_by_chlorine", &fill))))
}

/// Numbers outside of what the vocabulary calls possible are refused with the reason.
fn refuse_impossible(request: &DoseRequest<'_>) -> Result<(), Vec<Problem>> {
    let words = &request.knowledge.vocabulary;
    let looked_at = |name: &str| name.starts_with("water.") || name == "pool.volume";
    let mut problems = Vec::new();
    let wanted = request.wish.to.iter().map(|(id, value)| (*id, *value));
    let stated = request.facts.iter().filter(|fact| !fact.supposed && fact.doubt.is_none());
    let numbers = stated.filter_map(|fact| Some((fact.id, fact.value.number()?)));
    for (id, value) in numbers.chain(wanted) {
        let Some(def) = words.get(id).filter(|def| looked_at(&def.name)) else { continue };
        let (Some((low, high)), Some(canonical)) = (def.possible, def.unit()) else { continue };
        if (low..=high).contains(&value) {
            continue;
        }
        let shown = |n: f64| match request.system {
            System::Si => format!("{} {}", trim_number(n, 2), unit(canonical).name),
            System::Us => show(n, canonical, 1, System::Us),
        };
        let message = format!("{} of {} cannot be", def.title, shown(value).trim());
        let help = format!("it lies between {} and {}", shown(low).trim(), shown(high).trim());
        problems.push(Problem::error(Code::Value, None, message).help(help));
    }
    if problems.is_empty() { Ok(()) } else { Err(problems) }
}

/// A question of the vocabulary.
pub(super) fn asked(request: &DoseRequest<'_>, name: &str) -> DoseNeed {
    let def = request.knowledge.vocabulary.def(name);
    DoseNeed {
        fact: name.to_owned(),
        text: def.map_or_else(String::new, |def| def.ask.clone()),
        why: def.map_or_else(String::new, |def| def.why.clone()),
    }
}

/// pH and alkalinity decide everything; calcium and temperature decide the index; a value to reach needs to
/// know from where.
fn missing(request: &DoseRequest<'_>, given: &[&str]) -> Vec<DoseNeed> {
    let known = |name: &str| given.contains(&name) || number(request, name).is_some();
    let words = &request.knowledge.vocabulary;
    let wants = |list: &[(crate::facts::FactId, f64)], name: &str| {
        list.iter().any(|(fact, _)| words.name(*fact) == name)
    };
    let balance = ["water.ph", "water.total_alkalinity"];
    let of_balance = |name: &&str| {
        balance.contains(name) || *name == "water.temperature" || *name == "water.calcium_hardness"
    };
    // Chlorine, calcium, stabilizer and salt go by the volume alone, once it is said where from and where to.
    let alone = request.wish.aims()
        && balance.iter().all(|name| !wants(&request.wish.to, name))
        && !wants(&request.wish.by, "water.ph");
    READINGS
        .iter()
        .chain(&["water.temperature"])
        .filter(|name| !known(name))
        .filter(|name| wants(&request.wish.to, name) || (of_balance(name) && !alone))
        .map(|name| asked(request, name))
        .collect()
}

/// Free, combined and total chlorine that do not add up are asked about.
fn chlorine_doubts(request: &DoseRequest<'_>, questions: &mut Vec<DoseNeed>) -> bool {
    let (free, total) =
        (number(request, "water.free_chlorine"), number(request, "water.total_chlorine"));
    let combined = number(request, "water.combined_chlorine");
    let (Some(free), Some(total)) = (free, total) else { return false };
    let said = |n: f64| trim_number(n, 1);
    let slack = request.knowledge.dosing.chlorine_slack;
    let text = match combined {
        Some(combined) if (total - free - combined).abs() > slack => format!(
            "Free {} and combined {} make {}, but total reads {}. Which one is wrong?",
            said(free),
            said(combined),
            said(free + combined),
            said(total)
        ),
        _ if free > total + slack => format!(
            "Free chlorine {} is more than total {}, which cannot be. Would you test both again?",
            said(free),
            said(total)
        ),
        _ => return false,
    };
    questions.push(DoseNeed {
        fact: "water.total_chlorine".to_owned(),
        text,
        why: "total is free and combined together; no chlorine is planned until they agree"
            .to_owned(),
    });
    true
}

fn composition(
    water: &Water,
    request: &DoseRequest<'_>,
    questions: &mut Vec<DoseNeed>,
) -> Option<Composition> {
    match Composition::of(water) {
        Ok(composition) => Some(composition),
        Err(WaterError::AlkalinityHeldElsewhere { total_alkalinity, held }) => {
            questions.push(DoseNeed {
                fact: "water.total_alkalinity".to_owned(),
                text: format!(
                    "Alkalinity {total_alkalinity:.0} does not go with cyanuric acid {:.0} at pH {}: \
                     that alone would hold {held:.0}. Would you test both again?",
                    water.cyanuric_acid,
                    trim_number(water.ph, 2),
                ),
                why: "the readings contradict each other, so nothing is planned from them".to_owned(),
            });
            None
        }
        Err(_) => {
            questions.push(asked(request, "water.ph"));
            None
        }
    }
}

/// The readings of a water that a plan shows: those that were given, and the index where it is defined.
pub(super) fn readings(
    water: &Water,
    shown: &[&'static str],
    index: Option<f64>,
    index_cold: Option<f64>,
) -> Vec<DoseReading> {
    let mut all: Vec<DoseReading> = READINGS
        .into_iter()
        .filter(|name| shown.contains(name))
        .map(|name| DoseReading { name, value: of_water(water, name) })
        .collect();
    let indices = [("saturation_index", index), ("saturation_index_cold", index_cold)];
    let defined = indices.into_iter().filter_map(|(name, value)| {
        Some(DoseReading { name, value: value.filter(|v| v.is_finite())? })
    });
    all.extend(defined);
    all
}

/// Whether a fact was said by somebody rather than taken for granted.
pub(super) fn said(request: &DoseRequest<'_>, name: &str) -> bool {
    request.knowledge.vocabulary.find(name).is_some_and(|id| {
        request.facts.iter().any(|fact| fact.id == id && fact.origin != Origin::Assumed)
    })
}
