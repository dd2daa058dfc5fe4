//! Moments in time, passed in from above: nothing below `cli` reads a clock.

use crate::problem::{Code, Problem};
use chrono::{DateTime, Datelike, FixedOffset, NaiveDate, Timelike};
use serde::{Deserialize, Serialize};

/// A moment with its offset from UTC.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Moment(DateTime<FixedOffset>);

impl Moment {
    /// Reads a moment as RFC 3339 writes it.
    ///
    /// # Errors
    /// A problem with an example of the form.
    pub fn parse(text: &str) -> Result<Self, Problem> {
        DateTime::parse_from_rfc3339(text.trim()).map(Self).map_err(|_| {
            Problem::error(Code::Value, None, format!("`{}` is not a moment in time", text.trim()))
                .help("write it like `2026-01-14T06:40:00-05:00`")
        })
    }

    /// Wraps a time of the `chrono` library.
    #[must_use]
    pub const fn new(time: DateTime<FixedOffset>) -> Self {
        Self(time)
    }

    /// The time in the `chrono` library's form.
    #[must_use]
    pub const fn time(self) -> DateTime<FixedOffset> {
        self.0
    }

    /// As RFC 3339 writes it, to the second.
    #[must_use]
    pub fn rfc3339(self) -> String {
        self.0.to_rfc3339_opts(chrono::SecondsFormat::Secs, false)
    }

    /// Hours from `earlier` to this moment; negative if it lies behind.
    #[must_use]
    pub fn hours_since(self, earlier: Self) -> f64 {
        let seconds = (self.0 - earlier.0).num_seconds();
        f64::from(i32::try_from(seconds).unwrap_or(i32::MAX)) / 3600.0
    }

    /// The moment so many hours later; this one if there is no such moment.
    #[must_use]
    pub fn plus_hours(self, hours: f64) -> Self {
        let seconds = (hours * 3600.0).round();
        let later = span_of(seconds).and_then(|by| self.0.checked_add_signed(by));
        later.map_or(self, Self)
    }

    /// The local hour of the day, with its fraction: 6.5 at half past six.
    #[must_use]
    pub fn hour_of_day(self) -> f64 {
        f64::from(self.0.num_seconds_from_midnight()) / 3600.0
    }

    /// The local date.
    #[must_use]
    pub fn date(self) -> NaiveDate {
        self.0.date_naive()
    }

    /// A clock time such as `23:59:59` of a day, by the offset of this moment.
    #[must_use]
    pub fn at_clock(self, day: NaiveDate, clock: &str) -> Option<Self> {
        Self::parse(&format!("{day}T{clock}{}", self.0.offset())).ok()
    }

    /// The local month, 1 to 12.
    #[must_use]
    pub fn month(self) -> u32 {
        self.0.month()
    }
}

/// A span of so many seconds, within what a calendar can hold.
fn span_of(seconds: f64) -> Option<chrono::TimeDelta> {
    let days = (seconds / 86_400.0).floor();
    let rest = format!("{:.0}", seconds - days * 86_400.0).parse::<i64>().ok()?;
    let days = format!("{days:.0}").parse::<i64>().ok()?;
    chrono::TimeDelta::try_days(days)?.checked_add(&chrono::TimeDelta::try_seconds(rest)?)
}

impl TryFrom<String> for Moment {
    type Error = Problem;

    fn try_from(text: String) -> Result<Self, Problem> {
        Self::parse(&text)
    }
}

impl From<Moment> for String {
    fn from(moment: Moment) -> Self {
        moment.rfc3339()
    }
}
