//! From what is typed to the canonical unit and back.

use super::unit::{Dimension, UnitId, find_unit, unit};

/// A value of a unit in the base unit of its dimension.
#[must_use]
pub fn base_value(value: f64, from: UnitId) -> f64 {
    let unit = unit(from);
    value.mul_add(unit.factor, unit.offset)
}

/// A value in the base unit of a dimension, expressed in a unit of it.
#[must_use]
pub fn from_base(base: f64, to: UnitId) -> f64 {
    let unit = unit(to);
    (base - unit.offset) / unit.factor
}

/// A value of one unit in another of the same dimension; `None` if they measure different things.
#[must_use]
pub fn convert(value: f64, from: UnitId, to: UnitId) -> Option<f64> {
    if from == to {
        return Some(value);
    }
    (unit(from).dimension == unit(to).dimension).then(|| from_base(base_value(value, from), to))
}

/// Splits `"24.5 °F"` into its number and the rest; the number may carry thousands commas.
#[must_use]
pub fn split_number(text: &str) -> Option<(f64, &str)> {
    let text = text.trim();
    let mut end = 0;
    for (at, c) in text.char_indices() {
        let part =
            c.is_ascii_digit() || c == '.' || c == ',' || (at == 0 && matches!(c, '-' | '+' | '−'));
        if !part {
            break;
        }
        end = at + c.len_utf8();
    }
    let (number, rest) = text.split_at_checked(end)?;
    let number = number.replace('−', "-");
    // One comma with other than three digits behind it is a decimal comma: 7,5 and 31,45, but 12,000.
    let decimal = |(_, behind): (&str, &str)| {
        !behind.contains([',', '.']) && !behind.is_empty() && behind.len() != 3
    };
    let comma = number.split_once(',').is_some_and(decimal);
    let number = number.replace(',', if comma { "." } else { "" });
    let value: f64 = number.parse().ok()?;
    value.is_finite().then(|| (value, rest.trim()))
}

/// Reads `"24 °F"` as a number and its unit; a bare number has the plain unit.
///
/// # Errors
/// Says what is wrong: no number, or a unit that is not in the table.
pub fn parse_quantity(text: &str) -> Result<(f64, UnitId), String> {
    let (value, rest) = split_number(text)
        .ok_or_else(|| format!("`{}` does not begin with a number", text.trim()))?;
    let unit = find_unit(rest).ok_or_else(|| format!("unknown unit `{rest}`"))?;
    Ok((value, unit))
}

/// Reads `"5000..1000000 L"` as a low and a high in the given unit.
///
/// # Errors
/// Says what is wrong with the text or its unit.
pub fn parse_span(text: &str, to: UnitId) -> Result<(f64, f64), String> {
    let (low, rest) =
        text.split_once("..").ok_or_else(|| format!("`{text}` is not `low..high unit`"))?;
    let (high, from) = parse_quantity(rest)?;
    let low: f64 = low.trim().parse().map_err(|_| format!("`{}` is not a number", low.trim()))?;
    let wrong =
        || format!("`{}` does not measure the same as `{}`", unit(from).name, unit(to).name);
    let low = convert(low, from, to).ok_or_else(wrong)?;
    let high = convert(high, from, to).ok_or_else(wrong)?;
    if low > high {
        return Err(format!("`{text}` runs downwards"));
    }
    Ok((low, high))
}

impl Dimension {
    /// Whether a literal of `other` may stand where this dimension is expected: the same, or a
    /// temperature unit where a difference of temperatures is meant.
    #[must_use]
    pub fn accepts(self, other: Self) -> bool {
        self == other || (self == Self::TemperatureDifference && other == Self::Temperature)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn to(value: f64, from: &str, to: &str) -> f64 {
        convert(value, find_unit(from).unwrap(), find_unit(to).unwrap()).unwrap()
    }

    #[test]
    fn a_comma_parts_thousands_or_is_a_decimal_comma() {
        for (text, value) in [
            ("7,5", 7.5),
            ("31,45 %", 31.45),
            ("-2,5 C", -2.5),
            ("12,000 gal", 12_000.0),
            ("1,320,860 gal", 1_320_860.0),
            ("1,200.5", 1_200.5),
        ] {
            assert_eq!(split_number(text).unwrap().0.to_bits(), f64::to_bits(value), "{text}");
        }
    }

    /// NIST SP 811 (2008), appendix B.8, and the fixed points of the Fahrenheit scale.
    #[test]
    fn factors_are_the_published_ones() {
        for (value, from, unit, want) in [
            (32.0, "°F", "°C", 0.0),
            (212.0, "°F", "°C", 100.0),
            (-40.0, "°F", "°C", -40.0),
            (1.0, "psi", "kPa", 6.894_757),
            (1.0, "gal", "L", 3.785_412),
            (1.0, "imperial gallons", "L", 4.546_09),
            (1.0, "mph", "m/s", 0.447_04),
            (1.0, "knots", "m/s", 0.514_444_4),
            (1.0, "fl oz", "mL", 29.573_53),
            (1.0, "lb", "g", 453.592_4),
            (1.0, "hp", "kW", 0.745_699_9),
            (1.0, "therms", "kWh", 29.307_11),
        ] {
            let got = to(value, from, unit);
            assert!(
                (got - want).abs() < 1e-6 * want.abs().max(1.0),
                "{value} {from} = {got} {unit}"
            );
        }
    }

    #[test]
    fn quantities_are_read_or_refused() {
        assert_eq!(parse_quantity("24 °F").map(|q| q.0), Ok(24.0));
        assert_eq!(parse_quantity("18,000 gal").map(|q| q.0), Ok(18000.0));
        assert!(parse_quantity("warm").is_err());
        assert!(parse_quantity("3 furlongs").is_err());
        assert!(parse_quantity("NaN").is_err());
    }
}
