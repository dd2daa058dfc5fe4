//! Recurring work and its intervals, and the words of the record (`tasks.toml`).

use super::citation::Citation;
use super::document::Reader;
use super::rule::read_cites;
use super::spoken::{Period, RecordWords, read_period, read_words};
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
    /// Readings that show together that it was done; `a|b` where one of two will do.
    pub shown_by: Vec<String>,
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

/// A word that means several products.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Family {
    /// The word.
    pub word: String,
    /// Their ids.
    pub products: Vec<String>,
}

/// One chart of a report.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Drawn {
    /// What is drawn.
    pub fact: String,
    /// The products and tasks that move it.
    pub by: Vec<String>,
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
    /// The charts of a report.
    pub drawn: Vec<Drawn>,
}

impl Task {
    /// Whether there is such work at a pool with such a profile; what the profile does not say may be there.
    #[must_use]
    pub fn fits(&self, holds: &dyn Fn(&str) -> Option<String>) -> bool {
        self.only
            .as_ref()
            .is_none_or(|(fact, values)| holds(fact).is_none_or(|held| values.contains(&held)))
    }
}

impl Work {
    /// The task that is this one at a pool with such a profile: a filter is cleaned in its own way.
    #[must_use]
    pub fn fitting<'w>(
        &'w self,
        task: &'w Task,
        holds: &dyn Fn(&str) -> Option<String>,
    ) -> &'w Task {
        if task.fits(holds) || task.fact.is_none() {
            return task;
        }
        let other = self.tasks.iter().find(|one| one.fact == task.fact && one.fits(holds));
        other.unwrap_or(task)
    }

    /// The tasks that readings of these facts show to be done.
    pub fn shown_by<'w>(
        &'w self,
        read: &'w dyn Fn(&str) -> bool,
    ) -> impl Iterator<Item = &'w Task> {
        let shown = move |task: &&Task| {
            let one = |facts: &String| facts.split('|').any(read);
            !task.shown_by.is_empty() && task.shown_by.iter().all(one)
        };
        self.tasks.iter().filter(shown)
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
        drawn: top.tables("drawn").iter().map(|table| read_drawn(table, vocabulary)).collect(),
    }
}

fn read_drawn(table: &Reader<'_, '_>, vocabulary: &Vocabulary) -> Drawn {
    let drawn = Drawn { fact: table.string("fact"), by: table.strings("by") };
    known(table, &drawn.fact, vocabulary);
    table.finish();
    drawn
}

fn read_family(table: &Reader<'_, '_>) -> Family {
    let family = Family { word: table.string("word"), products: table.strings("products") };
    table.finish();
    family
}

pub(super) fn known(table: &Reader<'_, '_>, name: &str, vocabulary: &Vocabulary) -> Option<FactId> {
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
    let shown_by = table.strings("shown_by");
    for name in shown_by.iter().flat_map(|facts| facts.split('|')) {
        known(table, name, vocabulary);
    }
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
        shown_by,
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
