//! Questions to the record: what was added, when something was last done, what a reading was.

use super::base::Base;
use super::history::value;
use super::reply::plain;
use crate::advice::Advised;
use crate::clock::Moment;
use crate::facts::FactId;
use crate::knowledge::Task;
use crate::language::Reading;
use crate::logbook::{PoolRecord, Store, Stretch, Visit, parts_of};
use crate::problem::Problem;
use crate::units::System;

/// So many days back when nobody says how far.
const DAYS: f64 = 60.0;

/// So many lines are told.
const LINES: usize = 8;

/// A question to the record.
enum Asked<'k> {
    Added,
    Last(&'k Task),
    Was(FactId),
}

/// Answers a question to the record; `None` if the message asks it nothing.
pub(super) fn recall(
    store: &dyn Store,
    pool: Option<&PoolRecord>,
    text: &str,
    reading: &Reading,
    at: Moment,
    base: &Base,
    units: System,
) -> Option<Advised> {
    let asked = asked(text, reading, base)?;
    let Some(pool) = pool else {
        return Some(plain("from the log", "Of which pool? Name it, and ask again."));
    };
    let days = days_back(text);
    let stretch = |days: f64| Stretch { from: Some(at.plus_hours(-24.0 * days)), to: Some(at) };
    let lines = match asked {
        Asked::Added => {
            store.visits(&pool.id, stretch(days.unwrap_or(DAYS)), usize::MAX).map(|visits| {
                let told = added(&visits, base);
                or_nothing(
                    told,
                    &format!(
                        "Nothing was added in the last {:.0} days, by the log.",
                        days.unwrap_or(DAYS)
                    ),
                )
            })
        }
        Asked::Last(task) => last_done(store, pool, task, at),
        Asked::Was(fact) => {
            store.visits(&pool.id, stretch(days.unwrap_or(DAYS)), usize::MAX).map(|visits| {
                or_nothing(
                    was(&visits, fact, base, units),
                    "The log has no such reading in that time.",
                )
            })
        }
    };
    let lines = lines.unwrap_or_else(|problem: Problem| vec![format!("{}.", problem.message)]);
    let heading = format!("from the log of {}", pool.name);
    Some(Advised { heading, lines, cites: Vec::new() })
}

fn asked<'k>(text: &str, reading: &Reading, base: &'k Base) -> Option<Asked<'k>> {
    let work = &base.knowledge().work;
    let says = |words: &[String]| words.iter().any(|word| text.contains(word.as_str()));
    if says(&work.words.what_added) {
        return Some(Asked::Added);
    }
    if says(&work.words.when_last) && text.contains("last") {
        let named = task_named(text, &work.tasks);
        if named.is_some() {
            return named.map(Asked::Last);
        }
    }
    let back = ["last", "yesterday", "before", "log", "previous"].iter().any(|w| text.contains(w));
    if says(&work.words.what_was) && back && reading.facts.is_empty() {
        return reading.about.first().map(|fact| Asked::Was(*fact));
    }
    None
}

/// The task whose words stand in the text; the longest words win.
fn task_named<'k>(text: &str, tasks: &'k [Task]) -> Option<&'k Task> {
    let words = parts_of(text);
    let score = |task: &&Task| {
        let stands = |phrase: &&String| {
            let parts = parts_of(phrase);
            parts.iter().all(|part| words.contains(part))
        };
        task.words.iter().filter(stands).map(String::len).max().unwrap_or(0)
    };
    let best =
        tasks.iter().max_by_key(|task| (score(task), std::cmp::Reverse(task.id.as_str())))?;
    (score(&best) > 0).then_some(best)
}

fn days_back(text: &str) -> Option<f64> {
    let spans = [
        ("yesterday", 2.0),
        ("this week", 7.0),
        ("last week", 14.0),
        ("this month", 31.0),
        ("last month", 62.0),
        ("this winter", 200.0),
        ("last winter", 560.0),
        ("this year", 366.0),
    ];
    spans.iter().find(|(words, _)| text.contains(words)).map(|(_, days)| *days)
}

fn or_nothing(lines: Vec<String>, nothing: &str) -> Vec<String> {
    if lines.is_empty() { vec![nothing.to_owned()] } else { lines }
}

/// `Mon 5 January`.
fn day(at: Moment) -> String {
    at.time().format("%a %-d %B %Y").to_string()
}

fn by(who: &str) -> String {
    if who.is_empty() { String::new() } else { format!(" ({who})") }
}

fn added(visits: &[Visit], base: &Base) -> Vec<String> {
    let line = |visit: &Visit| {
        let said = visit.additions.iter().map(|one| {
            let product = base.knowledge().product(&one.product);
            format!("{} {}", one.given, product.map_or(one.product.as_str(), |p| p.name.as_str()))
        });
        format!("{}: {}{}.", day(visit.at), said.collect::<Vec<_>>().join(", "), by(&visit.who))
    };
    visits.iter().filter(|visit| !visit.additions.is_empty()).take(LINES).map(line).collect()
}

fn last_done(
    store: &dyn Store,
    pool: &PoolRecord,
    task: &Task,
    at: Moment,
) -> Result<Vec<String>, Problem> {
    let done = store.done(Some(&pool.id), Stretch { from: None, to: Some(at) })?;
    // Tasks that share a word, such as both ways to clean a filter, answer for each other.
    let when =
        done.iter().filter(|(of, id, _)| *of == pool.id && *id == task.id).map(|d| d.2).max();
    Ok(vec![match when {
        Some(when) => format!(
            "{}: last done on {}, {} ago.",
            task.title,
            day(when),
            super::book::age_words(at.hours_since(when))
        ),
        None => format!("{}: the log does not say that it was ever done.", task.title),
    }])
}

fn was(visits: &[Visit], fact: FactId, base: &Base, units: System) -> Vec<String> {
    let Some(def) = base.knowledge().vocabulary.get(fact) else { return Vec::new() };
    let line = |visit: &Visit| {
        let one = visit.readings.iter().find(|one| one.fact == def.name)?;
        let shown = def.show(value(def, &one.value)?, units);
        Some(format!("{}: {} {shown}{}.", day(visit.at), def.title, by(&visit.who)))
    };
    visits.iter().filter_map(line).take(LINES).collect()
}
