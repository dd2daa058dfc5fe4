//! When the visits of a pool bear a trend out (`[trend]` of `tasks.toml`).

use super::document::Reader;
use crate::problem::{Code, Problem};
use crate::units::{convert, find_unit, parse_quantity};
use serde::{Deserialize, Serialize};

/// From where on a trend is told.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct TrendLimits {
    /// Visits of so many hours count.
    pub window_h: f64,
    /// So many stretches or readings are needed.
    pub fewest: f64,
    /// A stretch between two readings is no longer than this, days.
    pub longest_stretch_d: f64,
    /// The confidence from which a drift is told.
    pub sure: f64,
    /// The confidence from which a leak is possible.
    pub leak_possible: f64,
    /// The confidence from which a leak is likely.
    pub leak_likely: f64,
    /// The most that evaporation can be, as a multiple of the computed one.
    pub evaporation_margin: f64,
    /// A filter wants cleaning at this rise over its clean gauge, kPa.
    pub filter_rise_kpa: f64,
    /// Products that move pH.
    pub ph_products: Vec<String>,
    /// Products that are acid.
    pub acid_products: Vec<String>,
    /// Words for rain, beside which its depth stands.
    pub rain_words: Vec<String>,
}

pub(super) fn read_trend(table: &Reader<'_, '_>) -> TrendLimits {
    let quantity = |key: &'static str, unit: &str| {
        let text = table.text(key)?;
        let read = parse_quantity(&text.text)
            .ok()
            .and_then(|(value, from)| convert(value, from, find_unit(unit)?));
        if read.is_none() {
            let message = format!("`{}` is nothing that can be counted in `{unit}`", text.text);
            table.problem(Problem::error(Code::Units, Some(text.place()), message));
        }
        read
    };
    let share = |key: &'static str| table.number(key).unwrap_or(1.0);
    let limits = TrendLimits {
        window_h: quantity("window", "h").unwrap_or_default(),
        fewest: table.number("fewest").unwrap_or(5.0),
        longest_stretch_d: quantity("longest_stretch", "d").unwrap_or_default(),
        sure: share("sure"),
        leak_possible: share("leak_possible"),
        leak_likely: share("leak_likely"),
        evaporation_margin: share("evaporation_margin"),
        filter_rise_kpa: quantity("filter_rise", "kPa").unwrap_or_default(),
        ph_products: table.strings("ph_products"),
        acid_products: table.strings("acid_products"),
        rain_words: table.strings("rain_words"),
    };
    table.string("source");
    table.finish();
    limits
}
