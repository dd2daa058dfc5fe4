//! Forecasts of national weather services in JSON, from a file.
//!
//! Three public shapes are read: a list of periods with `startTime`, `temperature` and a unit; a
//! `timeseries` with `time` and `instant.details`; and any list of objects with a time and a
//! temperature under names that a table's header could carry.

use serde_json::Value;

use super::cell::{Cell, find_named_unit, read_cell};
use super::column::{Quantity, quantity_of, unit_of};
use super::gather::Gather;
use super::read::Options;
use super::series::{Hour, Series, WeatherSource};
use super::stamp::{DateOrder, Zone, read_stamp};
use crate::problem::{Checked, Code, Problem};
use crate::units::base_value;

pub(super) fn read(mut gather: Gather, bytes: &[u8], options: &Options) -> Checked<Series> {
    let root: Value = match serde_json::from_slice(bytes) {
        Ok(root) => root,
        Err(error) => {
            let place = gather.line(u64::try_from(error.line()).unwrap_or(0), error.column());
            let message = format!("`{}` is not whole JSON", gather.name);
            let problem = Problem::error(Code::Syntax, place, message)
                .help("save the forecast again; the file may be cut off");
            return gather.refuse(problem, WeatherSource::Forecast);
        }
    };
    let Some(list) = hours_of(&root) else {
        let message = format!("`{}` is JSON, but holds no list of hours", gather.name);
        let problem = Problem::error(Code::Value, None, message)
            .help("save the hourly forecast, not the place or the summary");
        return gather.refuse(problem, WeatherSource::Forecast);
    };
    let zone = options.zone.map_or(Zone::Plain(options.offset), Zone::Named);
    for (index, item) in list.iter().enumerate() {
        match hour(item, zone, &mut gather, options) {
            Some(hour) => gather.push(hour),
            None => gather.skip(
                0,
                format!("entry {} of the forecast has no time and temperature", index + 1),
            ),
        }
    }
    gather.finish(WeatherSource::Forecast, place_of(&root))
}

/// The list of hours, wherever it is kept.
fn hours_of(root: &Value) -> Option<&Vec<Value>> {
    const PATHS: [&str; 8] = [
        "/properties/periods",
        "/properties/timeseries",
        "/periods",
        "/timeseries",
        "/hourly",
        "/hours",
        "/forecast",
        "/data",
    ];
    PATHS
        .iter()
        .find_map(|path| root.pointer(path).and_then(Value::as_array))
        .or_else(|| root.as_array())
        .filter(|list| list.iter().any(Value::is_object))
}

fn place_of(root: &Value) -> Option<(f64, f64)> {
    let point = root.pointer("/geometry/coordinates")?.as_array()?;
    Some((point.get(1)?.as_f64()?, point.first()?.as_f64()?))
}

fn hour(item: &Value, zone: Zone, gather: &mut Gather, options: &Options) -> Option<Hour> {
    let fields = item.as_object()?;
    let stamp = ["startTime", "time", "validTime", "datetime", "date"]
        .iter()
        .find_map(|key| fields.get(*key)?.as_str())?;
    // A time may carry its span after a slash.
    let stamp = stamp.split('/').next().unwrap_or(stamp);
    let written = read_stamp(stamp, None, DateOrder::MonthFirst)?;
    let at = zone.resolve(written, gather.last_at()).ok()?;
    let mut hour = Hour::empty(at);
    if let Some(details) = item.pointer("/data/instant/details").and_then(Value::as_object) {
        let number = |key: &str| details.get(key).and_then(Value::as_f64);
        hour.air_c = number("air_temperature");
        hour.wind_m_s = number("wind_speed");
        hour.humidity = number("relative_humidity").map(|percent| percent / 100.0);
        hour.cloud = number("cloud_area_fraction").map(|percent| percent / 100.0);
        hour.rain_mm =
            item.pointer("/data/next_1_hours/details/precipitation_amount").and_then(Value::as_f64);
        return hour.air_c.map(|_| hour);
    }
    for (key, value) in fields {
        let Some(quantity) = quantity_of(&key.replace("Speed", " speed")) else { continue };
        let unit = fields
            .get(&format!("{key}Unit"))
            .or_else(|| value.get("unitCode"))
            .and_then(Value::as_str)
            .and_then(|name| find_named_unit(name.rsplit(':').next().unwrap_or(name)))
            .or_else(|| unit_of(key, quantity));
        let plain = value.get("value").unwrap_or(value);
        let read = match plain {
            Value::Number(number) => number.as_f64().map(Cell::Bare),
            Value::String(text) => Some(read_cell(upper_of_range(text), false)),
            _ => None,
        };
        let Some(read) = read else { continue };
        set(&mut hour, quantity, read, unit, options);
    }
    if hour.air_c.is_some() && !fields.contains_key("temperatureUnit") {
        gather.assume("temperatures without a unit follow the setting (°F in US units, else °C)");
    }
    hour.air_c.map(|_| hour)
}

/// `5 to 10 mph` is taken at its upper end: `10 mph`.
fn upper_of_range(text: &str) -> &str {
    text.rsplit(" to ").next().unwrap_or(text)
}

fn set(
    hour: &mut Hour,
    quantity: Quantity,
    cell: Cell,
    unit: Option<crate::units::UnitId>,
    options: &Options,
) {
    let value = match cell {
        Cell::Bare(value) => match (quantity, unit) {
            (_, Some(unit)) => base_value(value, unit),
            (Quantity::Air, None) if options.us_habit => (value - 32.0) / 1.8,
            _ => value,
        },
        Cell::WithUnit(value, _) => value,
        Cell::Missing | Cell::Unreadable => return,
    };
    match quantity {
        Quantity::Air if (-80.0..=60.0).contains(&value) => hour.air_c = Some(value),
        Quantity::Wind if (0.0..=120.0).contains(&value) => hour.wind_m_s = Some(value),
        Quantity::Humidity => hour.humidity = Some((value / 100.0).clamp(0.0, 1.0)),
        Quantity::Cloud => hour.cloud = Some((value / 100.0).clamp(0.0, 1.0)),
        _ => {}
    }
}
