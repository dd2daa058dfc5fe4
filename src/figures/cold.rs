//! The air and the sky that the cold's figures are computed for.

use super::told::Known;
use crate::plan::Told as _;
use crate::thermal::sky_temperature_c;

/// The air.
#[derive(Clone, Copy, Debug)]
pub(super) struct Air {
    /// The air now, or the low ahead when only that is known or only that freezes, °C.
    pub(super) best_c: f64,
    /// The lowest that is known to come, °C.
    pub(super) lowest_c: f64,
    /// Whether the low ahead stands in for the air now.
    pub(super) from_low: bool,
}

/// The air to compute with: now, unless it is above freezing and a frost is said to come.
pub(super) fn air(known: &Known<'_>) -> Option<Air> {
    let now = known.number("air.temperature");
    let low = known.number("air.low_ahead");
    match (now, low) {
        (Some(now), Some(low)) if now >= 0.0 && low < 0.0 => {
            Some(Air { best_c: low, lowest_c: low, from_low: true })
        }
        (Some(now), low) => Some(Air {
            best_c: now,
            lowest_c: low.map_or(now, |low| low.min(now)),
            from_low: false,
        }),
        (None, Some(low)) => Some(Air { best_c: low, lowest_c: low, from_low: true }),
        (None, None) => None,
    }
}

/// Temperature of the sky, °C.
pub(super) fn sky_c(air_c: f64, humidity: f64, cloud: f64) -> f64 {
    sky_temperature_c(air_c, humidity, cloud)
}

/// `; taken for granted: …`, or nothing.
pub(super) fn words(taken: &[String]) -> String {
    if taken.is_empty() {
        String::new()
    } else {
        format!("; taken for granted: {}", taken.join(", "))
    }
}
