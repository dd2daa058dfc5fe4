//! Between the record and the facts: rows become facts with an age, what was said becomes rows.

use super::base::Base;
use super::trends::trends;
use crate::advice::titled;
use crate::clock::Moment;
use crate::facts::{Fact, FactId, Value};
use crate::knowledge::{FactDef, Kind, Knowledge, Vocabulary, Work};
use crate::logbook::{
    Held, Latest, NewVisit, PoolRecord, ProfileEntry, Reading, Store, Stretch, Visit,
};
use crate::problem::Problem;
use crate::units::System;

/// Readings older than this are not even called stale.
const OLDEST_H: f64 = 400.0 * 24.0;

/// Facts about time itself (`pump.stopped_for`, `task.brush.days_ago`) grow older and are no readings.
const TASKS: &str = "task.";

/// What the record knows of a pool at a moment.
#[derive(Debug, Clone, Default)]
pub struct History {
    /// From the profile.
    pub profile: Vec<(FactId, Value)>,
    /// Readings that are still good, with their age in hours.
    pub fresh: Vec<(FactId, Value, f64)>,
    /// Readings that are too old, with their age in hours.
    pub stale: Vec<(FactId, Value, f64)>,
}

/// A value as the record keeps it.
#[must_use]
pub fn held(def: &FactDef, value: Value) -> Held {
    match (&def.kind, value) {
        (Kind::Number { .. }, Value::Number(n)) => Held::Number(n),
        (_, Value::Flag(flag)) => Held::Word(if flag { "yes" } else { "no" }.to_owned()),
        (_, value) => {
            let set = value.choices().unwrap_or_default();
            let words: Vec<&str> =
                set.iter().filter_map(|n| def.values().get(n)).map(String::as_str).collect();
            Held::Word(words.join(", "))
        }
    }
}

/// A kept value as a fact's; `None` if the vocabulary no longer has such a value.
#[must_use]
pub fn value(def: &FactDef, held: &Held) -> Option<Value> {
    match (&def.kind, held) {
        (Kind::Number { .. }, Held::Number(n)) => Some(Value::Number(*n)),
        (Kind::Number { .. }, _) | (_, Held::Number(_)) => None,
        (_, Held::Word(word)) => def.parse(word).ok(),
    }
}

/// What the record knows of a pool at a moment.
///
/// # Errors
/// The record's.
pub fn history(
    store: &dyn Store,
    pool: &PoolRecord,
    at: Moment,
    base: &Base,
) -> Result<History, Problem> {
    let knowledge = base.knowledge();
    let words = &knowledge.vocabulary;
    let profile = store.profile(&pool.id, at)?;
    let mut history = History { profile: of_profile(&profile, words), ..History::default() };
    let stretch = Stretch { from: Some(at.plus_hours(-OLDEST_H)), to: Some(at) };
    for one in store.latest(&pool.id, stretch)? {
        let Some(id) = words.find(&one.fact) else { continue };
        let Some(def) = words.get(id) else { continue };
        let Some(value) = value(def, &one.value) else { continue };
        let age = at.hours_since(one.at);
        match def.fresh_h {
            Some(fresh) if age > fresh => history.stale.push((id, value, age)),
            _ => history.fresh.push((id, value, age)),
        }
    }
    let recent =
        Stretch { from: Some(at.plus_hours(-knowledge.work.trend.window_h)), to: Some(at) };
    let visits = store.visits(&pool.id, recent, usize::MAX)?;
    let age = visits.first().map_or(0.0, |visit| at.hours_since(visit.at));
    for trend in trends(base, &visits, &profile, at, System::default()) {
        for (name, held) in trend.facts {
            let def = words.def(name).filter(|def| def.fresh_h.is_none_or(|fresh| age <= fresh));
            if let (Some(id), Some(def)) = (words.find(name), def) {
                history.fresh.extend(value(def, &held).map(|value| (id, value, age)));
            }
        }
    }
    for (of, task, when) in store.done(Some(&pool.id), stretch)? {
        let fact = knowledge.work.task(&task).and_then(|task| task.fact);
        if let (true, Some(fact)) = (of == pool.id, fact) {
            let age = at.hours_since(when);
            let told = history.fresh.iter().position(|(id, _, held)| *id == fact && *held <= age);
            // Two ways to clean a filter share a fact: the later one counts.
            if told.is_none() {
                history.fresh.retain(|(id, ..)| *id != fact);
                history.fresh.push((fact, Value::Number((age / 24.0).floor()), age));
            }
        }
    }
    Ok(history)
}

