//! What is due: recurring work by season and water temperature, what was put off, days off, and the round.

use crate::clock::Moment;
use crate::knowledge::{Every, Season, Task, Urgency, Work};
use crate::units::count;
use chrono::{Datelike, NaiveDate, TimeDelta};
use std::collections::BTreeMap;

/// So many days after its opening a yearly window is over, and the next one counts.
const HALF_A_YEAR: i64 = 200;

/// The classes of the water.
const CLASSES: [&str; 3] = ["cold", "cool", "warm"];

/// A water temperature older than this says nothing about the class of the water.
const TEMPERATURE_DAYS: f64 = 21.0;

/// Work this far ahead is listed, days.
pub const AHEAD_DAYS: i64 = 7;

/// A calendar reaches so far that every task of every pool has its next day in it, days.
pub const CALENDAR_DAYS: i64 = 800;

/// What is known of one pool.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct DuePool {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// When it was taken on.
    pub since: Option<NaiveDate>,
    /// Its profile, as words (`yes`, `sand`).
    pub profile: BTreeMap<String, String>,
    /// When each task was last done.
    pub done: BTreeMap<String, Moment>,
    /// The latest water temperature, °C, and when it was read.
    pub water_c: Option<(f64, Moment)>,
    /// Until when tasks are put off, by task, and why.
    pub postponed: BTreeMap<String, (Moment, String)>,
    /// Days on which nothing is planned: from, to.
    pub blackouts: Vec<(NaiveDate, NaiveDate)>,
    /// Latitude and longitude.
    pub place: Option<(f64, f64)>,
}

/// One thing that is due.
#[derive(Debug, Clone, PartialEq)]
pub struct DueItem {
    /// The task.
    pub task: String,
    /// What is to be done.
    pub title: String,
    /// The day.
    pub due: NaiveDate,
    /// How many days late; negative ahead of time.
    pub late_days: i64,
    /// How soon.
    pub urgency: Urgency,
    /// When it was last done.
    pub last: Option<Moment>,
    /// Why then, in words.
    pub why: String,
    /// What is out of the ordinary about the day: never noted as done, put off, moved behind days off.
    pub moved: String,
    /// How long it takes, minutes.
    pub minutes: f64,
    /// Sections that explain it.
    pub cites: Vec<String>,
}

/// What is due at one pool.
#[derive(Debug, Clone, PartialEq)]
pub struct PoolDue {
    /// Its id.
    pub pool: String,
    /// Its name.
    pub name: String,
    /// Most pressing first.
    pub items: Vec<DueItem>,
    /// How warm the water is taken to be, and what says so: it sets the intervals.
    pub water: String,
    place: Option<(f64, f64)>,
}

impl PoolDue {
    /// How soon the most pressing of it is.
    #[must_use]
    pub fn urgency(&self) -> Urgency {
        self.items.first().map_or(Urgency::Info, |item| item.urgency)
    }

    /// By how many whole weeks the latest of its work is late.
    fn worst(&self) -> i64 {
        self.items.iter().map(|item| item.late_days.max(0) / 7).max().unwrap_or(0)
    }

    /// How long what is due by today takes, minutes.
    #[must_use]
    pub fn minutes(&self) -> f64 {
        self.items.iter().filter(|item| item.late_days >= 0).map(|item| item.minutes).sum()
    }
}

/// What is due at each pool, in the order of a round: the most pressing pools first; among those of one urgency the one
/// whose work is latest by weeks, then the nearest one next where places are known, else by name.
#[must_use]
pub fn due(work: &Work, pools: &[DuePool], at: Moment, ahead_days: i64) -> Vec<PoolDue> {
    let mut round: Vec<PoolDue> = pools
        .iter()
        .map(|pool| PoolDue {
            pool: pool.id.clone(),
            name: pool.name.clone(),
            items: items(work, pool, at, ahead_days),
            water: {
                let (class, of) = class(&work.season, pool, at);
                format!("{} water ({of})", CLASSES.get(class).copied().unwrap_or(""))
            },
            place: pool.place,
        })
        .filter(|pool| !pool.items.is_empty())
        .collect();
    let key = |pool: &PoolDue| (pool.urgency(), -pool.worst(), natural(&pool.name));
    round.sort_by_key(key);
    nearest_next(round)
}

