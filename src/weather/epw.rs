//! EnergyPlus weather files: eight header lines, then 35 fields an hour (an open format; field order
//! as in its Auxiliary Programs reference, from memory). Hour 1 is the one ending at 01:00; an hour
//! is kept under its end.

use std::io::BufRead;

use chrono::{Duration, FixedOffset, NaiveDate, NaiveTime};

use super::gather::Gather;
use super::series::{Hour, Series, WeatherSource};
use crate::problem::{Checked, Code, Problem};

const HEADER_LINES: usize = 8;
const MOST_HOURS: usize = 200_000;

/// Fields by their place; values at or above the second number mean "missing".
const AIR: (usize, f64) = (6, 99.9);
const HUMIDITY: (usize, f64) = (8, 999.0);
const SKY: (usize, f64) = (12, 9999.0);
const SUN: (usize, f64) = (13, 9999.0);
const WIND: (usize, f64) = (21, 999.0);
const CLOUD: (usize, f64) = (22, 99.0);
const RAIN: (usize, f64) = (33, 999.0);

/// The place and clock of the header.
#[derive(Clone, Copy, Debug)]
struct Location {
    place: Option<(f64, f64)>,
    offset: FixedOffset,
}

pub(super) fn read(mut gather: Gather, input: impl BufRead) -> Checked<Series> {
    let mut location = None;
    // Typical years join months of several years: all are told as one, without a 29th of February
    // unless the file has one.
    let mut year = None;
    let mut years = 0usize;
    let mut last_year = None;
    for (index, line) in input.lines().enumerate() {
        let number = u64::try_from(index + 1).unwrap_or(u64::MAX);
        let line = match line {
            Ok(line) => line,
            Err(error) => {
                gather.skip(number, format!("this line cannot be read: {error}"));
                continue;
            }
        };
        if index == 0 {
            location = read_location(&line);
        }
        if index < HEADER_LINES || line.trim().is_empty() {
            continue;
        }
        let fields: Vec<&str> = line.split(',').map(str::trim).collect();
        let offset = location.map_or_else(utc, |location| location.offset);
        let written = fields.first().and_then(|text| text.parse::<i32>().ok());
        if written != last_year {
            years += 1;
            last_year = written;
        }
        let year = *year.get_or_insert_with(|| plain_year(written.unwrap_or(2001)));
        match row(&fields, year, offset) {
            Ok(hour) => gather.push(hour),
            Err(why) => gather.skip(number, why),
        }
        if gather.rows() > MOST_HOURS {
            let message = format!(
                "`{}` holds more than {MOST_HOURS} hours, up to line {number}",
                gather.name
            );
            let problem = Problem::error(Code::Value, None, message);
            return gather.refuse(problem, WeatherSource::Epw);
        }
    }
    if years > 1 {
        gather.assume(format!(
            "a typical year joined from months of several years, told as {}",
            year.unwrap_or(2001)
        ));
    }
    gather.finish(WeatherSource::Epw, location.and_then(|location| location.place))
}

/// A year of 365 days near `year`.
fn plain_year(year: i32) -> i32 {
    let leap = NaiveDate::from_ymd_opt(year, 2, 29).is_some();
    if leap { year + 1 } else { year }
}

fn utc() -> FixedOffset {
    chrono::Offset::fix(&chrono::Utc)
}

fn read_location(line: &str) -> Option<Location> {
    let fields: Vec<&str> = line.split(',').collect();
    let number = |at: usize| fields.get(at)?.trim().parse::<f64>().ok();
    let zone_s = number(8).unwrap_or(0.0) * 3600.0;
    let offset = FixedOffset::east_opt(format!("{zone_s:.0}").parse().ok()?)?;
    Some(Location { place: number(6).zip(number(7)), offset })
}

fn row(fields: &[&str], year: i32, offset: FixedOffset) -> Result<Hour, String> {
    let whole = |at: usize| fields.get(at).and_then(|text| text.parse::<u32>().ok());
    let (Some(month), Some(day), Some(hour)) = (whole(1), whole(2), whole(3)) else {
        return Err("this line has no month, day and hour".to_owned());
    };
    let leap_day =
        (month == 2 && day == 29).then(|| NaiveDate::from_ymd_opt(year, 2, 28)).flatten();
    let date = NaiveDate::from_ymd_opt(year, month, day)
        .or(leap_day)
        .filter(|_| hour <= 24)
        .ok_or_else(|| format!("`{month}/{day}` hour {hour} is no time"))?;
    let local = date.and_time(NaiveTime::MIN) + Duration::hours(i64::from(hour));
    let at = local.and_local_timezone(offset).single().ok_or("a time that cannot be")?;
    let value = |(place, missing): (usize, f64)| {
        let value: f64 = fields.get(place)?.parse().ok()?;
        (value.is_finite() && value < missing).then_some(value)
    };
    let air = value(AIR);
    if air.is_some_and(|air| !(-80.0..=60.0).contains(&air)) {
        return Err(format!("`{}` is no possible temperature", fields.get(AIR.0).unwrap_or(&"")));
    }
    Ok(Hour {
        at,
        air_c: air,
        wind_m_s: value(WIND).filter(|wind| *wind >= 0.0),
        humidity: value(HUMIDITY).map(|percent| (percent / 100.0).clamp(0.0, 1.0)),
        cloud: value(CLOUD).map(|tenths| (tenths / 10.0).clamp(0.0, 1.0)),
        rain_mm: value(RAIN).filter(|rain| *rain >= 0.0),
        sun_w_m2: value(SUN).map(|sun| sun.max(0.0)),
        sky_w_m2: value(SKY).filter(|sky| *sky > 0.0),
    })
}
