//! Treatment plans: what to add, how much, in which order, and what the water reads afterwards.
//!
//! A plan is the smallest intervention that brings the readings to their ranges and the saturation index into
//! its band, at today's temperature and at the coldest to come: [`search`] finds amounts, [`amount`] rounds
//! them to what can be measured, [`schedule`] cuts them into steps and predicts each one.

mod additions;
mod amount;
mod balance;
mod band;
mod goal;
mod hold;
mod lasting;
mod mix;
mod pick;
mod plan;
mod reading;
mod schedule;
mod search;
mod size;
mod volume;

pub use additions::{Addition, parse_addition};
pub use amount::{Amount, measured_out};
pub use plan::plan_dose;
pub use size::{SizeSaid, size_said};
pub use volume::parse_size;

use crate::facts::{Fact, FactId};
use crate::knowledge::Knowledge;
use crate::units::System;

/// What is wanted of a plan, beside the facts.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct DoseWish {
    /// Values to reach; with none of these and no changes, the ranges that apply.
    pub to: Vec<(FactId, f64)>,
    /// Changes to make, whatever the readings are now.
    pub by: Vec<(FactId, f64)>,
    /// Products to add; where there are any, nothing is planned and only the water after is predicted.
    pub add: Vec<Addition>,
    /// Products that come before others of their kind, and their strengths.
    pub prefer: Vec<Preferred>,
    /// The tests were strips: they tell less apart.
    pub strips: bool,
    /// The coldest that the water is expected to get, °C; the knowledge's if unknown.
    pub coldest_c: Option<f64>,
    /// Predict the water after so many days open to the air; closed if none.
    pub days: Option<f64>,
    /// Rain that fell or is to fall, mm, mixed in first.
    pub rain_mm: Option<f64>,
    /// A share of the water, 0 to 1, replaced first.
    pub replace: Option<f64>,
    /// Readings of the fill water.
    pub fill: Vec<(FactId, f64)>,
}

/// A product that is to be used before others of its kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Preferred {
    /// Its id.
    pub product: String,
    /// Its strength, per cent, age taken off; the usual one if none.
    pub percent: Option<f64>,
}

impl DoseWish {
    /// Whether readings are to go to, or by, what was said, rather than to their ranges.
    #[must_use]
    pub const fn aims(&self) -> bool {
        !(self.to.is_empty() && self.by.is_empty())
    }
}

/// What is asked of a plan.
#[derive(Debug, Clone)]
pub struct DoseRequest<'a> {
    /// The knowledge.
    pub knowledge: &'a Knowledge,
    /// What is known of the pool and its water; supposed and doubted facts are passed over.
    pub facts: &'a [Fact],
    /// What is wanted.
    pub wish: DoseWish,
    /// Units of the amounts.
    pub system: System,
}

/// A reading, measured or predicted: a fact's name, or `saturation_index`, and its value.
#[derive(Debug, Clone, PartialEq)]
pub struct DoseReading {
    /// `water.ph`, …, or `saturation_index` and `saturation_index_cold`.
    pub name: &'static str,
    /// In the fact's canonical unit.
    pub value: f64,
}

/// One step of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct DoseStep {
    /// Its place, from 1.
    pub order: usize,
    /// The product's id.
    pub product: String,
    /// The product's name.
    pub name: String,
    /// Which portion of the product it is, from 1.
    pub portion: u32,
    /// Portions of the product in all.
    pub portions: u32,
    /// Its strength, such as `31.45 %`.
    pub strength: String,
    /// How much.
    pub amount: Amount,
    /// How to add it, and what to beware of.
    pub text: String,
    /// Hours to wait after it.
    pub wait_h: f64,
    /// What the water reads then.
    pub after: Vec<DoseReading>,
}

/// Something that the plan does not do, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct HeldBack {
    /// The product, or the reading, that is left.
    pub product: String,
    /// Why.
    pub why: String,
    /// Whether the plan wants it, and nobody has it at hand.
    pub missing: bool,
}

/// Something that has to be known first, or does not add up.
#[derive(Debug, Clone, PartialEq)]
pub struct DoseNeed {
    /// The fact.
    pub fact: String,
    /// The question.
    pub text: String,
    /// Why it is asked.
    pub why: String,
}

/// Water to replace where nothing that can be added helps.
#[derive(Debug, Clone, PartialEq)]
pub struct Replacement {
    /// The reading that calls for it.
    pub fact: String,
    /// Share of the pool, 0 to 1, with fill water that holds none of it.
    pub share: f64,
    /// Litres; `None` without a volume.
    pub litres: Option<f64>,
    /// How, and what to beware of.
    pub text: String,
}

/// A treatment plan, or the forecast of additions.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DosePlan {
    /// The water before.
    pub before: Vec<DoseReading>,
    /// The water once rain or fill water has mixed in, before anything is added.
    pub mixed: Vec<DoseReading>,
    /// What to add, in order.
    pub steps: Vec<DoseStep>,
    /// The water after.
    pub after: Vec<DoseReading>,
    /// What is left alone, and why.
    pub held_back: Vec<HeldBack>,
    /// Water to replace.
    pub replace: Vec<Replacement>,
    /// What to beware of.
    pub cautions: Vec<String>,
    /// Sections that explain it.
    pub cites: Vec<String>,
    /// What has to be known first, or does not add up.
    pub questions: Vec<DoseNeed>,
    /// What else is worth knowing: how long a dose lasts.
    pub remarks: Vec<String>,
    /// What was taken for granted.
    pub assumed: Vec<String>,
    /// The pool's volume, L; without one, amounts are for `each_l`.
    pub volume_l: Option<f64>,
    /// Litres that the amounts are for.
    pub each_l: f64,
    /// Hours until the next test.
    pub retest_h: f64,
}
