//! How the search for amounts weighs one thing against another, and what can be measured out.

use crate::knowledge::document::Reader;
use crate::knowledge::product::{Form, read_form};
use crate::knowledge::quantity::measured;
use crate::problem::{Code, Place, Problem};
use crate::units::{UnitId, find_unit};
use serde::{Deserialize, Serialize};

/// How the search for amounts weighs one thing against another.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct SearchWeights {
    /// The index outside its band, by 0.1.
    pub index_pull: f64,
    /// A reading that is right and would leave its range, by a notch.
    pub keep_pull: f64,
    /// A value that was asked for, by a notch.
    pub asked_pull: f64,
    /// The price of a notch of change.
    pub price: f64,
    /// How much dearer a notch by soda ash is.
    pub soda_ash_dearer: f64,
    /// A notch of alkalinity, mg/L.
    pub alkalinity_notch: f64,
    /// A notch of hardness, mg/L.
    pub calcium_notch: f64,
    /// Less alkalinity than this is not dosed, mg/L.
    pub worth_alkalinity: f64,
    /// Less hardness than this is not dosed, mg/L.
    pub worth_calcium: f64,
    /// Less pH than this is not dosed.
    pub worth_ph: f64,
}

/// How the one chlorine of a plan is chosen: drawbacks are added up, and the fewest win.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct ChlorineWeights {
    /// What a pool is kept by, and the product that goes with it.
    pub usual: Vec<(String, String)>,
    /// The product that goes with everything else.
    pub usual_else: String,
    /// The pool is kept by another.
    pub not_usual: f64,
    /// It was asked for by name.
    pub asked_for: f64,
    /// It brings cyanuric acid where there is no room.
    pub stabilizes: f64,
    /// It brings calcium where there is no room.
    pub hardens: f64,
    /// Tablets in cold water.
    pub too_slow: f64,
    /// Where it is written.
    pub place: Option<Place>,
}

impl ChlorineWeights {
    /// The product that goes with what a pool is kept by.
    #[must_use]
    pub fn usual(&self, method: Option<&str>) -> &str {
        let found = self.usual.iter().find(|(name, _)| Some(name.as_str()) == method);
        found.map_or(&self.usual_else, |(_, product)| product)
    }
}

pub(super) fn read_chlorine(table: &Reader<'_, '_>) -> ChlorineWeights {
    let number = |key| table.number(key).unwrap_or(0.0);
    table.string("source");
    let usual = table.table("usual").map(|usual| usual.entries()).unwrap_or_default();
    let weights = ChlorineWeights {
        usual: usual.into_iter().map(|(name, product)| (name.text, product.text)).collect(),
        usual_else: table.string("usual_else"),
        not_usual: number("not_usual"),
        asked_for: number("asked_for"),
        stabilizes: number("stabilizes"),
        hardens: number("hardens"),
        too_slow: number("too_slow"),
        place: Some(table.place()),
    };
    table.finish();
    weights
}

/// What can be measured of one form in one unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Measure {
    /// Poured or weighed.
    pub form: Form,
    /// The unit.
    pub unit: UnitId,
    /// Below the first, in steps of the second; both in the unit.
    pub steps: Vec<(f64, f64)>,
    /// The step beyond all of these.
    pub beyond: f64,
}

impl Measure {
    /// The step at so many of the unit.
    #[must_use]
    pub fn step(&self, many: f64) -> f64 {
        self.steps.iter().find(|(below, _)| many < *below).map_or(self.beyond, |(_, step)| *step)
    }
}

pub(super) fn read_search(table: &Reader<'_, '_>) -> SearchWeights {
    let number = |key| table.number(key).unwrap_or(0.0);
    let quantity = |key| measured(table, key, "mg/L").unwrap_or(0.0);
    let weights = SearchWeights {
        index_pull: number("index_pull"),
        keep_pull: number("keep_pull"),
        asked_pull: number("asked_pull"),
        price: number("price"),
        soda_ash_dearer: number("soda_ash_dearer"),
        alkalinity_notch: quantity("alkalinity_notch"),
        calcium_notch: quantity("calcium_notch"),
        worth_alkalinity: quantity("worth_alkalinity"),
        worth_calcium: quantity("worth_calcium"),
        worth_ph: number("worth_ph"),
    };
    table.finish();
    weights
}

pub(super) fn read_measure(table: &Reader<'_, '_>) -> Option<Measure> {
    let form = read_form(table);
    let text = table.text("unit")?;
    let Some(found) = find_unit(&text.text) else {
        let message = format!("unknown unit `{}`", text.text);
        table.problem(Problem::error(Code::Units, Some(text.place()), message));
        return None;
    };
    let steps = table.numbers("below").into_iter().zip(table.numbers("step")).collect();
    let measure = Measure { form, unit: found, steps, beyond: table.number("beyond")? };
    table.finish();
    Some(measure)
}
