//! What the columns of a weather file hold, by their headers.

use super::cell::{find_named_unit, measures};
use crate::units::{Dimension, UnitId};

/// What a column measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Quantity {
    /// Date and time together, or a date alone.
    Time,
    /// Hour or time of day beside a date.
    Clock,
    /// Air temperature.
    Air,
    /// A day's low or high: the mark of daily values.
    DayRange,
    /// Dew point.
    DewPoint,
    /// Wind speed.
    Wind,
    /// Relative humidity.
    Humidity,
    /// Cloud cover.
    Cloud,
    /// Rain.
    Rain,
    /// Sun on the level.
    Sun,
}

/// A column that is used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Column {
    pub(super) quantity: Quantity,
    pub(super) unit: Option<UnitId>,
    pub(super) at: usize,
}

impl Quantity {
    pub(super) fn dimension(self) -> Dimension {
        match self {
            Self::Air | Self::DewPoint | Self::DayRange => Dimension::Temperature,
            Self::Wind => Dimension::Speed,
            Self::Humidity | Self::Cloud => Dimension::Share,
            Self::Rain => Dimension::Length,
            Self::Time | Self::Clock | Self::Sun => Dimension::Plain,
        }
    }

    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Time => "time",
            Self::Clock => "hour",
            Self::Air => "temperature",
            Self::DayRange => "low and high",
            Self::DewPoint => "dew point",
            Self::Wind => "wind",
            Self::Humidity => "humidity",
            Self::Cloud => "cloud",
            Self::Rain => "rain",
            Self::Sun => "sun",
        }
    }
}

/// Words of a header, lower case, cut at everything that is not a letter or a digit.
fn words(header: &str) -> Vec<String> {
    header
        .to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

/// What a header says its column holds; `None` for a column of no use.
pub(super) fn quantity_of(header: &str) -> Option<Quantity> {
    let words = words(header);
    let any = |list: &[&str]| words.iter().any(|word| list.contains(&word.as_str()));
    let joined = words.join(" ");
    if any(&["dew", "dewpoint", "dewp", "dwpf", "dwpc", "dwpt"]) {
        return Some(Quantity::DewPoint);
    }
    if any(&["feels", "apparent", "chill", "heat", "soil", "ground", "water", "gust", "dir"])
        || any(&["direction", "wet", "wetbulb", "pressure", "qc", "flag", "quality", "id"])
    {
        return None;
    }
    let temperature = any(&[
        "temp",
        "temperature",
        "tmp",
        "tmpf",
        "tmpc",
        "tempf",
        "tempc",
        "air",
        "drybulb",
        "t2m",
        "tair",
        "t",
        "dry",
    ]);
    if (temperature && any(&["min", "max", "low", "high", "minimum", "maximum"]))
        || any(&["tmin", "tmax", "low", "high", "tempmin", "tempmax"])
    {
        return Some(Quantity::DayRange);
    }
    if any(&["datetime", "timestamp", "valid", "validtime", "date", "starttime", "utc"])
        || joined == "time"
        || joined.starts_with("time ")
        || joined == "local time"
        || joined == "hour beginning"
    {
        return Some(Quantity::Time);
    }
    let rest = [
        (Quantity::Clock, &["hour", "hr", "clock", "time"][..]),
        (Quantity::Wind, &["wind", "windspeed", "wspd", "ws", "sknt", "windspd"]),
        (Quantity::Humidity, &["humidity", "relativehumidity", "humid", "rh", "relh", "relhum"]),
        (Quantity::Cloud, &["cloud", "clouds", "cloudcover", "sky", "okta"]),
        (Quantity::Rain, &["rain", "precip", "precipitation", "prcp", "rainfall"]),
        (Quantity::Sun, &["ghi", "solar", "irradiance", "shortwave", "sun"]),
    ];
    if temperature {
        return Some(Quantity::Air);
    }
    rest.into_iter().find(|(_, names)| any(names)).map(|(quantity, _)| quantity)
}

/// The unit a header names: in brackets, or as its last words.
pub(super) fn unit_of(header: &str, quantity: Quantity) -> Option<UnitId> {
    let fits = |text: &str| find_named_unit(text).filter(|id| measures(*id, quantity.dimension()));
    let bracket = header
        .find(['(', '['])
        .and_then(|open| header.get(open + 1..))
        .map(|rest| rest.trim_end_matches([')', ']', ' ']));
    if let Some(id) = bracket.and_then(fits) {
        return Some(id);
    }
    let words = words(header);
    for start in 1..words.len() {
        let tail = words.get(start..).map(|tail| tail.join(" ")).unwrap_or_default();
        if let Some(id) = fits(&tail) {
            return Some(id);
        }
    }
    let tail = header.rsplit(['_', ' ']).next().unwrap_or(header);
    fits(tail).or_else(|| match words.first().map(String::as_str) {
        Some("tmpf" | "tempf" | "dwpf") => fits("°F"),
        Some("tmpc" | "tempc" | "dwpc") => fits("°C"),
        Some("sknt") => fits("kn"),
        _ => None,
    })
}

/// The columns in use, and the headers passed over because another column already tells the same.
pub(super) fn columns(headers: &[String]) -> (Vec<Column>, Vec<String>) {
    let mut used: Vec<Column> = Vec::new();
    let mut passed = Vec::new();
    for (at, header) in headers.iter().enumerate() {
        let Some(mut quantity) = quantity_of(header) else { continue };
        let has = |wanted: Quantity, used: &[Column]| used.iter().any(|c| c.quantity == wanted);
        if quantity == Quantity::Time && has(Quantity::Time, &used) {
            quantity = Quantity::Clock;
        }
        if has(quantity, &used) && quantity != Quantity::DayRange {
            passed.push(header.clone());
            continue;
        }
        used.push(Column { quantity, unit: unit_of(header, quantity), at });
    }
    // `date, time`: the second is the clock. A lone clock with no date is the time itself.
    if !used.iter().any(|column| column.quantity == Quantity::Time) {
        for column in used.iter_mut().filter(|column| column.quantity == Quantity::Clock).take(1) {
            column.quantity = Quantity::Time;
        }
    }
    (used, passed)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headers_are_understood() {
        for (header, quantity, unit) in [
            ("temp_f", Some(Quantity::Air), Some("°F")),
            ("Temperature (°C)", Some(Quantity::Air), Some("°C")),
            ("temperature_2m [°C]", Some(Quantity::Air), Some("°C")),
            ("dew_point_f", Some(Quantity::DewPoint), Some("°F")),
            ("wind_mph", Some(Quantity::Wind), Some("mph")),
            ("Wind speed (m/s)", Some(Quantity::Wind), Some("m/s")),
            ("wind_speed_kmh", Some(Quantity::Wind), Some("km/h")),
            ("wind gust (mph)", None, None),
            ("humid", Some(Quantity::Humidity), None),
            ("RH [%]", Some(Quantity::Humidity), Some("%")),
            ("low F", Some(Quantity::DayRange), Some("°F")),
            ("time", Some(Quantity::Time), None),
            ("valid time", Some(Quantity::Time), None),
            ("station_id", None, None),
        ] {
            let got = quantity_of(header);
            assert_eq!(got, quantity, "{header}");
            let name = got.and_then(|q| unit_of(header, q)).map(|id| crate::units::unit(id).name);
            assert_eq!(name, unit, "{header}");
        }
    }
}
