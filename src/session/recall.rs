//! Questions to the record: what was added and how much of it, when something was last done, what a reading was.

use super::additions::amount_words;
use super::base::Base;
use super::done::stands;
use super::history::value;
use super::period::{Named, named};
use super::reply::plain;
use crate::advice::Advised;
use crate::clock::Moment;
use crate::facts::FactId;
use crate::knowledge::{Product, Task, Work};
use crate::language::Reading;
use crate::logbook::{PoolRecord, Store, Stretch, Visit, parts_of};
use crate::problem::Problem;
use crate::units::System;
use std::collections::BTreeMap;

/// So many days back when nobody says how far.
const DAYS: f64 = 60.0;

/// So many lines are told.
const LINES: usize = 8;

/// A question to the record.
enum Asked<'k> {
    Added,
    HowMuch(Vec<&'k Product>),
    Last(Vec<&'k Task>),
    Was(FactId),
    LastVisit,
}

/// Whom it is asked about, and when.
pub(super) struct About<'a> {
    /// The record.
    pub store: &'a dyn Store,
    /// The pool, if one is named or in hand.
    pub pool: Option<&'a PoolRecord>,
    /// Now.
    pub at: Moment,
    /// What is known of the trade.
    pub base: &'a Base,
    /// The units of the answer.
    pub units: System,
}

/// Answers a question to the record; `None` if the message (in lower case) asks it nothing.
pub(super) fn recall(about: &About<'_>, text: &str, reading: &Reading) -> Option<Advised> {
    let asked = asked(text, reading, about.base, about.at)?;
    let Some(pool) = about.pool else {
        return Some(plain("from the log", "Of which pool? Name it, and ask again."));
    };
    let when = named(text, &about.base.knowledge().work, about.at);
    let lines = match asked {
        Asked::Added => about.in_time(pool, when.as_ref(), |visits| about.added(visits, &[])),
        Asked::HowMuch(of) => about.how_much(pool, when.as_ref(), &of),
        Asked::Last(tasks) => about.last_done(pool, &tasks),
        Asked::Was(fact) => about.in_time(pool, when.as_ref(), |visits| about.was(visits, fact)),
        Asked::LastVisit => about.last_visit(pool, when.as_ref()),
    };
    let lines = lines.unwrap_or_else(|problem: Problem| vec![format!("{}.", problem.message)]);
    let heading = format!("from the log of {}", pool.name);
    Some(Advised { heading, lines, cites: Vec::new() })
}

fn asked<'k>(text: &str, reading: &Reading, base: &'k Base, at: Moment) -> Option<Asked<'k>> {
    let work = &base.knowledge().work;
    let words = parts_of(text);
    let says = |phrases: &[String]| phrases.iter().any(|phrase| stands(phrase, &words));
    if says(&work.words.what_added) {
        return Some(Asked::Added);
    }
    if says(&work.words.how_much) && says(&work.words.went_in) && !says(&work.words.wishes) {
        let products = products(&words, work, base);
        if !products.is_empty() {
            return Some(Asked::HowMuch(products));
        }
    }
    if says(&work.words.when_last) && text.contains("last") {
        let named = tasks_named(&words, &work.tasks);
        if !named.is_empty() {
            return Some(Asked::Last(named));
        }
    }
    if says(&work.words.last_visit) {
        return Some(Asked::LastVisit);
    }
    let past = |named: &Named| named.is_over(at) || named.days.0 < at.date();
    let back = says(&work.words.looks_back) || named(text, work, at).as_ref().is_some_and(past);
    if says(&work.words.what_was) && back && reading.facts.is_empty() {
        return reading.about.first().map(|fact| Asked::Was(*fact));
    }
    None
}