/// Profile entries as facts.
#[must_use]
pub fn of_profile(entries: &[ProfileEntry], words: &Vocabulary) -> Vec<(FactId, Value)> {
    let fact = |entry: &ProfileEntry| {
        let id = words.find(&entry.name)?;
        Some((id, value(words.get(id)?, entry.value.as_ref()?)?))
    };
    entries.iter().filter_map(fact).collect()
}

/// What was said, sorted by where it is kept.
#[derive(Debug, Clone)]
pub struct ToKeep {
    /// Visits: the one of now, and earlier ones at which tasks were done.
    pub visits: Vec<NewVisit>,
    /// Changes of the profile.
    pub profile: Vec<ProfileEntry>,
}

/// Sorts facts into a visit of this moment, tasks of earlier days, and what lasts. Doubted and supposed ones are
/// left out.
#[must_use]
pub fn to_keep(
    facts: &[Fact],
    at: Moment,
    who: &str,
    method: &dyn Fn(&Fact) -> String,
    knowledge: &Knowledge,
) -> ToKeep {
    let mut now = NewVisit::new(at, who);
    let mut earlier: Vec<NewVisit> = Vec::new();
    let mut profile = Vec::new();
    for fact in facts.iter().filter(|fact| !fact.supposed && fact.doubt.is_none()) {
        let Some(def) = knowledge.vocabulary.get(fact.id) else { continue };
        let task = knowledge.work.tasks.iter().find(|task| task.fact == Some(fact.id));
        if let (Some(task), Some(days)) = (task, fact.value.number()) {
            if days < 1.0 {
                now.tasks.push(task.id.clone());
            } else {
                let mut visit = NewVisit::new(at.plus_hours(-days * 24.0), who);
                visit.tasks.push(task.id.clone());
                visit.note = "told later".to_owned();
                earlier.push(visit);
            }
            continue;
        }
        let value = held(def, fact.value);
        if def.fresh_h.is_none() && !def.name.starts_with(TASKS) {
            profile.push(ProfileEntry {
                name: def.name.clone(),
                value: Some(value),
                given: fact.given.clone(),
                since: at,
                who: who.to_owned(),
                why: String::new(),
            });
        } else {
            now.readings.push(Reading {
                fact: def.name.clone(),
                value,
                given: fact.given.clone(),
                method: method(fact),
            });
        }
    }
    if !now.is_empty() {
        earlier.insert(0, now);
    }
    ToKeep { visits: earlier, profile }
}

impl ToKeep {
    /// A visit that was kept, to be told in the same words.
    pub(super) fn of(visit: &Visit) -> Self {
        let visit = visit.clone();
        let mut told = NewVisit::new(visit.at, visit.who);
        told.readings = visit.readings;
        told.additions = visit.additions;
        told.tasks = visit.tasks;
        told.photos = visit.photos;
        Self { visits: vec![told], profile: Vec::new() }
    }

    /// The visit of this moment, to add to it.
    pub(super) fn now(&mut self, at: Moment, who: &str) -> Option<&mut NewVisit> {
        if self.visits.first().is_none_or(|visit| visit.at != at) {
            self.visits.insert(0, NewVisit::new(at, who));
        }
        self.visits.first_mut()
    }

