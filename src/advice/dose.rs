//! A treatment plan in words: one line each, in the order in which they are read.

use crate::facts::Value;
use crate::knowledge::Knowledge;
use crate::plan::{DosePlan, DoseReading, DoseStep};
use crate::units::{System, show_named, trim_number};

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
        say(
            DoseLineKind::Water,
            format!("now: {}", readings_line(&plan.before, knowledge, system)),
        );
    }
    if !plan.mixed.is_empty() {
        let mixed = readings_line(&plan.mixed, knowledge, system);
        say(DoseLineKind::Water, format!("mixed in: {mixed}"));
    }
    for step in &plan.steps {
        say(DoseLineKind::Step, step_told(step, knowledge, system));
    }
    if plan.steps.is_empty() && plan.replace.is_empty() && plan.questions.is_empty() {
        say(DoseLineKind::Water, knowledge.dosing.say("no_dose", &[]));
    }
    if !plan.steps.is_empty() {
        if !plan.after.is_empty() {
            say(
                DoseLineKind::Water,
                format!("after: {}", readings_line(&plan.after, knowledge, system)),
            );
        }
        let hours = trim_number(plan.retest_h, 0);
        say(DoseLineKind::Water, knowledge.dosing.say("retest", &[("hours", &hours)]));
    }
    for remark in &plan.remarks {
        say(DoseLineKind::Water, remark.clone());
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
    let hours = show_named(step.wait_h, "h", 0, system);
    let reads = readings_line(&step.after, knowledge, system);
    let then = if reads.is_empty() { String::new() } else { format!("; it should read {reads}") };
    // How to add it is said once.
    let (n, of) = (step.portion.to_string(), step.portions.to_string());
    let again = knowledge.dosing.say("again", &[("n", &n), ("of", &of)]);
    let how = if step.portion > 1 { &again } else { &step.text };
    format!(
        "{} {} ({}). {how} Then wait {hours}{then}.",
        step.amount.given, step.name, step.strength
    )
}

/// A product or a reading by its plain name.
fn named<'a>(id: &'a str, knowledge: &'a Knowledge) -> &'a str {
    let fact = knowledge.vocabulary.def(id).map(|def| def.title.as_str());
    let product = knowledge.product(id).map(|product| product.name.as_str());
    fact.or(product).unwrap_or(id)
}

/// Readings in one line, as a plan says them.
#[must_use]
pub fn readings_line(readings: &[DoseReading], knowledge: &Knowledge, system: System) -> String {
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