/// The products that a question names: those of the longest words that stand in it, a family's if its word is as long.
fn products<'k>(words: &[String], work: &Work, base: &'k Base) -> Vec<&'k Product> {
    let all = &base.knowledge().products;
    let spoken = all.iter().flat_map(|one| one.words.iter().map(move |word| (one, word)));
    let longest = spoken.filter(|(_, word)| stands(word, words)).max_by_key(|(_, w)| w.len());
    let family = work.families.iter().find(|family| stands(&family.word, words));
    match (longest, family) {
        (longest, Some(family)) if longest.is_none_or(|(_, w)| w.len() <= family.word.len()) => {
            all.iter().filter(|one| family.products.contains(&one.id)).collect()
        }
        (Some((one, _)), _) => vec![one],
        (None, _) => Vec::new(),
    }
}

/// The tasks whose words stand in the text; the longest words win, and who shares them answers too.
fn tasks_named<'k>(words: &[String], tasks: &'k [Task]) -> Vec<&'k Task> {
    let score = |task: &Task| {
        let stands = |phrase: &&String| parts_of(phrase).iter().all(|part| words.contains(part));
        task.words.iter().filter(stands).map(String::len).max().unwrap_or(0)
    };
    let best = tasks.iter().map(score).max().unwrap_or(0);
    tasks.iter().filter(|task| best > 0 && score(task) == best).collect()
}

/// `Mon 5 January 2026`.
fn day(at: Moment) -> String {
    at.time().format("%a %-d %B %Y").to_string()
}

fn by(who: &str) -> String {
    if who.is_empty() { String::new() } else { format!(" ({who})") }
}

