//! The named units, with their factors and spellings.

use serde::{Deserialize, Serialize};

/// What kind of thing a number measures. Only numbers of one dimension may be compared or added.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Dimension {
    /// A bare number (pH, a ratio).
    Plain,
    /// A temperature on a scale with a zero point.
    Temperature,
    /// A difference of two temperatures.
    TemperatureDifference,
    /// Mass per volume of water.
    Concentration,
    /// Volume.
    Volume,
    /// Gauge pressure.
    Pressure,
    /// Length.
    Length,
    /// Area.
    Area,
    /// Speed of air.
    Speed,
    /// Duration.
    Time,
    /// Mass.
    Mass,
    /// Power.
    Power,
    /// Energy.
    Energy,
    /// Rotation.
    Rotation,
    /// Flow of water.
    Flow,
    /// Length per time (ice, evaporation).
    Growth,
    /// A share of a whole.
    Share,
}

/// One unit that can be typed.
#[derive(Debug)]
pub struct Unit {
    /// Its plain name, as the knowledge writes it.
    pub name: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    /// `base = value * factor + offset`.
    pub factor: f64,
    /// See `factor`; only temperatures have one.
    pub offset: f64,
    /// Other ways of writing it, lower case. Those that are also common words ("in", "c", "h") are for
    /// the reader of messages to judge by their place.
    pub spellings: &'static [&'static str],
}

/// The place of a unit in [`UNITS`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct UnitId(u8);

const fn u(
    name: &'static str,
    dimension: Dimension,
    factor: f64,
    spellings: &'static [&'static str],
) -> Unit {
    Unit { name, dimension, factor, offset: 0.0, spellings }
}

use Dimension as D;

