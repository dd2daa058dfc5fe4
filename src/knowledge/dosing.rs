//! How treatment plans are made: steps, bands, what is assumed, what a test can tell apart.

mod weigh;

pub use weigh::{ChlorineWeights, Measure, SearchWeights};

use super::asking::{Asking, read_asking};
use super::document::{Reader, Text};
use super::named::named;
use super::product::Form;
use super::quantity::measured;
use super::vocabulary::Vocabulary;
use super::wording::worded;
use crate::facts::{FactId, Value};
use crate::problem::{Code, Problem};
use crate::units::unit;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use weigh::{read_chlorine, read_measure, read_search};

/// The settings of treatment plans.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Dosing {
    /// The most that pH may move in one step.
    pub ph_at_once: f64,
    /// How much warmer than the pool the wall of a heater's exchanger is, °C.
    pub exchanger_rise_c: f64,
    /// Kinds of heater that have one.
    pub exchanger_heaters: Vec<String>,
    /// Where one change alone stops mending the index.
    pub mend: MendLimits,
    /// Less loss of chlorine a day than this a log does not tell, mg/L.
    pub chlorine_loss_tells: f64,
    /// The coldest that the water is expected to get, °C.
    pub coldest_c: f64,
    /// From this temperature on the warm chlorine aim holds, °C.
    pub warm_from_c: f64,
    /// The warm chlorine aim, mg/L.
    pub warm_chlorine: f64,
    /// Amounts are for so many litres where the volume is unknown (US).
    pub each_us_l: f64,
    /// Amounts are for so many litres where the volume is unknown (SI).
    pub each_si_l: f64,
    /// Days in which half of the excess CO2 leaves.
    pub carbon_dioxide_half_life_d: f64,
    /// The most water replaced in one go, per cent.
    pub replace_at_once_percent: f64,
    /// Hours until the retest after the last step.
    pub retest_h: f64,
    /// Free chlorine that clears one of combined.
    pub breakpoint_ratio: f64,
    /// Below this, clearing combined chlorine is left for a milder spell, °C.
    pub breakpoint_from_c: f64,
    /// Where acid for the alkalinity alone stops.
    pub ph_floor: f64,
    /// In water colder than this acid goes in halves, °C.
    pub acid_halves_below_c: f64,
    /// A move of pH by acid that is let in one portion in cold water.
    pub acid_halves_over: f64,
    /// Portions of one product that a plan lists.
    pub most_portions: u32,
    /// How far free and combined chlorine may miss the total, mg/L.
    pub chlorine_slack: f64,
    /// Average depth of a pool of unknown area, m.
    pub average_depth_m: f64,
    /// Days that a dose of chlorine is to last where a log bears out the loss.
    pub chlorine_lasts_d: f64,
    /// What free chlorine is never to fall below, mg/L.
    pub chlorine_least: f64,
    /// How far published constants differ in the index.
    pub index_doubt: f64,
    /// Below this the chlorine models extrapolate, °C.
    pub chlorine_models_from_c: f64,
    /// Cyanuric acid that may be there though nobody measured it, mg/L.
    pub cyanuric_unmeasured: f64,
    /// Less than this is no pool, L.
    pub pool_least_l: f64,
    /// More than this is no pool, L.
    pub pool_most_l: f64,
    /// How the one chlorine of a plan is chosen.
    pub chlorine: ChlorineWeights,
    /// How the search weighs.
    pub search: SearchWeights,
    /// What can be measured.
    pub measures: Vec<Measure>,
    /// Fill water where nobody tested it.
    pub fill: Vec<(FactId, f64)>,
    /// How messages ask.
    pub asking: Asking,
    /// What is taken for granted.
    pub assumed: Vec<Assumed>,
    /// What tests can tell apart.
    pub resolutions: Vec<Resolution>,
    /// Shapes of pools.
    pub shapes: Vec<Shape>,
    /// What a plan says, by key.
    pub words: BTreeMap<String, String>,
}

/// How far one change alone is followed when it is asked what mends the index.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub struct MendLimits {
    /// Least and most pH.
    pub ph: (f64, f64),
    /// Most alkalinity, mg/L.
    pub alkalinity_most: f64,
    /// Least and most calcium hardness, mg/L.
    pub calcium: (f64, f64),
}

/// A value taken for granted where none was given.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Assumed {
    /// Which fact.
    pub fact: FactId,
    /// The value.
    pub value: f64,
    /// Why, in words.
    pub why: String,
}

