//! How a canonical value is shown to people: rounding, and US or SI units.

use super::convert::convert;
use super::unit::{UnitId, find_unit, unit};
use serde::{Deserialize, Serialize};

/// The units an answer is written in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum System {
    /// °F, gallons, psi, inches, mph.
    #[default]
    Us,
    /// °C, litres, kPa, millimetres, m/s.
    Si,
}

/// The unit in which a canonical unit is shown, and by how many decimals the view differs.
#[must_use]
pub fn display_unit(canonical: UnitId, system: System) -> UnitId {
    if system == System::Si {
        return canonical;
    }
    let shown = match unit(canonical).name {
        "°C" => "°F",
        "L" => "gal",
        "kPa" => "psi",
        "mm" => "in",
        "m²" => "ft²",
        "m/s" => "mph",
        "kg" => "lb",
        "mm/d" => "in/d",
        "L/min" => "gpm",
        _ => return canonical,
    };
    find_unit(shown).unwrap_or(canonical)
}

/// A canonical value as a person reads it, without its unit.
#[must_use]
pub fn display_number(value: f64, canonical: UnitId, decimals: u8, system: System) -> String {
    let shown = display_unit(canonical, system);
    let number = convert(value, canonical, shown).unwrap_or(value);
    let decimals = match unit(shown).name {
        "in" | "in/d" => decimals.max(1),
        "mph" => 0,
        _ => decimals,
    };
    trim_number(number, decimals)
}

/// A number with at most so many decimals, thousands set apart by commas, no trailing zeros, no `-0`.
#[must_use]
pub fn trim_number(value: f64, decimals: u8) -> String {
    let mut text = format!("{value:.*}", usize::from(decimals));
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" {
        text = "0".to_owned();
    }
    let (sign, rest) = text.strip_prefix('-').map_or(("", text.as_str()), |rest| ("−", rest));
    let (whole, fraction) = rest.split_once('.').map_or((rest, None), |(w, f)| (w, Some(f)));
    let mut grouped = String::with_capacity(text.len() + 4);
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at).is_multiple_of(3) && whole.len() > 4 {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    match fraction {
        Some(fraction) => format!("{sign}{grouped}.{fraction}"),
        None => format!("{sign}{grouped}"),
    }
}

/// A canonical value with its unit: `19 °F`, `18,000 gal`, `7.2`.
#[must_use]
pub fn show(value: f64, canonical: UnitId, decimals: u8, system: System) -> String {
    if unit(canonical).name == "h" && value.abs() < 0.995 {
        return minutes(value);
    }
    let number = display_number(value, canonical, decimals, system);
    let name = match unit(display_unit(canonical, system)).name {
        "" => return number,
        "%" => return format!("{number} %"),
        "d" if number == "1" => "day",
        "d" => "days",
        "mm/d" => "mm a day",
        "in/d" => "in a day",
        other => other,
    };
    format!("{number} {name}")
}

/// The same by the unit's name; empty if there is no such unit.
#[must_use]
pub fn show_named(value: f64, canonical: &str, decimals: u8, system: System) -> String {
    find_unit(canonical).map_or_else(String::new, |id| show(value, id, decimals, system))
}

/// Less than an hour in minutes; beyond ten to five of them, which is as near as anybody reckons: `25 min`.
fn minutes(hours: f64) -> String {
    let minutes = hours * 60.0;
    let near = if minutes.abs() < 10.0 { minutes } else { (minutes / 5.0).round() * 5.0 };
    format!("{} min", trim_number(near, 0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_read_like_a_person_writes_them() {
        let c = find_unit("°C").unwrap();
        let l = find_unit("L").unwrap();
        assert_eq!(show(-7.222, c, 0, System::Us), "19 °F");
        assert_eq!(show(-7.222, c, 0, System::Si), "−7 °C");
        assert_eq!(show(68137.4, l, 0, System::Us), "18,000 gal");
        assert_eq!(trim_number(7.20, 2), "7.2");
        assert_eq!(trim_number(-0.001, 1), "0");
        assert_eq!(trim_number(2800.0, 0), "2800");
        let h = find_unit("h").unwrap();
        assert_eq!(show(0.4, h, 1, System::Us), "25 min");
        assert_eq!(show(0.05, h, 1, System::Us), "3 min");
        assert_eq!(show(0.999, h, 1, System::Us), "1 h");
        assert_eq!(show(2.7, h, 1, System::Us), "2.7 h");
    }
}
