//! Words by which a message speaks to the record, and stretches of time as people name them (`tasks.toml`).

use super::document::Reader;
use super::task::known;
use super::vocabulary::Vocabulary;
use crate::problem::{Code, Problem};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Words by which a message speaks to the record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct RecordWords {
    /// Keeps what was said.
    pub keep: Vec<String>,
    /// Says that readings are those of the last visit.
    pub same: Vec<String>,
    /// Says that something was put in.
    pub added: Vec<String>,
    /// Said beside amounts where something went in already; `{what}` stands for it.
    pub already_in: String,
    /// Asks what was put in.
    pub what_added: Vec<String>,
    /// Asks when something was last done.
    pub when_last: Vec<String>,
    /// Asks what a reading was, with one of `looks_back`.
    pub what_was: Vec<String>,
    /// Says of a question that it asks of an earlier day.
    pub looks_back: Vec<String>,
    /// Asks how much was put in: one of these, one of `went_in`, and none of `wishes`.
    pub how_much: Vec<String>,
    /// Says of a question that it asks what went in.
    pub went_in: Vec<String>,
    /// Says of a question that it asks what to add.
    pub wishes: Vec<String>,
    /// Asks for the last visit.
    pub last_visit: Vec<String>,
    /// Puts right what was kept a moment ago.
    pub corrects: Vec<String>,
    /// Does so if the value that was kept follows it.
    pub instead: Vec<String>,
    /// Denies, in a correction, that something was done.
    pub denied: Vec<String>,
    /// So many hours after its beginning a visit is over: what is told later is another one.
    pub visit_h: f64,
    /// Says of no work that it was done now.
    pub not_done: Vec<String>,
    /// Endings of the names of photos.
    pub photo_endings: Vec<String>,
    /// Words for photos.
    pub photo_words: Vec<String>,
    /// Ways to measure.
    pub methods: Vec<String>,
    /// What is asked when a pool is taken on.
    pub profile: Vec<String>,
    /// What a round reads, in order.
    pub sheet: Vec<String>,
    /// Opens a stretch of so many days up to now.
    pub last_opens: Vec<String>,
    /// Number words of such a stretch.
    pub last_numbers: BTreeMap<String, f64>,
    /// Its units, in days.
    pub last_units: BTreeMap<String, f64>,
    /// Weather that wets a pool by an unknown depth.
    pub wetting: Vec<String>,
}

/// A stretch of the calendar as people name it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Period {
    /// What they say.
    pub words: Vec<String>,
    /// How long it is.
    pub unit: PeriodUnit,
    /// How many such stretches ago.
    pub back: u32,
}

/// How long a named stretch of the calendar is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PeriodUnit {
    /// A day.
    Day,
    /// A week, from Monday on.
    Week,
    /// A month of the calendar.
    Month,
    /// From the first of October to the end of April.
    Winter,
    /// A year of the calendar.
    Year,
}

pub(super) fn read_period(table: &Reader<'_, '_>) -> Option<Period> {
    let words = table.strings("words");
    let back = table.number("back").and_then(|n| (0..100_u32).find(|m| f64::from(*m) >= n));
    let named = table.text("unit");
    let unit = named.as_ref().and_then(|text| match text.text.as_str() {
        "day" => Some(PeriodUnit::Day),
        "week" => Some(PeriodUnit::Week),
        "month" => Some(PeriodUnit::Month),
        "winter" => Some(PeriodUnit::Winter),
        "year" => Some(PeriodUnit::Year),
        _ => None,
    });
    if let (Some(text), None) = (named, unit) {
        let message = format!("`{}` is no stretch of the calendar", text.text);
        let problem = Problem::error(Code::Value, Some(text.place()), message);
        table.problem(problem.help("write `day`, `week`, `month`, `winter` or `year`"));
    }
    table.finish();
    Some(Period { words, unit: unit?, back: back? })
}

pub(super) fn read_words(table: &Reader<'_, '_>, vocabulary: &Vocabulary) -> RecordWords {
    for name in table.texts("profile").into_iter().chain(table.texts("sheet")) {
        known(table, &name.text, vocabulary);
    }
    let words = RecordWords {
        keep: table.strings("keep"),
        same: table.strings("same"),
        added: table.strings("added"),
        already_in: table.string("already_in"),
        what_added: table.strings("what_added"),
        when_last: table.strings("when_last"),
        what_was: table.strings("what_was"),
        looks_back: table.strings("looks_back"),
        how_much: table.strings("how_much"),
        went_in: table.strings("went_in"),
        wishes: table.strings("wishes"),
        last_visit: table.strings("last_visit"),
        corrects: table.strings("corrects"),
        instead: table.strings("instead"),
        denied: table.strings("denied"),
        visit_h: table.number("visit_hours").unwrap_or_default(),
        not_done: table.strings("not_done"),
        photo_endings: table.strings("photo_endings"),
        photo_words: table.strings("photo_words"),
        methods: table.strings("methods"),
        profile: table.strings("profile"),
        sheet: table.strings("sheet"),
        last_opens: table.strings("last_opens"),
        last_numbers: counted(table, "last_numbers"),
        last_units: counted(table, "last_units"),
        wetting: table.strings("wetting"),
    };
    table.finish();
    words
}

/// A table of words with numbers.
fn counted(table: &Reader<'_, '_>, key: &'static str) -> BTreeMap<String, f64> {
    let Some(inner) = table.table(key) else { return BTreeMap::new() };
    let mut found = BTreeMap::new();
    for (word, number) in inner.entries() {
        if let Ok(value) = number.text.parse() {
            found.insert(word.text, value);
        } else {
            let message = format!("`{}` is no number", number.text);
            let problem = Problem::error(Code::Value, Some(number.place()), message);
            table.problem(problem.help(format!("write what `{}` counts, such as 7", word.text)));
        }
    }
    found
}
