//! Times as weather files write them, and the clock they were written by.

use chrono::{
    DateTime, Duration, FixedOffset, LocalResult, NaiveDate, NaiveDateTime, Offset as _,
    TimeZone as _,
};
use chrono_tz::Tz;

/// A time as written: with its offset, or by a local clock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Written {
    /// With its own offset.
    Fixed(DateTime<FixedOffset>),
    /// By the clock of the place.
    Local(NaiveDateTime),
}

/// Whether 03/04 is read month first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum DateOrder {
    /// 03/04 is the 4th of March.
    MonthFirst,
    /// 03/04 is the 3rd of April.
    DayFirst,
}

const ISO: [&str; 7] = [
    "%Y-%m-%dT%H:%M:%S",
    "%Y-%m-%d %H:%M:%S",
    "%Y-%m-%dT%H:%M",
    "%Y-%m-%d %H:%M",
    "%Y/%m/%d %H:%M:%S",
    "%Y/%m/%d %H:%M",
    "%d.%m.%Y %H:%M",
];
const MONTH_FIRST: [&str; 4] =
    ["%m/%d/%Y %H:%M:%S", "%m/%d/%Y %H:%M", "%m/%d/%Y %I:%M %p", "%m/%d/%Y %I:%M:%S %p"];
const DAY_FIRST: [&str; 4] =
    ["%d/%m/%Y %H:%M:%S", "%d/%m/%Y %H:%M", "%d/%m/%Y %I:%M %p", "%d/%m/%Y %I:%M:%S %p"];
const DATES: [&str; 3] = ["%Y-%m-%d", "%Y/%m/%d", "%d.%m.%Y"];

/// Whether the order of day and month matters for this text.
pub(super) fn has_slashes_day_first_possible(text: &str) -> Option<(u32, u32)> {
    let mut parts = text.split(['/', ' ']);
    let (first, second) = (parts.next()?, parts.next()?);
    if first.len() > 2 || !text.contains('/') {
        return None;
    }
    Some((first.parse().ok()?, second.parse().ok()?))
}

/// Reads one time. `clock` is the text of a second column with the hour, if there is one.
pub(super) fn read_stamp(text: &str, clock: Option<&str>, order: DateOrder) -> Option<Written> {
    let text = text.trim();
    if let Some(clock) = clock {
        return with_clock(text, clock.trim(), order);
    }
    if let Ok(time) = DateTime::parse_from_rfc3339(text) {
        return Some(Written::Fixed(time));
    }
    for format in ["%Y-%m-%dT%H:%M%:z", "%Y-%m-%d %H:%M:%S%:z", "%Y-%m-%dT%H:%M:%S%z"] {
        if let Ok(time) = DateTime::parse_from_str(text, format) {
            return Some(Written::Fixed(time));
        }
    }
    if let Some(utc) = text.strip_suffix('Z').or_else(|| text.strip_suffix(" UTC"))
        && let Some(Written::Local(time)) = local(utc.trim(), order)
    {
        return Some(Written::Fixed(time.and_utc().fixed_offset()));
    }
    local(text, order).or_else(|| digits(text))
}

fn local(text: &str, order: DateOrder) -> Option<Written> {
    let slashes = match order {
        DateOrder::MonthFirst => &MONTH_FIRST,
        DateOrder::DayFirst => &DAY_FIRST,
    };
    ISO.iter()
        .chain(slashes)
        .find_map(|format| NaiveDateTime::parse_from_str(text, format).ok())
        .or_else(|| Some(date(text, order)?.and_time(chrono::NaiveTime::MIN)))
        .map(Written::Local)
}

fn date(text: &str, order: DateOrder) -> Option<NaiveDate> {
    let slashes = match order {
        DateOrder::MonthFirst => "%m/%d/%Y",
        DateOrder::DayFirst => "%d/%m/%Y",
    };
    DATES.iter().chain([&slashes]).find_map(|format| NaiveDate::parse_from_str(text, format).ok())
}

/// Seconds since 1970, or `2026011406`, `202601140600`.
fn digits(text: &str) -> Option<Written> {
    if !text.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    let padded = match text.len() {
        12 => text.to_owned(),
        10 => {
            let seconds: i64 = text.parse().ok()?;
            let as_date = NaiveDateTime::parse_from_str(&format!("{text}00"), "%Y%m%d%H%M").ok();
            if let Some(time) = as_date.filter(|_| text.starts_with("19") || text.starts_with("20"))
            {
                return Some(Written::Local(time));
            }
            return Some(Written::Fixed(DateTime::from_timestamp(seconds, 0)?.fixed_offset()));
        }
        _ => return None,
    };
    NaiveDateTime::parse_from_str(&padded, "%Y%m%d%H%M").ok().map(Written::Local)
}

/// A date and, in another column, `7`, `07:00`, `7 PM`, `0700` or 24 for the day's end.
fn with_clock(text: &str, clock: &str, order: DateOrder) -> Option<Written> {
    let date = date(text, order)?;
    if let Some(time) = ["%H:%M:%S", "%H:%M", "%I:%M %p", "%I %p", "%H%M"]
        .iter()
        .find_map(|format| chrono::NaiveTime::parse_from_str(clock, format).ok())
        .filter(|_| clock.len() > 2)
    {
        return Some(Written::Local(date.and_time(time)));
    }
    let hour: u32 = clock.split(':').next()?.parse().ok().filter(|hour| *hour <= 24)?;
    Some(Written::Local(date.and_time(chrono::NaiveTime::MIN) + Duration::hours(hour.into())))
}

/// The clock of the place: a time zone with its changes, or a plain offset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Zone {
    /// A named zone.
    Named(Tz),
    /// A plain clock.
    Plain(FixedOffset),
}

impl Zone {
    /// The moment of a written time. An hour that comes twice is the first one, unless `last` has
    /// already reached it. `Err` when the clock never shows this time.
    pub(super) fn resolve(
        self,
        written: Written,
        last: Option<DateTime<FixedOffset>>,
    ) -> Result<DateTime<FixedOffset>, NaiveDateTime> {
        let local = match written {
            Written::Fixed(time) => return Ok(self.shown(time)),
            Written::Local(local) => local,
        };
        match self {
            Self::Plain(offset) => offset.from_local_datetime(&local).single().ok_or(local),
            Self::Named(zone) => match zone.from_local_datetime(&local) {
                LocalResult::Single(time) => Ok(time.fixed_offset()),
                LocalResult::None => Err(local),
                LocalResult::Ambiguous(first, second) => {
                    let (first, second) = (first.fixed_offset(), second.fixed_offset());
                    Ok(if last.is_some_and(|last| last >= first) { second } else { first })
                }
            },
        }
    }

    /// A moment on this clock. A plain clock keeps the offset a time brought.
    fn shown(self, time: DateTime<FixedOffset>) -> DateTime<FixedOffset> {
        match self {
            Self::Named(zone) => {
                let offset = zone.offset_from_utc_datetime(&time.naive_utc()).fix();
                time.with_timezone(&offset)
            }
            Self::Plain(_) => time,
        }
    }
}
