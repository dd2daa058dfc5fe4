//! A treatment plan in words: one line each, in the order in which they are read.

use crate::facts::Value;
use crate::knowledge::Knowledge;
use crate::plan::{DosePlan, DoseReading, DoseStep};
use crate::units::{System, find_unit, show, trim_number};

/// What a line of a plan is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DoseLineKind {
    /// The water before or after.
    Water,
    /// A step.
    Step,
    /// What is left alone, and why; water to replace.
    HeldBack,
    /// What to beware of.
    Caution,
    /// What has to be known first.
    Question,
    /// What was taken for granted.
    Assumed,
}

/// One line of a plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DoseLine {
    /// What it is.
    pub kind: DoseLineKind,
    /// What it says.
    pub text: String,
}

/// A plan as lines: the water before, the steps, the water after, what is held back, cautions, questions.
#[must_use]
pub fn dose_lines(plan: &DosePlan, knowledge: &Knowledge, system: System) -> Vec<DoseLine> {
    let mut lines = Vec::new();
    let mut say = |kind, text: String| lines.push(DoseLine { kind, text });
    if !plan.before.is_empty() {
        say(DoseLineKind::Water, format!("now: {}", told(&plan.before, knowledge, system)));
    }
    for step in &plan.steps {
        say(DoseLineKind::Step, step_told(step, knowledge, system));
    }
    if plan.steps.is_empty() && plan.replace.is_empty() && plan.questions.is_empty() {
        say(DoseLineKind::Water, "Nothing to add.".to_owned());
    }
    if !plan.steps.is_empty() {
        say(DoseLineKind::Water, format!("after: {}", told(&plan.after, knowledge, system)));
        let hours = trim_number(plan.retest_h, 0);
        say(DoseLineKind::Water, knowledge.dosing.say("retest", &[("hours", &hours)]));
    }
    for replacement in &plan.replace {
        say(DoseLineKind::HeldBack, replacement.text.clone());
    }
    for held in &plan.held_back {
        let name = named(&held.product, knowledge);
        say(DoseLineKind::HeldBack, format!("{name}: {}", held.why));
    }
    for caution in &plan.cautions {
        say(DoseLineKind::Caution, caution.clone());
    }
    for need in &plan.questions {
        say(DoseLineKind::Question, format!("{} ({})", need.text, need.why));
    }
    for assumed in &plan.assumed {
        say(DoseLineKind::Assumed, assumed.clone());
    }
    lines
}

fn step_told(step: &DoseStep, knowledge: &Knowledge, system: System) -> String {
    let hours = find_unit("h").map_or_else(String::new, |h| show(step.wait_h, h, 0, system));
    format!(
        "{} {} ({}). {} Then wait {hours}; it should read {}.",
        step.amount.given,
        step.name,
        step.strength,
        step.text,
        told(&step.after, knowledge, system)
    )
}

/// A product or a reading by its plain name.
fn named<'a>(id: &'a str, knowledge: &'a Knowledge) -> &'a str {
    let fact = knowledge.vocabulary.def(id).map(|def| def.title.as_str());
    let product = knowledge.product(id).map(|product| product.name.as_str());
    fact.or(product).unwrap_or(id)
}

/// Readings in one line.
fn told(readings: &[DoseReading], knowledge: &Knowledge, system: System) -> String {
    let said = readings.iter().map(|reading| {
        let two = trim_number(reading.value, 2);
        match (reading.name, knowledge.vocabulary.def(reading.name)) {
            ("saturation_index", _) => format!("index {two}"),
            ("saturation_index_cold", _) => format!("when coldest {two}"),
            ("water.ph", _) => format!("pH {two}"),
            (_, Some(def)) => {
                format!("{} {}", def.title, def.show(Value::Number(reading.value), system))
            }
            (name, None) => format!("{name} {two}"),
        }
    });
    said.collect::<Vec<_>>().join(", ")
}