/// What a test can tell apart.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Resolution {
    /// Of which fact.
    pub fact: FactId,
    /// Drop tests.
    pub drops: f64,
    /// Test strips.
    pub strips: f64,
    /// A change that a technician would call one notch.
    pub scale: f64,
}

/// A shape of pool.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Shape {
    /// Its name.
    pub name: String,
    /// What people call it.
    pub words: Vec<String>,
    /// Volume over length × width × average depth.
    pub factor: f64,
}

impl Dosing {
    /// The resolution of a fact.
    #[must_use]
    pub fn resolution(&self, fact: FactId) -> Option<&Resolution> {
        self.resolutions.iter().find(|resolution| resolution.fact == fact)
    }

    /// A wording with its `{names}` filled in; the key itself where it is missing.
    #[must_use]
    pub fn say(&self, key: &str, fill: &[(&str, &str)]) -> String {
        worded(&self.words, key, fill)
    }

    /// A shape by its name.
    #[must_use]
    pub fn shape(&self, name: &str) -> Option<&Shape> {
        self.shapes
            .iter()
            .find(|shape| shape.name == name || shape.words.iter().any(|word| word == name))
    }

    /// How a form is measured in a unit of some dimension: the one of the two systems that `us` names.
    #[must_use]
    pub fn measure(&self, form: Form, us: bool) -> Option<&Measure> {
        self.measures.iter().find(|measure| {
            let ounces = unit(measure.unit).name.contains("oz");
            measure.form == form && ounces == us
        })
    }
}

/// Reads `dosing.toml`.
pub(super) fn read_dosing(top: &Reader<'_, '_>, words: &Vocabulary) -> Dosing {
    let mut dosing = top.table("plan").map(|plan| read_plan(&plan)).unwrap_or_default();
    dosing.search = top.table("search").map(|table| read_search(&table)).unwrap_or_default();
    dosing.chlorine = top.table("chlorine").map(|table| read_chlorine(&table)).unwrap_or_default();
    dosing.measures = top.tables("measure").iter().filter_map(read_measure).collect();
    dosing.fill = top.table("fill").map(|table| read_fill(&table, words)).unwrap_or_default();
    dosing.asking = top.table("asking").map(|table| read_asking(&table, words)).unwrap_or_default();
    dosing.assumed =
        top.tables("assume").iter().filter_map(|table| read_assumed(table, words)).collect();
    dosing.resolutions =
        top.tables("resolution").iter().filter_map(|table| read_resolution(table, words)).collect();
    dosing.shapes = top.tables("shape").iter().filter_map(read_shape).collect();
    dosing.words = top.table("words").map(|table| read_words(&table)).unwrap_or_default();
    dosing
}

/// Every wording that plans use; one that is missing is reported.
fn read_words(table: &Reader<'_, '_>) -> BTreeMap<String, String> {
    const KEYS: [&str; 54] = [
        "within_error",
        "not_on_hand",
        "stabilized",
        "hardens",
        "slow_cold",
        "other_chlorine",
        "cyanuric_cold",
        "combined_cold",
        "chlorine_high",
        "chlorine_doubt",
        "alkalinity_high",
        "low_not_reached",
        "later",
        "replace",
        "replace_caution",
        "step",
        "portion",
        "again",
        "said_temperature",
        "more",
        "lasts",
        "lasts_now",
        "fill_unknown",
        "rain_depth",
        "bromine",
        "bromine_bank",
        "bromine_by_chlorine",
        "no_dose",
        "report_step",
        "report_portions",
        "report_own",
        "report_own_portions",
        "report_same",
        "report_none",
        "report_none_yet",
        "report_missing",
        "none_needed",
        "asked_not_on_hand",
        "other_instead",
        "counted_from_zero",
        "asked_outside",
        "unread",
        "volume_by_shape",
        "retest",
        "index_band",
        "index_band_unknown",
        "index_band_heater",
        "no_volume",
        "label",
        "hours_after",
        "never_together",
        "apart",
        "open_air",
        "closed",
    ];
    let words = KEYS.iter().map(|key| ((*key).to_owned(), table.string(key))).collect();
    table.finish();
    words
}