fn items(work: &Work, pool: &DuePool, at: Moment, ahead_days: i64) -> Vec<DueItem> {
    let today = at.date();
    let horizon = today + TimeDelta::days(ahead_days);
    let fits = |task: &&Task| match &task.only {
        Some((fact, values)) => pool.profile.get(fact).is_some_and(|held| values.contains(held)),
        None => true,
    };
    let mut items: Vec<DueItem> = work
        .tasks
        .iter()
        .filter(fits)
        .filter_map(|task| item(task, work, pool, at))
        .filter(|item| item.due <= horizon)
        .collect();
    items.sort_by(|a, b| {
        (a.urgency.cmp(&b.urgency)).then(a.due.cmp(&b.due)).then_with(|| a.task.cmp(&b.task))
    });
    items
}

fn item(task: &Task, work: &Work, pool: &DuePool, at: Moment) -> Option<DueItem> {
    let today = at.date();
    let last = pool.done.get(&task.id).copied();
    let mut moved: Vec<String> = Vec::new();
    let (planned, every, usual) = match &task.every {
        Every::Days { cold, cool, warm } => {
            let (class, of) = class(&work.season, pool, at);
            let days = [*cold, *cool, *warm].get(class).copied().unwrap_or(*cool);
            let words = CLASSES.get(class).copied().unwrap_or("");
            let every = whole(days);
            let due = match last {
                Some(last) => last.date() + TimeDelta::days(every),
                None => pool.since.map_or(today, |since| since.max(today)),
            };
            if last.is_none() {
                moved.push("never noted as done".to_owned());
            }
            (due, every, format!("every {every} days in {words} water ({of})"))
        }
        Every::Yearly { from, by } => {
            let by = yearly_by((*from, *by), today, last.map(Moment::date), pool.place)?;
            let yearly = format!("once a year, by {}", by.format("%-d %B"));
            // A pool taken on later is not late with what lay before.
            let by = pool.since.map_or(by, |since| if by < since { since.max(today) } else { by });
            moved.push(yearly.clone());
            (by, 365, yearly)
        }
    };
    let due = moved_day(pool, task, (planned, last), today, &mut moved);
    let mut reasons = vec![usual.clone()];
    reasons.extend(moved.iter().filter(|one| **one != usual).cloned());
    let why = reasons.join("; ");
    let moved = moved.join("; ");
    let late_days = (today - due).num_days();
    let urgency = match late_days {
        late if late > every && task.critical => Urgency::Now,
        late if late > 0 && task.critical => Urgency::Today,
        late if late >= 0 => Urgency::Today,
        _ => Urgency::Week,
    };
    Some(DueItem {
        task: task.id.clone(),
        title: task.title.clone(),
        due,
        late_days,
        urgency,
        last,
        why,
        moved,
        minutes: task.minutes,
        cites: task.cites.iter().map(|cite| cite.to.0.clone()).collect(),
    })
}

/// The day after postponements and days off; says what moved it.
fn moved_day(
    pool: &DuePool,
    task: &Task,
    (planned, last): (NaiveDate, Option<Moment>),
    today: NaiveDate,
    moved: &mut Vec<String>,
) -> NaiveDate {
    let mut due = planned;
    if let Some((until, reason)) = pool.postponed.get(&task.id)
        && last.is_none_or(|last| last < *until)
        && until.date() > due
    {
        due = until.date();
        let reason = if reason.is_empty() { String::new() } else { format!(": {reason}") };
        moved.push(format!("put off to {}{reason}", due.format("%-d %B")));
    }
    let mut off: Vec<(NaiveDate, NaiveDate)> = pool.blackouts.clone();
    off.sort_unstable();
    let before = due;
    for (from, to) in off {
        if (from..=to).contains(&due.max(today)) {
            due = to + TimeDelta::days(1);
        }
    }
    if due != before {
        moved.push("moved behind days off".to_owned());
    }
    due
}

/// 0 cold, 1 cool, 2 warm, and what says so.
fn class(season: &Season, pool: &DuePool, at: Moment) -> (usize, &'static str) {
    if let Some((water, read)) = pool.water_c
        && at.hours_since(read) <= TEMPERATURE_DAYS * 24.0
    {
        let class =
            usize::from(water >= season.cool_from_c) + usize::from(water >= season.warm_from_c);
        return (class, "as last measured");
    }
    let south = pool.place.is_some_and(|(latitude, _)| latitude < 0.0);
    let month = if south { (at.month() + 5) % 12 + 1 } else { at.month() };
    if season.cold_months.contains(&month) {
        (0, "by the month")
    } else if season.warm_months.contains(&month) {
        (2, "by the month")
    } else {
        (1, "by the month")
    }
}

