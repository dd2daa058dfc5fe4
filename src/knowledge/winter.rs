//! What a cold night calls for, in words (`winter.toml`): checks and cautions by what a plan found.

use super::citation::Citation;
use super::document::Reader;
use super::rule::read_cites;
use super::wording::{read_pairs, worded};
use crate::problem::{Code, Problem};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What a plan may find. The names are those of `winter.toml`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Found {
    /// Hours at or below the action temperature.
    Action,
    /// Hours at or below freezing.
    Freezing,
    /// None of either.
    Warm,
    /// Nothing is known of a freeze sensor.
    SensorUnknown,
    /// There is none.
    SensorMissing,
    /// Its set point is too low.
    SensorLow,
    /// Its set point is too high.
    SensorHigh,
    /// It was not seen to start the pump.
    SensorUntested,
    /// It stands where it reads warm.
    SensorSun,
    /// The forecast ends before the night does.
    EndsEarly,
    /// A clock can stop the pump.
    Timer,
    /// The pump has a speed to set.
    VariableSpeed,
    /// Its set speed is too low.
    SpeedLow,
    /// The heater is needed.
    HeaterNeeded,
    /// A heat pump that will not run in this air.
    HeatPumpTooCold,
    /// Moving water alone is not enough.
    DeepFreeze,
    /// There is a water feature, not drained.
    Feature,
    /// A cover lies unused.
    CoverOff,
    /// The pump stands.
    Stopped,
    /// The plumbing is drained.
    Drained,
}

impl Found {
    const ALL: [(&'static str, Self); 20] = [
        ("action", Self::Action),
        ("freezing", Self::Freezing),
        ("warm", Self::Warm),
        ("sensor-unknown", Self::SensorUnknown),
        ("sensor-missing", Self::SensorMissing),
        ("sensor-low", Self::SensorLow),
        ("sensor-high", Self::SensorHigh),
        ("sensor-untested", Self::SensorUntested),
        ("sensor-sun", Self::SensorSun),
        ("ends-early", Self::EndsEarly),
        ("timer", Self::Timer),
        ("variable-speed", Self::VariableSpeed),
        ("speed-low", Self::SpeedLow),
        ("heater-needed", Self::HeaterNeeded),
        ("heat-pump-too-cold", Self::HeatPumpTooCold),
        ("deep-freeze", Self::DeepFreeze),
        ("feature", Self::Feature),
        ("cover-off", Self::CoverOff),
        ("stopped", Self::Stopped),
        ("drained", Self::Drained),
    ];
}

/// When a check is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum CheckAt {
    /// At once.
    Now,
    /// Before bed.
    BeforeBed,
    /// At first light.
    FirstLight,
}

impl CheckAt {
    const ALL: [(&'static str, Self); 3] =
        [("now", Self::Now), ("before-bed", Self::BeforeBed), ("first-light", Self::FirstLight)];

    /// Its name in the knowledge.
    #[must_use]
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(_, at)| *at == self).map_or("now", |(name, _)| name)
    }
}

/// Something to check or to do on a cold night.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct NightCheck {
    /// Its id.
    pub id: String,
    /// What calls for it.
    pub when: Found,
    /// When it is done; `None` for a caution.
    pub at: Option<CheckAt>,
    /// Its words.
    pub text: String,
    /// Notes that explain it.
    pub cites: Vec<Citation>,
}

/// How the reasons for and against an open winter are weighed. Points above zero speak for staying open.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Weights {
    /// Hours at or below freezing that make a winter hard.
    pub hard_winter_h: f64,
    /// Points of a hard winter.
    pub hard_winter: f64,
    /// Costs within this share of each other are even.
    pub even_share: f64,
    /// Points of the cheaper way, for or against.
    pub money: f64,
    /// Share of the freezing hours in which an outage reaches freezing that is too much.
    pub outage_share: f64,
    /// Points of too great a risk.
    pub outage: f64,
    /// Pool water that is too cold for moving water alone, °C.
    pub cold_water_c: f64,
    /// Points of such water.
    pub cold_water: f64,
    /// Points from which the verdict is to stay open; the same below zero is to close.
    pub decided: f64,
}

/// Checks and cautions of a cold night, and the words of plans.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Winter {
    /// Checks, in order.
    pub checks: Vec<NightCheck>,
    /// Cautions, in order.
    pub cautions: Vec<NightCheck>,
    /// Ways to ask how long the water lasts, in lower case.
    pub how_long: Vec<String>,
    /// How an open winter is weighed.
    pub weights: Weights,
    /// What plans say, by key.
    pub words: BTreeMap<String, String>,
}

impl Winter {
    /// A wording with its `{names}` filled in; the key itself where it is missing.
    #[must_use]
    pub fn say(&self, key: &str, fill: &[(&str, &str)]) -> String {
        worded(&self.words, key, fill)
    }

    /// Whether a message asks how long the water lasts.
    #[must_use]
    pub fn asks_how_long(&self, message: &str) -> bool {
        let plain: String = message
            .to_lowercase()
            .chars()
            .filter(|c| !matches!(c, '\'' | '\u{2019}'))
            .map(|c| if c.is_alphanumeric() { c } else { ' ' })
            .collect();
        let words = format!(" {} ", plain.split_whitespace().collect::<Vec<_>>().join(" "));
        self.how_long.iter().any(|way| words.contains(&format!(" {way} ")))
    }
}

/// Reads `winter.toml`.
pub(super) fn read_winter(top: &Reader<'_, '_>) -> Winter {
    let read = |key: &'static str, timed: bool| {
        top.tables(key).iter().filter_map(|table| read_check(table, timed)).collect()
    };
    Winter {
        checks: read("check", true),
        cautions: read("caution", false),
        how_long: top.strings("how_long"),
        weights: top.table("verdict").map(|table| read_weights(&table)).unwrap_or_default(),
        words: top.table("words").map(|table| read_pairs(&table)).unwrap_or_default(),
    }
}

fn read_weights(table: &Reader<'_, '_>) -> Weights {
    let number = |key| {
        let value = table.number(key);
        if value.is_none() {
            let message = format!("`{key}` is missing, or no number");
            table.problem(Problem::error(Code::Value, Some(table.place()), message));
        }
        value.unwrap_or_default()
    };
    let weights = Weights {
        hard_winter_h: number("hard_winter_h"),
        hard_winter: number("hard_winter"),
        even_share: number("even_share"),
        money: number("money"),
        outage_share: number("outage_share"),
        outage: number("outage"),
        cold_water_c: number("cold_water_c"),
        cold_water: number("cold_water"),
        decided: number("decided"),
    };
    table.finish();
    weights
}

fn read_check(table: &Reader<'_, '_>, timed: bool) -> Option<NightCheck> {
    let id = table.string("id");
    let when = word(table, "when", &Found::ALL);
    let at = if timed { word(table, "at", &CheckAt::ALL).map(Some) } else { Some(None) };
    let (text, cites) = (table.string("text"), read_cites(table));
    table.finish();
    Some(NightCheck { id, when: when?, at: at?, text, cites })
}

fn word<T: Copy>(
    table: &Reader<'_, '_>,
    key: &'static str,
    known: &[(&'static str, T)],
) -> Option<T> {
    let text = table.text(key)?;
    let found = known.iter().find(|(name, _)| *name == text.text).map(|(_, value)| *value);
    if found.is_none() {
        let message = format!("`{}` is nothing that a night's plan finds", text.text);
        let problem = Problem::error(Code::UnknownName, Some(text.place()), message);
        table.problem(problem.did_you_mean(&text.text, known.iter().map(|(name, _)| *name)));
    }
    found
}
