//! What is due: recurring work by season and water temperature, what was put off, days off, and the round.

use crate::clock::Moment;
use crate::knowledge::{Every, Season, Task, Urgency, Work};
use crate::units::count;
use chrono::{Datelike, NaiveDate, TimeDelta};
use std::collections::BTreeMap;

/// A water temperature older than this says nothing about the class of the water.
const TEMPERATURE_DAYS: f64 = 21.0;

/// Work this far ahead is listed.
pub const AHEAD_DAYS: i64 = 7;

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
    place: Option<(f64, f64)>,
}

impl PoolDue {
    /// How soon the most pressing of it is.
    #[must_use]
    pub fn urgency(&self) -> Urgency {
        self.items.first().map_or(Urgency::Info, |item| item.urgency)
    }

    /// How long what is due by today takes, minutes.
    #[must_use]
    pub fn minutes(&self) -> f64 {
        self.items.iter().filter(|item| item.late_days >= 0).map(|item| item.minutes).sum()
    }
}

/// What is due at each pool, in the order of a round: the most pressing pools first; among equals the nearest one next
/// where places are known, else by name.
#[must_use]
pub fn due(work: &Work, pools: &[DuePool], at: Moment) -> Vec<PoolDue> {
    let mut round: Vec<PoolDue> = pools
        .iter()
        .map(|pool| PoolDue {
            pool: pool.id.clone(),
            name: pool.name.clone(),
            items: items(work, pool, at),
            place: pool.place,
        })
        .filter(|pool| !pool.items.is_empty())
        .collect();
    let key = |pool: &PoolDue| (pool.urgency(), natural(&pool.name));
    round.sort_by_key(key);
    nearest_next(round)
}

fn items(work: &Work, pool: &DuePool, at: Moment) -> Vec<DueItem> {
    let today = at.date();
    let horizon = today + TimeDelta::days(AHEAD_DAYS);
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
    let (planned, every, mut why) = match &task.every {
        Every::Days { cold, cool, warm } => {
            let (class, of) = class(&work.season, pool, at);
            let days = [*cold, *cool, *warm].get(class).copied().unwrap_or(*cool);
            let words = ["cold", "cool", "warm"].get(class).copied().unwrap_or("");
            let every = whole(days);
            let due = match last {
                Some(last) => last.date() + TimeDelta::days(every),
                None => pool.since.map_or(today, |since| since.max(today - TimeDelta::days(1))),
            };
            let known = if last.is_some() { "" } else { "; never noted as done" };
            (due, every, format!("every {every} days in {words} water ({of}){known}"))
        }
        Every::Yearly { from, by } => {
            let (opens, by) = season_of(*from, *by, today, pool.place)?;
            let done = last.is_some_and(|last| last.date() >= opens);
            if done || today < opens {
                return None;
            }
            (by, 365, format!("once a year, by {}", by.format("%-d %B")))
        }
    };
    let mut due = planned;
    if let Some((until, reason)) = pool.postponed.get(&task.id)
        && last.is_none_or(|last| last < *until)
        && until.date() > due
    {
        due = until.date();
        let reason = if reason.is_empty() { String::new() } else { format!(": {reason}") };
        why = format!("{why}; put off to {due}{reason}");
    }
    for (from, to) in &pool.blackouts {
        if (*from..=*to).contains(&due.max(today)) {
            due = *to + TimeDelta::days(1);
            why = format!("{why}; moved behind days off");
        }
    }
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
        minutes: task.minutes,
        cites: task.cites.iter().map(|cite| cite.to.0.clone()).collect(),
    })
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

/// The window of a yearly task that is open or opens next: a year runs from one opening to the next. On the southern
/// half of the earth it lies six months later.
fn season_of(
    from: (u32, u32),
    by: (u32, u32),
    today: NaiveDate,
    place: Option<(f64, f64)>,
) -> Option<(NaiveDate, NaiveDate)> {
    let shift = if place.is_some_and(|(latitude, _)| latitude < 0.0) { 6 } else { 0 };
    let moved = |(month, day): (u32, u32)| ((month + shift - 1) % 12 + 1, day);
    let (from, by) = (moved(from), moved(by));
    let opens = NaiveDate::from_ymd_opt(today.year(), from.0, from.1)?;
    let year = if today < opens { today.year() - 1 } else { today.year() };
    let opens = NaiveDate::from_ymd_opt(year, from.0, from.1)?;
    let closes = NaiveDate::from_ymd_opt(year, by.0, by.1)?;
    let closes =
        if closes < opens { NaiveDate::from_ymd_opt(year + 1, by.0, by.1)? } else { closes };
    // Half a year later the winter is over, and the next opening counts.
    ((today - opens).num_days() < 200).then_some((opens, closes))
}

fn whole(days: f64) -> i64 {
    format!("{days:.0}").parse().unwrap_or(7)
}

/// Among pools of one urgency the nearest comes next; pools without a place keep their order behind.
fn nearest_next(round: Vec<PoolDue>) -> Vec<PoolDue> {
    let mut ordered: Vec<PoolDue> = Vec::with_capacity(round.len());
    let mut left = std::collections::VecDeque::from(round);
    while let Some(first) = left.front() {
        let urgency = first.urgency();
        let from = ordered.last().and_then(|pool| pool.place);
        let next = from.and_then(|from| {
            let same = left.iter().enumerate().take_while(|(_, pool)| pool.urgency() == urgency);
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
    if hours > 0.0 {
        format!("{hours:.0} h {:.0} min", whole - hours * 60.0)
    } else {
        format!("{whole:.0} min")
    }
}