/// The day by which a yearly task is to be done next: that of the window which is open, or was open within half a year,
/// unless it was done in it. On the southern half of the earth windows lie six months later.
fn yearly_by(
    (from, by): ((u32, u32), (u32, u32)),
    today: NaiveDate,
    last: Option<NaiveDate>,
    place: Option<(f64, f64)>,
) -> Option<NaiveDate> {
    let shift = if place.is_some_and(|(latitude, _)| latitude < 0.0) { 6 } else { 0 };
    let moved = |(month, day): (u32, u32)| ((month + shift - 1) % 12 + 1, day);
    let (from, by) = (moved(from), moved(by));
    let window = |year: i32| {
        let opens = NaiveDate::from_ymd_opt(year, from.0, from.1)?;
        let closes = NaiveDate::from_ymd_opt(year, by.0, by.1)?;
        let next = || NaiveDate::from_ymd_opt(year + 1, by.0, by.1);
        Some((opens, if closes < opens { next()? } else { closes }))
    };
    let this = if today < window(today.year())?.0 { today.year() - 1 } else { today.year() };
    let (opens, closes) = window(this)?;
    let over = (today - opens).num_days() >= HALF_A_YEAR;
    let done = last.is_some_and(|last| last >= opens);
    if over || done { window(this + 1).map(|(_, closes)| closes) } else { Some(closes) }
}

fn whole(days: f64) -> i64 {
    format!("{days:.0}").parse().unwrap_or(7)
}

/// Among pools of one urgency the nearest comes next; pools without a place keep their order behind.
fn nearest_next(round: Vec<PoolDue>) -> Vec<PoolDue> {
    let mut ordered: Vec<PoolDue> = Vec::with_capacity(round.len());
    let mut left = std::collections::VecDeque::from(round);
    while let Some(first) = left.front() {
        let (urgency, worst) = (first.urgency(), first.worst());
        let from = ordered.last().and_then(|pool| pool.place);
        let next = from.and_then(|from| {
            let like = |pool: &PoolDue| (pool.urgency(), pool.worst()) == (urgency, worst);
            let same = left.iter().enumerate().take_while(|(_, pool)| like(pool));
            same.filter_map(|(n, pool)| Some((n, distance(from, pool.place?))))
                .min_by(|a, b| a.1.total_cmp(&b.1))
                .map(|(n, _)| n)
        });
        ordered.extend(left.remove(next.unwrap_or(0)));
    }
    ordered
}

/// Degrees of latitude, with longitude shortened: near enough to choose the next stop by.
fn distance(a: (f64, f64), b: (f64, f64)) -> f64 {
    let east = (a.1 - b.1) * a.0.to_radians().cos();
    (a.0 - b.0).hypot(east)
}

/// `Lane 9` before `Lane 11`.
fn natural(name: &str) -> Vec<(String, u64)> {
    let mut parts: Vec<(String, u64)> = Vec::new();
    let lower = name.to_lowercase();
    let mut rest = lower.as_str();
    while !rest.is_empty() {
        let words = rest.find(|c: char| c.is_ascii_digit()).unwrap_or(rest.len());
        let (word, after) = rest.split_at_checked(words).unwrap_or((rest, ""));
        let digits = after.find(|c: char| !c.is_ascii_digit()).unwrap_or(after.len());
        let (number, after) = after.split_at_checked(digits).unwrap_or((after, ""));
        parts.push((word.to_owned(), number.parse().unwrap_or(0)));
        rest = after;
    }
    parts
}

/// Minutes of a round in words: `1 h 20 min`.
#[must_use]
pub fn minutes_words(minutes: f64) -> String {
    let whole = count(usize::try_from(whole(minutes)).unwrap_or(0));
    let hours = (whole / 60.0).floor();
    let rest = whole - hours * 60.0;
    match (hours > 0.0, rest > 0.0) {
        (true, true) => format!("{hours:.0} h {rest:.0} min"),
        (true, false) => format!("{hours:.0} h"),
        _ => format!("{whole:.0} min"),
    }
}
