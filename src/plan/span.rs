//! Spans of time as a person says them.

use crate::units::{System, find_unit, show, trim_number};

/// Hours as a person says them: minutes below two hours, in steps that are known no better.
#[must_use]
pub fn span_words(hours: f64) -> String {
    if hours < 1.75 {
        let minutes = hours * 60.0;
        let step = if minutes < 10.0 { 1.0 } else { 5.0 };
        let rounded = (minutes / step).round() * step;
        if (rounded - 60.0).abs() < 0.5 {
            return "1 h".to_owned();
        }
        return format!("{} min", trim_number(rounded.max(1.0), 0));
    }
    let decimals = u8::from(hours < 10.0);
    format!("{} h", trim_number((hours * 2.0).round() / 2.0, decimals))
}

/// A value taken for granted, in both systems of units: `45 °F (7 °C)`.
pub(super) fn in_both(value: f64, canonical: &str, decimals: u8) -> String {
    let Some(id) = find_unit(canonical) else { return trim_number(value, decimals) };
    let us = show(value, id, 0, System::Us);
    format!("{us} ({})", show(value, id, decimals, System::Si))
}