fn read_plan(plan: &Reader<'_, '_>) -> Dosing {
    let number = |key: &'static str| {
        let found = plan.number(key);
        if found.is_none() {
            let message = format!("`{key}` is missing");
            plan.problem(Problem::error(Code::Syntax, Some(plan.place()), message));
        }
        found.unwrap_or(0.0)
    };
    let quantity = |key, unit| measured(plan, key, unit).unwrap_or(0.0);
    let dosing = Dosing {
        ph_at_once: number("ph_at_once"),
        exchanger_rise_c: number("exchanger_rise_c"),
        exchanger_heaters: plan.strings("exchanger_heaters"),
        mend: MendLimits {
            ph: (number("mend_ph_least"), number("mend_ph_most")),
            alkalinity_most: quantity("mend_alkalinity_most", "mg/L"),
            calcium: (
                quantity("mend_calcium_least", "mg/L"),
                quantity("mend_calcium_most", "mg/L"),
            ),
        },
        pool_least_l: quantity("pool_least", "L"),
        pool_most_l: quantity("pool_most", "L"),
        chlorine_loss_tells: quantity("chlorine_loss_tells", "mg/L"),
        coldest_c: quantity("coldest", "°C"),
        warm_from_c: quantity("warm_from", "°C"),
        warm_chlorine: quantity("warm_chlorine", "mg/L"),
        each_us_l: quantity("each_us", "L"),
        each_si_l: quantity("each_si", "L"),
        carbon_dioxide_half_life_d: quantity("carbon_dioxide_half_life", "d"),
        replace_at_once_percent: quantity("replace_at_once", "%"),
        retest_h: number("retest_h"),
        breakpoint_ratio: number("breakpoint_ratio"),
        breakpoint_from_c: quantity("breakpoint_from", "°C"),
        ph_floor: number("ph_floor"),
        acid_halves_below_c: quantity("acid_halves_below", "°C"),
        acid_halves_over: number("acid_halves_over"),
        most_portions: whole(number("most_portions")),
        chlorine_slack: quantity("chlorine_slack", "mg/L"),
        average_depth_m: quantity("average_depth", "m"),
        chlorine_lasts_d: quantity("chlorine_lasts", "d"),
        chlorine_least: quantity("chlorine_least", "mg/L"),
        index_doubt: number("index_doubt"),
        chlorine_models_from_c: quantity("chlorine_models_from", "°C"),
        cyanuric_unmeasured: quantity("cyanuric_unmeasured", "mg/L"),
        ..Dosing::default()
    };
    let sources = [
        "exchanger_source",
        "index_doubt_source",
        "ph_source",
        "breakpoint_source",
        "carbon_dioxide_source",
    ];
    for key in sources {
        plan.text(key);
    }
    plan.finish();
    dosing
}

/// A small whole number of at least one.
fn whole(value: f64) -> u32 {
    let at_most = |n: &u32| f64::from(*n) <= value;
    (1..=20).filter(at_most).max().unwrap_or(1)
}

fn read_fill(table: &Reader<'_, '_>, words: &Vocabulary) -> Vec<(FactId, f64)> {
    let read = table.entries().into_iter().filter_map(|(name, text)| {
        let fact = named(table, &name, words)?;
        Some((fact, value(table, &text, fact, words)?))
    });
    read.collect()
}

fn read_assumed(table: &Reader<'_, '_>, words: &Vocabulary) -> Option<Assumed> {
    let fact = fact(table, words)?;
    let text = table.text("value")?;
    let assumed =
        Assumed { fact, value: value(table, &text, fact, words)?, why: table.string("why") };
    table.finish();
    Some(assumed)
}

fn read_resolution(table: &Reader<'_, '_>, words: &Vocabulary) -> Option<Resolution> {
    let fact = fact(table, words)?;
    let read = |key| table.text(key).and_then(|text| value(table, &text, fact, words));
    let (drops, strips, scale) = (read("drops"), read("strips"), read("scale"));
    table.string("source");
    table.finish();
    Some(Resolution { fact, drops: drops?, strips: strips?, scale: scale? })
}

fn read_shape(table: &Reader<'_, '_>) -> Option<Shape> {
    let shape = Shape {
        name: table.string("name"),
        words: table.strings("words"),
        factor: table.number("factor")?,
    };
    table.string("source");
    table.finish();
    Some(shape)
}

fn fact(table: &Reader<'_, '_>, words: &Vocabulary) -> Option<FactId> {
    named(table, &table.text("fact")?, words)
}

fn value(table: &Reader<'_, '_>, text: &Text<'_>, fact: FactId, words: &Vocabulary) -> Option<f64> {
    let read = words.get(fact)?.parse(&text.text).map(Value::number);
    read.map_err(|why| table.problem(Problem::error(Code::Value, Some(text.place()), why))).ok()?
}
