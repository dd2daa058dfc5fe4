//! What a cold night calls for, in words (`winter.toml`): checks and cautions by what a plan found.

use super::citation::Citation;
use super::document::Reader;
use super::rule::read_cites;
use crate::problem::{Code, Problem};
use serde::{Deserialize, Serialize};

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
    const ALL: [(&'static str, Self); 19] = [
        ("action", Self::Action),
        ("freezing", Self::Freezing),
        ("warm", Self::Warm),
        ("sensor-unknown", Self::SensorUnknown),
        ("sensor-missing", Self::SensorMissing),
        ("sensor-low", Self::SensorLow),
        ("sensor-high", Self::SensorHigh),
        ("sensor-untested", Self::SensorUntested),
        ("sensor-sun", Self::SensorSun),
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

/// Checks and cautions of a cold night.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Winter {
    /// Checks, in order.
    pub checks: Vec<NightCheck>,
    /// Cautions, in order.
    pub cautions: Vec<NightCheck>,
}

/// Reads `winter.toml`.
pub(super) fn read_winter(top: &Reader<'_, '_>) -> Winter {
    let read = |key: &'static str, timed: bool| {
        top.tables(key).iter().filter_map(|table| read_check(table, timed)).collect()
    };
    Winter { checks: read("check", true), cautions: read("caution", false) }
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