/// Every unit known. The first of each dimension is its base unit.
pub static UNITS: &[Unit] = &[
    u("", D::Plain, 1.0, &[]),
    u(
        "°C",
        D::Temperature,
        1.0,
        &["c", "degc", "celsius", "centigrade", "deg c", "degrees c", "degrees celsius"],
    ),
    Unit {
        name: "°F",
        dimension: D::Temperature,
        factor: 5.0 / 9.0,
        offset: -160.0 / 9.0,
        spellings: &[
            "f",
            "degf",
            "fahrenheit",
            "farenheit",
            "deg f",
            "degrees f",
            "degrees fahrenheit",
        ],
    },
    u("K", D::TemperatureDifference, 1.0, &["kelvin"]),
    u(
        "mg/L",
        D::Concentration,
        1.0,
        &["ppm", "mg/l", "mgl", "mg per litre", "mg per liter", "parts per million", "parts"],
    ),
    u("g/L", D::Concentration, 1000.0, &["g/l", "ppt"]),
    u("ppb", D::Concentration, 0.001, &["ug/l", "µg/l", "parts per billion"]),
    u("L", D::Volume, 1.0, &["l", "liter", "liters", "litre", "litres", "ltr", "ltrs"]),
    u(
        "m³",
        D::Volume,
        1000.0,
        &[
            "m3",
            "m^3",
            "cubic meter",
            "cubic meters",
            "cubic metre",
            "cubic metres",
            "cbm",
            "kl",
            "kiloliters",
            "kilolitres",
        ],
    ),
    u(
        "mL",
        D::Volume,
        0.001,
        &["ml", "milliliter", "milliliters", "millilitre", "millilitres", "cc"],
    ),
    u(
        "gal",
        D::Volume,
        3.785_411_784,
        &[
            "gals",
            "gallon",
            "gallons",
            "gl",
            "us gal",
            "us gallon",
            "us gallons",
            "galon",
            "galons",
            "galones",
        ],
    ),
    u(
        "imp gal",
        D::Volume,
        4.546_09,
        &[
            "imperial gallon",
            "imperial gallons",
            "imperial gal",
            "uk gallon",
            "uk gallons",
            "uk gal",
            "imp gallons",
        ],
    ),
    u("qt", D::Volume, 0.946_352_946, &["quart", "quarts", "qts"]),
    u("pt", D::Volume, 0.473_176_473, &["pint", "pints"]),
    u("cup", D::Volume, 0.236_588_236_5, &["cups"]),
    u(
        "fl oz",
        D::Volume,
        0.029_573_529_562_5,
        &["floz", "fl. oz", "fluid ounce", "fluid ounces", "fl ozs"],
    ),
    u("ft³", D::Volume, 28.316_846_592, &["ft3", "cubic foot", "cubic feet", "cu ft", "cuft"]),
    u("kPa", D::Pressure, 1.0, &["kpa", "kilopascal", "kilopascals"]),
    u(
        "psi",
        D::Pressure,
        6.894_757_293_168,
        &["psig", "lb/in2", "lbs/in2", "pounds per square inch"],
    ),
    u("bar", D::Pressure, 100.0, &["bars", "barg"]),
    u("mm", D::Length, 1.0, &["millimeter", "millimeters", "millimetre", "millimetres"]),
    u("cm", D::Length, 10.0, &["centimeter", "centimeters", "centimetre", "centimetres", "cms"]),
    u("m", D::Length, 1000.0, &["meter", "meters", "metre", "metres"]),
    u("in", D::Length, 25.4, &["inch", "inches", "ins", "\"", "″", "”"]),
    u("ft", D::Length, 304.8, &["foot", "feet", "'", "′"]),
    u(
        "m²",
        D::Area,
        1.0,
        &[
            "m2",
            "m^2",
            "sq m",
            "sqm",
            "square meters",
            "square metres",
            "square meter",
            "square metre",
        ],
    ),
    u(
        "ft²",
        D::Area,
        0.092_903_04,
        &["ft2", "ft^2", "sq ft", "sqft", "square feet", "square foot"],
    ),
    u("m/s", D::Speed, 1.0, &["mps", "meters per second", "metres per second"]),
    u("mph", D::Speed, 0.447_04, &["mi/h", "miles per hour", "miles an hour", "m.p.h"]),
    u(
        "km/h",
        D::Speed,
        1.0 / 3.6,
        &[
            "kmh",
            "kph",
            "kmph",
            "kilometers per hour",
            "kilometres per hour",
            "km per hour",
            "kilometers an hour",
            "kilometres an hour",
        ],
    ),
    u("kn", D::Speed, 0.514_444_444_444, &["knot", "knots", "kt", "kts"]),
    u("h", D::Time, 1.0, &["hr", "hrs", "hour", "hours", "horas"]),
    u("min", D::Time, 1.0 / 60.0, &["mins", "minute", "minutes", "minutos"]),
    u("s", D::Time, 1.0 / 3600.0, &["sec", "secs", "second", "seconds"]),
    u("d", D::Time, 24.0, &["day", "days", "dias"]),
    u("wk", D::Time, 168.0, &["week", "weeks", "wks", "semanas"]),
    // A month of 30.4 days: people mean "about".
    u("mo", D::Time, 730.0, &["month", "months"]),
    u("kg", D::Mass, 1.0, &["kgs", "kilo", "kilos", "kilogram", "kilograms"]),
    u("g", D::Mass, 0.001, &["gram", "grams", "gr", "grm"]),
    u("lb", D::Mass, 0.453_592_37, &["lbs", "pound", "pounds"]),
    u("oz", D::Mass, 0.028_349_523_125, &["ounce", "ounces", "ozs"]),
    u("kW", D::Power, 1.0, &["kw", "kilowatt", "kilowatts"]),
    u("W", D::Power, 0.001, &["w", "watt", "watts"]),
    u("hp", D::Power, 0.745_699_871_582, &["horsepower", "horse power", "horse"]),
    u("Btu/h", D::Power, 0.000_293_071_070_17, &["btu/h", "btuh", "btu per hour", "btu/hr", "btu"]),
    u("kWh", D::Energy, 1.0, &["kwh", "kilowatt hours", "kilowatt hour"]),
    u("therm", D::Energy, 29.307_107_017, &["therms"]),
    u("rpm", D::Rotation, 1.0, &["r.p.m", "revs", "rev/min"]),
    u("L/min", D::Flow, 1.0, &["l/min", "lpm", "liters per minute", "litres per minute"]),
    u("gpm", D::Flow, 3.785_411_784, &["gal/min", "gallons per minute"]),
    u("m³/h", D::Flow, 1000.0 / 60.0, &["m3/h", "cubic meters per hour", "cubic metres per hour"]),
    u("mm/d", D::Growth, 1.0, &["mm a day", "mm per day"]),
    u("in/d", D::Growth, 25.4, &["in a day", "inches a day", "inches per day"]),
    u("%", D::Share, 1.0, &["percent", "per cent", "pct"]),
];

static PLAIN: Unit = u("", D::Plain, 1.0, &[]);

/// The unit at a place of the table.
#[must_use]
pub fn unit(id: UnitId) -> &'static Unit {
    UNITS.get(usize::from(id.0)).unwrap_or(&PLAIN)
}

/// Finds a unit by name (exact) or by one of its spellings (any case).
#[must_use]
pub fn find_unit(text: &str) -> Option<UnitId> {
    let text = text.trim();
    let at = UNITS.iter().position(|unit| unit.name == text).or_else(|| {
        let lower = text.to_lowercase();
        UNITS.iter().position(|unit| unit.spellings.contains(&lower.as_str()))
    })?;
    u8::try_from(at).ok().map(UnitId)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::HashMap;

    #[test]
    fn no_spelling_means_two_units() {
        let mut seen: HashMap<&str, &str> = HashMap::new();
        for unit in UNITS {
            for spelling in unit.spellings.iter().chain([&unit.name]) {
                if let Some(other) = seen.insert(spelling, unit.name) {
                    assert_eq!(other, unit.name, "`{spelling}`");
                }
            }
        }
    }
}
