//! Recurring work and its intervals, and the words of the record (`tasks.toml`).

use super::citation::Citation;
use super::document::Reader;
use super::rule::read_cites;
use super::trend::{TrendLimits, read_trend};
use super::vocabulary::Vocabulary;
use crate::facts::FactId;
use crate::problem::{Code, Problem};
use crate::units::{convert, find_unit, parse_quantity};
use serde::{Deserialize, Serialize};

/// How often a task comes round.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Every {
    /// So many days, by how warm the water is.
    Days {
        /// In cold water.
        cold: f64,
        /// In cool water.
        cool: f64,
        /// In warm water.
        warm: f64,
    },
    /// Once a year, between two days (month, day).
    Yearly {
        /// Not before this day.
        from: (u32, u32),
        /// By this day.
        by: (u32, u32),
    },
}

/// A recurring task.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Task {
    /// Its id.
    pub id: String,
    /// What is to be done.
    pub title: String,
    /// Words by which a question names it.
    pub words: Vec<String>,
    /// Words by which a message says that it was done now.
    pub done: Vec<String>,
    /// The fact that says how long ago it was done.
    pub fact: Option<FactId>,
    /// Only where this fact has one of these values.
    pub only: Option<(String, Vec<String>)>,
    /// How often.
    pub every: Every,
    /// Whether being late is urgent.
    pub critical: bool,
    /// How long it takes, minutes.
    pub minutes: f64,
    /// Notes that explain it.
    pub cites: Vec<Citation>,
    /// Where it comes from.
    pub source: String,
}

/// When the water is cold, cool or warm.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct Season {
    /// Cool from here, °C.
    pub cool_from_c: f64,
    /// Warm from here, °C.
    pub warm_from_c: f64,
    /// Months of cold water, on the northern half of the earth.
    pub cold_months: Vec<u32>,
    /// Months of warm water, likewise.
    pub warm_months: Vec<u32>,
}

/// Words by which a message speaks to the record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct RecordWords {
    /// Keeps what was said.
    pub keep: Vec<String>,
    /// Says that readings are those of the last visit.
    pub same: Vec<String>,
    /// Says that something was put in.
    pub added: Vec<String>,
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

/// A word that means several products.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Family {
    /// The word.
    pub word: String,
    /// Their ids.
    pub products: Vec<String>,
}

/// Everything of `tasks.toml`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, Default)]
pub struct Work {
    /// The tasks, in order of the file.
    pub tasks: Vec<Task>,
    /// The seasons.
    pub season: Season,
    /// The words of the record.
    pub words: RecordWords,
    /// When visits bear a trend out.
    pub trend: TrendLimits,
    /// Named stretches of the calendar.
    pub periods: Vec<Period>,
    /// Words that mean several products.
    pub families: Vec<Family>,
}

impl Work {
    /// The task that is this one at a pool with such a profile: a filter is cleaned in its own way.
    #[must_use]
    pub fn fitting<'w>(
        &'w self,
        task: &'w Task,
        holds: &dyn Fn(&str) -> Option<String>,
    ) -> &'w Task {
        let fits = |one: &Task| match &one.only {
            Some((fact, values)) => holds(fact).is_none_or(|held| values.contains(&held)),
            None => true,
        };
        if fits(task) || task.fact.is_none() {
            return task;
        }
        let other = self.tasks.iter().find(|one| one.fact == task.fact && fits(one));
        other.unwrap_or(task)
    }

    /// A task by its id.
    #[must_use]
    pub fn task(&self, id: &str) -> Option<&Task> {
        self.tasks.iter().find(|task| task.id == id)
    }
}

/// Reads `tasks.toml`.
pub(super) fn read_work(top: &Reader<'_, '_>, vocabulary: &Vocabulary) -> Work {
    let tasks = top.tables("task");
    Work {
        tasks: tasks.iter().filter_map(|table| read_task(table, vocabulary)).collect(),
        season: top.table("season").map(|table| read_season(&table)).unwrap_or_default(),
        words: top.table("record").map(|table| read_words(&table, vocabulary)).unwrap_or_default(),
        trend: top.table("trend").map(|table| read_trend(&table)).unwrap_or_default(),
        periods: top.tables("period").iter().filter_map(read_period).collect(),
        families: top.tables("family").iter().map(read_family).collect(),
    }
}

