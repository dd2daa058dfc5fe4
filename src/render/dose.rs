//! A treatment plan, as text and as JSON.

use super::json::line;
use super::layout::Sheet;
use super::night::rounded;
use super::style::{Role, View};
use crate::advice::{DoseLineKind, dose_lines};
use crate::knowledge::Knowledge;
use crate::plan::{Amount, DosePlan, DoseReading, DoseStep};
use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};
use std::io::{self, Write};

/// Writes a plan for a person.
///
/// # Errors
/// The writer's.
pub fn dose_text(
    out: &mut dyn Write,
    plan: &DosePlan,
    knowledge: &Knowledge,
    view: View,
) -> io::Result<()> {
    let mut sheet = Sheet::new(out, view);
    let mut under = None;
    let mut number = 0;
    for said in dose_lines(plan, knowledge, view.units) {
        let heading = match said.kind {
            DoseLineKind::Water => None,
            DoseLineKind::Step => Some((Role::Soon, "ADD, IN THIS ORDER")),
            DoseLineKind::HeldBack => Some((Role::Heading, "LEFT ALONE")),
            DoseLineKind::Caution => Some((Role::Caution, "TAKE CARE")),
            DoseLineKind::Question => Some((Role::Question, "TO KNOW FIRST")),
            DoseLineKind::Assumed => Some((Role::Aside, "TAKEN FOR GRANTED")),
        };
        if under != Some(said.kind) {
            under = Some(said.kind);
            match heading {
                Some((role, heading)) => sheet.heading(role, heading)?,
                None => sheet.gap(),
            }
        }
        let mark = match said.kind {
            DoseLineKind::Water => String::new(),
            DoseLineKind::Step => {
                number += 1;
                format!("{number:>2}. ")
            }
            DoseLineKind::Caution => " !  ".to_owned(),
            DoseLineKind::Question => " ?  ".to_owned(),
            DoseLineKind::HeldBack | DoseLineKind::Assumed => " -  ".to_owned(),
        };
        sheet.paragraph(&mark, &[(Role::Plain, &said.text)])?;
    }
    if !plan.cites.is_empty() {
        sheet.gap();
        let cited = format!("See {}.", plan.cites.join(", "));
        sheet.paragraph("", &[(Role::Aside, &cited)])?;
    }
    Ok(())
}

/// Writes a plan as one line of JSON, `brumal.dose/1`.
///
/// # Errors
/// The writer's.
pub fn dose_json(out: &mut dyn Write, plan: &DosePlan) -> io::Result<()> {
    line(out, &Shape::of(plan))
}

/// Readings as an object, rounded to what the computation can tell apart.
struct Readings<'a>(&'a [DoseReading]);

impl Serialize for Readings<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.0.len()))?;
        for reading in self.0 {
            map.serialize_entry(reading.name, &rounded(reading.value, 4))?;
        }
        map.end()
    }
}

#[derive(Serialize)]
struct Shape<'a> {
    schema: &'static str,
    before: Readings<'a>,
    steps: Vec<Step<'a>>,
    after: Readings<'a>,
    held_back: Vec<Held<'a>>,
    replace: Vec<Replace<'a>>,
    cautions: Vec<Caution<'a>>,
    cites: &'a [String],
    questions: Vec<Question<'a>>,
    assumed: &'a [String],
    volume: Option<f64>,
    amounts_for: f64,
    retest_h: f64,
}

#[derive(Serialize)]
struct Step<'a> {
    order: usize,
    product: &'a str,
    strength: &'a str,
    amount: Measured,
    given: &'a str,
    text: &'a str,
    wait_h: f64,
    after: Readings<'a>,
}

#[derive(Serialize)]
struct Measured {
    value: f64,
    unit: &'static str,
}

#[derive(Serialize)]
struct Held<'a> {
    product: &'a str,
    why: &'a str,
}

#[derive(Serialize)]
struct Replace<'a> {
    fact: &'a str,
    share: f64,
    litres: Option<f64>,
    text: &'a str,
}

#[derive(Serialize)]
struct Caution<'a> {
    id: String,
    text: &'a str,
    cites: [&'a str; 0],
}

#[derive(Serialize)]
struct Question<'a> {
    fact: &'a str,
    text: &'a str,
    why: &'a str,
}

impl<'a> Shape<'a> {
    fn of(plan: &'a DosePlan) -> Self {
        let held = plan.held_back.iter();
        let replace = plan.replace.iter();
        let cautions = plan.cautions.iter().enumerate();
        let questions = plan.questions.iter();
        Self {
            schema: "brumal.dose/1",
            before: Readings(&plan.before),
            steps: plan.steps.iter().map(step).collect(),
            after: Readings(&plan.after),
            held_back: held.map(|h| Held { product: &h.product, why: &h.why }).collect(),
            replace: replace
                .map(|r| Replace {
                    fact: &r.fact,
                    share: rounded(r.share, 4),
                    litres: r.litres.map(|litres| rounded(litres, 0)),
                    text: &r.text,
                })
                .collect(),
            cautions: cautions
                .map(|(n, text)| Caution { id: format!("dose-{}", n + 1), text, cites: [] })
                .collect(),
            cites: &plan.cites,
            questions: questions
                .map(|q| Question { fact: &q.fact, text: &q.text, why: &q.why })
                .collect(),
            assumed: &plan.assumed,
            volume: plan.volume_l,
            amounts_for: rounded(plan.each_l, 1),
            retest_h: plan.retest_h,
        }
    }
}

fn step(step: &DoseStep) -> Step<'_> {
    let Amount { value, unit, given } = &step.amount;
    Step {
        order: step.order,
        product: &step.product,
        strength: &step.strength,
        amount: Measured { value: rounded(*value, 5), unit },
        given,
        text: &step.text,
        wait_h: step.wait_h,
        after: Readings(&step.after),
    }
}
