//! One cell of a weather file: a number, perhaps with its own unit, or nothing.

use crate::units::{Dimension, UnitId, base_value, find_unit, unit};

/// What a cell held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Cell {
    /// Nothing, or a mark for nothing.
    Missing,
    /// A number without a unit.
    Bare(f64),
    /// A number that brought its unit; the value is in the base unit of its dimension.
    WithUnit(f64, UnitId),
    /// Something else.
    Unreadable,
}

const MISSING: [&str; 12] =
    ["", "na", "n/a", "nan", "null", "none", "-", "--", "m", "missing", "?", "."];

/// Reads a cell; `decimal_comma` takes `3,5` for 3.5.
pub(super) fn read_cell(text: &str, decimal_comma: bool) -> Cell {
    let text = text.trim().trim_matches('"').trim();
    if MISSING.contains(&text.to_lowercase().as_str()) {
        return Cell::Missing;
    }
    let number_end = text
        .char_indices()
        .find(|(at, c)| !(c.is_ascii_digit() || ".,+-−".contains(*c) || (*at > 0 && *c == 'e')))
        .map_or(text.len(), |(at, _)| at);
    let (number, rest) = text.split_at_checked(number_end).unwrap_or((text, ""));
    let number = number.replace('−', "-");
    let number = if decimal_comma { number.replace(',', ".") } else { number };
    let Some(value) = number.parse::<f64>().ok().filter(|value| value.is_finite()) else {
        return Cell::Unreadable;
    };
    let rest = rest.trim();
    if rest.is_empty() {
        return Cell::Bare(value);
    }
    match find_named_unit(rest) {
        Some(id) => Cell::WithUnit(base_value(value, id), id),
        None => Cell::Unreadable,
    }
}

/// A unit by its name in messages or in the headers of weather files.
pub(super) fn find_named_unit(text: &str) -> Option<UnitId> {
    let lower = text.trim().to_lowercase();
    let plain = match lower.as_str() {
        "ms" | "ms-1" | "m s-1" | "m/sec" | "m_s-1" | "m s" => "m/s",
        "km_h-1" | "km h-1" | "km h" => "km/h",
        "degree fahrenheit" | "° f" | "ºf" => "°F",
        "degree celsius" | "° c" | "ºc" => "°C",
        other => other,
    };
    find_unit(plain).or_else(|| find_unit(text.trim()))
}

/// Whether a unit measures a dimension.
pub(super) fn measures(id: UnitId, dimension: Dimension) -> bool {
    unit(id).dimension == dimension
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_units_and_blanks_are_told_apart() {
        assert_eq!(read_cell(" 19.5 ", false), Cell::Bare(19.5));
        assert_eq!(read_cell("-3,5", true), Cell::Bare(-3.5));
        assert_eq!(read_cell("NA", false), Cell::Missing);
        assert_eq!(read_cell("cold", false), Cell::Unreadable);
        let Cell::WithUnit(value, _) = read_cell("32 °F", false) else { panic!() };
        assert!(value.abs() < 1e-9);
    }
}