impl About<'_> {
    fn visits(&self, pool: &PoolRecord, when: Option<&Named>) -> Result<Vec<Visit>, Problem> {
        let back = Stretch { from: Some(self.at.plus_hours(-24.0 * DAYS)), to: Some(self.at) };
        let stretch = when.map_or(back, |when| when.stretch(self.at));
        self.store.visits(&pool.id, stretch, usize::MAX)
    }

    /// What a stretch of time shows; if it is over, what came after it too.
    fn in_time(
        &self,
        pool: &PoolRecord,
        when: Option<&Named>,
        told: impl Fn(&[Visit]) -> Vec<String>,
    ) -> Result<Vec<String>, Problem> {
        let mut lines = told(&self.visits(pool, when)?);
        let Some(when) = when else {
            if lines.is_empty() {
                lines.push(format!("The log has nothing of that in the last {DAYS:.0} days."));
            }
            return Ok(lines);
        };
        if lines.is_empty() {
            lines.push(format!(
                "The log has nothing of that for {} ({}).",
                when.words,
                when.told()
            ));
        } else if when.days.0 != when.days.1 {
            lines.insert(0, format!("{}:", when.told()));
        }
        if when.is_over(self.at) && self.at.date() - when.days.1 <= chrono::TimeDelta::days(31) {
            let since = Stretch { from: when.stretch(self.at).to, to: Some(self.at) };
            let since = told(&self.store.visits(&pool.id, since, usize::MAX)?);
            if !since.is_empty() {
                lines.push("Since then:".to_owned());
                lines.extend(since);
            }
        }
        Ok(lines)
    }

    /// What was put in, of these products or of any.
    fn added(&self, visits: &[Visit], of: &[&Product]) -> Vec<String> {
        let line = |visit: &Visit| {
            let wanted = |id: &str| of.is_empty() || of.iter().any(|one| one.id == id);
            let said = visit.additions.iter().filter(|one| wanted(&one.product)).map(|one| {
                let product = self.base.knowledge().product(&one.product);
                format!("{} {}", one.given, product.map_or(one.product.as_str(), |p| &p.name))
            });
            let said: Vec<String> = said.collect();
            let line = format!("{}: {}{}.", day(visit.at), said.join(", "), by(&visit.who));
            (!said.is_empty()).then_some(line)
        };
        visits.iter().filter_map(line).take(LINES).collect()
    }

    /// How much of some products went in.
    fn how_much(
        &self,
        pool: &PoolRecord,
        when: Option<&Named>,
        of: &[&Product],
    ) -> Result<Vec<String>, Problem> {
        let visits = self.visits(pool, when)?;
        let mut sums: BTreeMap<(&str, Option<String>, &str), (f64, usize)> = BTreeMap::new();
        for one in visits.iter().flat_map(|visit| &visit.additions) {
            let Some(product) = of.iter().find(|product| product.id == one.product) else {
                continue;
            };
            let percent = one.percent.map(|percent| crate::units::trim_number(percent, 2));
            let sum = sums.entry((&product.name, percent, &one.unit)).or_default();
            sum.0 += one.amount;
            sum.1 += 1;
        }
        let span = when.map_or_else(
            || format!("In the last {DAYS:.0} days"),
            |when| format!("{} ({})", when.words, when.told()),
        );
        if sums.is_empty() {
            let names: Vec<&str> = of.iter().map(|one| one.name.as_str()).collect();
            return Ok(vec![format!("{span}: no {}, by the log.", names.join(", no "))]);
        }
        let line = |((name, percent, unit), (sum, times)): (
            &(&str, Option<String>, &str),
            &(f64, usize),
        )| {
            let amount = amount_words(*sum, unit, self.units);
            let percent = percent.as_ref().map(|p| format!(" of {p} %")).unwrap_or_default();
            let times = if *times == 1 { "once".to_owned() } else { format!("{times} times") };
            format!("{span}: {amount} {name}{percent}, {times}.")
        };
        let mut lines: Vec<String> = sums.iter().map(line).collect();
        lines.extend(self.added(&visits, of));
        Ok(lines)
    }

    fn last_done(&self, pool: &PoolRecord, tasks: &[&Task]) -> Result<Vec<String>, Problem> {
        let done = self.store.done(Some(&pool.id), Stretch { from: None, to: Some(self.at) })?;
        let of = |id: &str| tasks.iter().find(|task| task.id == id).copied();
        let last = done
            .iter()
            .filter(|(pool_id, ..)| *pool_id == pool.id)
            .filter_map(|(_, id, when)| Some((*when, of(id)?)))
            .max_by_key(|(when, _)| *when);
        let titles: Vec<&str> = tasks.iter().map(|task| task.title.as_str()).collect();
        Ok(vec![match last {
            Some((when, task)) => {
                let ago = super::book::age_words(self.at.hours_since(when));
                format!("{}: last done on {}, {ago} ago.", task.title, day(when))
            }
            None => {
                let titles = titles.join(" / ");
                format!("{titles}: the log does not say that it was ever done.")
            }
        }])
    }

    fn was(&self, visits: &[Visit], fact: FactId) -> Vec<String> {
        let Some(def) = self.base.knowledge().vocabulary.get(fact) else { return Vec::new() };
        let line = |visit: &Visit| {
            let one = visit.readings.iter().find(|one| one.fact == def.name)?;
            let shown = def.show(value(def, &one.value)?, self.units);
            Some(format!("{}: {} {shown}{}.", day(visit.at), def.title, by(&visit.who)))
        };
        visits.iter().filter_map(line).take(LINES).collect()
    }

    /// The last visit, or those of a stretch of time, whole.
    fn last_visit(&self, pool: &PoolRecord, when: Option<&Named>) -> Result<Vec<String>, Problem> {
        let visits = match when {
            Some(_) => self.visits(pool, when)?,
            None => self.store.visits(&pool.id, Stretch { from: None, to: Some(self.at) }, 1)?,
        };
        if visits.is_empty() {
            let span = when.map(|when| format!(" for {} ({})", when.words, when.told()));
            return Ok(vec![format!("The log has no visit{}.", span.unwrap_or_default())]);
        }
        let knowledge = self.base.knowledge();
        let line = |visit: &Visit| {
            let told = super::history::ToKeep::of(visit).said(visit.at, knowledge, self.units);
            let note =
                if visit.note.is_empty() { String::new() } else { format!("; {}", visit.note) };
            format!("{}{}: {told}{note}.", day(visit.at), by(&visit.who))
        };
        Ok(visits.iter().take(LINES).map(line).collect())
    }
}