    /// Puts for each task the one that is done in its place at a pool with such a profile.
    pub(super) fn fit(&mut self, work: &Work, holds: &dyn Fn(&str) -> Option<String>) {
        for task in self.visits.iter_mut().flat_map(|visit| &mut visit.tasks) {
            if let Some(known) = work.task(task) {
                task.clone_from(&work.fitting(known, holds).id);
            }
        }
        for visit in &mut self.visits {
            visit.tasks.sort();
            visit.tasks.dedup();
        }
    }

    /// What is to be kept, in words.
    #[must_use]
    pub fn said(&self, at: Moment, knowledge: &Knowledge, units: System) -> String {
        let shown = |name: &str, held: &Held| {
            let def = knowledge.vocabulary.def(name)?;
            Some(titled(def, &def.show(value(def, held)?, units)))
        };
        let lasting = self.profile.iter().filter_map(|e| shown(&e.name, e.value.as_ref()?));
        let mut said: Vec<String> = Vec::new();
        for visit in &self.visits {
            said.extend(visit.readings.iter().filter_map(|one| shown(&one.fact, &one.value)));
            said.extend(visit.additions.iter().map(|one| {
                let name = knowledge.product(&one.product).map(|product| product.name.as_str());
                format!("added {} {}", one.given, name.unwrap_or(&one.product))
            }));
            let days = (at.hours_since(visit.at) / 24.0).round();
            let ago = match days {
                days if days < 1.0 => String::new(),
                days if days < 2.0 => " yesterday".to_owned(),
                days => format!(" {days:.0} days ago"),
            };
            said.extend(visit.tasks.iter().map(|id| {
                let title = knowledge.work.task(id).map_or(id.as_str(), |task| &task.title);
                format!("\"{title}\"{ago}")
            }));
            said.extend(visit.photos.iter().map(|file| format!("photo {file}")));
        }
        said.into_iter().chain(lasting).collect::<Vec<_>>().join(", ")
    }

    /// Whether there is nothing to keep.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.visits.is_empty() && self.profile.is_empty()
    }

    /// Keeps it. What the profile says already is not said again; a test whose readings are there was done. Gives back
    /// the ids of the visits.
    ///
    /// # Errors
    /// The record's.
    pub fn keep(
        &self,
        store: &dyn Store,
        pool: &str,
        at: Moment,
        work: &Work,
    ) -> Result<Vec<String>, Problem> {
        let known = store.profile(pool, at)?;
        let says = |entry: &ProfileEntry| {
            known.iter().any(|held| held.name == entry.name && held.value == entry.value)
        };
        let changes: Vec<ProfileEntry> =
            self.profile.iter().filter(|entry| !says(entry)).cloned().collect();
        if !changes.is_empty() {
            store.add_profile(pool, &changes)?;
        }
        let kept = self.visits.iter().map(|visit| {
            let mut visit = visit.clone();
            shown_done(&visit.readings, &mut visit.tasks, work);
            store.add_visit(pool, &visit)
        });
        kept.collect()
    }
}

/// Adds the tasks that readings show to be done.
pub(super) fn shown_done(readings: &[Reading], tasks: &mut Vec<String>, work: &Work) {
    let read = |fact: &str| readings.iter().any(|one| one.fact == fact);
    let shown = work.shown_by(&read).map(|task| &task.id);
    let new: Vec<String> = shown.filter(|id| !tasks.contains(id)).cloned().collect();
    tasks.extend(new);
}

/// The latest numbers of water, as a message would say them again.
#[must_use]
pub fn last_readings(latest: &[Latest], words: &Vocabulary) -> Vec<(FactId, Value)> {
    let water = latest.iter().filter(|one| one.fact.starts_with("water."));
    let fact = |one: &Latest| {
        let id = words.find(&one.fact)?;
        Some((id, value(words.get(id)?, &one.value)?))
    };
    water.filter_map(fact).collect()
}
