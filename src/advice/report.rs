//! The shape of a season report for a customer: what happened at one pool, as data.

use crate::clock::Moment;
use serde::Serialize;

/// One value over time, with its range and what was done.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Series {
    /// What is shown.
    pub title: String,
    /// Its unit, as shown.
    pub unit: String,
    /// Days from the first day of the report, and values in `unit`.
    pub points: Vec<(f64, f64)>,
    /// The range it should keep to; either end may be open.
    pub low: Option<f64>,
    /// Its upper end.
    pub high: Option<f64>,
    /// Days on which something was done about it, and what.
    pub marks: Vec<(f64, String)>,
    /// The chart in words.
    pub summary: String,
}

/// A cold night and what protected the pool.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ColdNight {
    /// The day.
    pub day: String,
    /// Its low, as shown.
    pub low: String,
    /// The water, as shown.
    pub water: String,
    /// What protected the pool, as far as the log says.
    pub protected: String,
}

/// One visit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReportVisit {
    /// The day.
    pub day: String,
    /// Who was there.
    pub who: String,
    /// Readings in words.
    pub readings: String,
    /// What was added.
    pub added: String,
    /// What was done.
    pub done: String,
    /// Photos, by their file names.
    pub photos: String,
    /// Anything else.
    pub note: String,
}

/// A season at one pool.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Report {
    /// The pool.
    pub pool: String,
    /// The first day.
    pub from: String,
    /// The last day.
    pub to: String,
    /// The first day as a moment, for the charts' months.
    pub begins: Moment,
    /// How many days it covers.
    pub days: f64,
    /// When it was made.
    pub made: String,
    /// The season at a glance: what, how much.
    pub glance: Vec<(String, String)>,
    /// Values over time.
    pub series: Vec<Series>,
    /// Trends that the readings bear out.
    pub trends: Vec<String>,
    /// The coldest nights.
    pub nights: Vec<ColdNight>,
    /// What was put in, in all: product, how much, how often.
    pub treatments: Vec<(String, String, String)>,
    /// Visits, newest first.
    pub visits: Vec<ReportVisit>,
    /// What comes next.
    pub next: Vec<String>,
}