fn read_period(table: &Reader<'_, '_>) -> Option<Period> {
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

fn read_family(table: &Reader<'_, '_>) -> Family {
    let family = Family { word: table.string("word"), products: table.strings("products") };
    table.finish();
    family
}

fn read_words(table: &Reader<'_, '_>, vocabulary: &Vocabulary) -> RecordWords {
    for name in table.texts("profile") {
        known(table, &name.text, vocabulary);
    }
    let words = RecordWords {
        keep: table.strings("keep"),
        same: table.strings("same"),
        added: table.strings("added"),
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
    };
    table.finish();
    words
}

fn known(table: &Reader<'_, '_>, name: &str, vocabulary: &Vocabulary) -> Option<FactId> {
    let found = vocabulary.named(name, Some(table.place()));
    found.map(|(id, _)| id).map_err(|problem| table.problem(problem)).ok()
}

fn read_season(table: &Reader<'_, '_>) -> Season {
    let temperature = |key: &'static str| {
        let text = table.text(key)?;
        let celsius = find_unit("°C")?;
        let read =
            parse_quantity(&text.text).ok().and_then(|(value, from)| convert(value, from, celsius));
        if read.is_none() {
            let message = format!("`{}` is no temperature", text.text);
            table.problem(Problem::error(Code::Units, Some(text.place()), message));
        }
        read
    };
    let months = |key: &'static str| {
        let whole = |n: f64| (1..=12_u32).find(|month| (f64::from(*month) - n).abs() < 0.1);
        table.numbers(key).into_iter().filter_map(whole).collect()
    };
    let season = Season {
        cool_from_c: temperature("cool_from").unwrap_or_default(),
        warm_from_c: temperature("warm_from").unwrap_or_default(),
        cold_months: months("cold_months"),
        warm_months: months("warm_months"),
    };
    table.string("source");
    table.finish();
    season
}

fn read_task(table: &Reader<'_, '_>, vocabulary: &Vocabulary) -> Option<Task> {
    let fact = table.opt_string("fact").and_then(|name| known(table, &name, vocabulary));
    let only = table.table("only").map(|only| {
        let found = (only.string("fact"), only.strings("is"));
        known(&only, &found.0, vocabulary);
        only.finish();
        found
    });
    let every = table.table("every").map(|every| {
        let days = |key: &'static str| every.number(key).filter(|n| *n > 0.0).unwrap_or(7.0);
        let days = Every::Days { cold: days("cold"), cool: days("cool"), warm: days("warm") };
        every.finish();
        days
    });
    let yearly = table.table("yearly").and_then(|yearly| read_yearly(&yearly));
    if every.is_none() && yearly.is_none() {
        let message = "a task needs `every` or `yearly`";
        table.problem(Problem::error(Code::Syntax, Some(table.place()), message));
    }
    let task = Task {
        id: table.string("id"),
        title: table.string("title"),
        words: table.strings("words"),
        done: table.strings("done"),
        fact,
        only,
        every: every.or(yearly)?,
        critical: table.flag("critical").unwrap_or(false),
        minutes: table.number("minutes").unwrap_or(10.0),
        cites: read_cites(table),
        source: table.string("source"),
    };
    table.finish();
    Some(task)
}

fn read_yearly(table: &Reader<'_, '_>) -> Option<Every> {
    let day = |key: &'static str| {
        let text = table.text(key)?;
        let parts = text.text.split_once('-');
        let read = parts.and_then(|(m, d)| Some((m.parse().ok()?, d.parse().ok()?)));
        let good = read.filter(|(m, d)| (1..=12).contains(m) && (1..=28).contains(d));
        if good.is_none() {
            let message = format!("`{}` is no day of the year", text.text);
            let problem = Problem::error(Code::Value, Some(text.place()), message);
            table.problem(problem.help("write month and day like `10-25`, at most the 28th"));
        }
        good
    };
    let (from, by) = (day("from"), day("by"));
    table.finish();
    Some(Every::Yearly { from: from?, by: by? })
}
