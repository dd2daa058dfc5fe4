//! A visit told in one sentence, outside any conversation.

use super::additions::additions;
use super::base::{Base, Settings};
use super::done::{method_of, photos, rain_fact, rain_told, tasks_done};
use super::history::{ToKeep, to_keep};
use super::turn::Session;
use crate::clock::Moment;
use crate::facts::Fact;
use crate::knowledge::{Knowledge, Task};
use crate::language::{Reading, ReadingContext, read};
use crate::logbook::{Held, NewVisit, ProfileEntry, parts_of};
use crate::problem::{Code, Problem};
use crate::units::System;

/// What stands beside the sentence.
#[derive(Debug, Clone, Default)]
pub struct VisitNotes {
    /// Who was there.
    pub who: String,
    /// How it was measured.
    pub method: String,
    /// Anything else.
    pub note: String,
    /// Photos.
    pub photos: Vec<String>,
    /// Tasks done, by id.
    pub tasks: Vec<String>,
    /// What the pool's profile says: it decides how a filter is cleaned.
    pub profile: Vec<ProfileEntry>,
}

/// What was understood of it.
#[derive(Debug, Clone)]
pub struct VisitTold {
    /// What is to be kept.
    pub keep: ToKeep,
    /// The same in words.
    pub said: String,
    /// Words that were not read.
    pub unread: Vec<String>,
}

/// Reads a visit. Nothing doubtful is kept: a reading that cannot be is refused, with all that stands beside it.
///
/// # Errors
/// A doubted reading, a task that is none, or nothing to keep.
pub fn visit_told(
    base: &Base,
    text: &str,
    notes: &VisitNotes,
    at: Moment,
    system: System,
) -> Result<VisitTold, Problem> {
    let knowledge = base.knowledge();
    let context = ReadingContext { system, moment: Some(at), ..ReadingContext::default() };
    let reading = read(text, &context, knowledge);
    if let Some(fact) = reading.facts.iter().find(|fact| fact.doubt.is_some()) {
        let doubt = fact.doubt.clone().unwrap_or_default();
        let message = format!("`{}` is doubtful: {}", fact.given, doubt.trim_end_matches('.'));
        return Err(Problem::error(Code::Value, None, message)
            .help("nothing was kept; look again, and tell it once more"));
    }
    let method = |fact: &Fact| match notes.method.as_str() {
        "" => method_of(fact, text, knowledge).unwrap_or_default(),
        method => method.to_owned(),
    };
    let mut reading = reading;
    reading.facts.extend(rain_fact(text, knowledge));
    let mut keep = to_keep(&reading.facts, at, &notes.who, &method, knowledge);
    let mut now = match keep.visits.first() {
        Some(visit) if visit.at == at => keep.visits.remove(0),
        _ => NewVisit::new(at, &notes.who),
    };
    now.additions = additions(text, knowledge);
    now.note.clone_from(&notes.note);
    now.photos = photos(text, knowledge);
    now.photos.extend(notes.photos.iter().cloned());
    let told_of = |task: &Task| reading.facts.iter().any(|fact| task.fact == Some(fact.id));
    let done = tasks_done(text, knowledge).into_iter().filter(|task| !told_of(task));
    now.tasks.extend(done.map(|task| task.id.clone()));
    named_tasks(&mut now, notes, knowledge)?;
    if !now.is_empty() {
        keep.visits.insert(0, now);
    }
    if keep.is_empty() {
        return Err(Problem::error(Code::Value, None, "there is nothing to keep in that")
            .help("tell a reading, an addition or a task, such as `ph 7.4, brushed today`"));
    }
    let holds = |name: &str| {
        let entry = notes.profile.iter().find(|entry| entry.name == name)?;
        match entry.value.as_ref()? {
            Held::Word(word) => Some(word.clone()),
            Held::Number(_) => None,
        }
    };
    keep.fit(&knowledge.work, &holds);
    let said = keep.said(at, knowledge, system);
    let said = if said.is_empty() { "a note".to_owned() } else { said };
    let rain = rain_told(text, knowledge).map(|(_, words)| words);
    let named = photos(text, knowledge).into_iter().chain(rain);
    let read: Vec<String> = named.flat_map(|name| parts_of(&name)).collect();
    let unread = reading.unread.into_iter().map(|unread| unread.text);
    let unread = unread.filter(|text| !parts_of(text).iter().all(|word| read.contains(word)));
    Ok(VisitTold { keep, said, unread: unread.collect() })
}

/// Reads what a text says of a pool, outside any conversation: its size too, as its volume.
#[must_use]
pub fn pool_told(base: &Base, text: &str, units: System, at: Moment) -> Reading {
    Session::new(base, Settings { units, ..Settings::default() }).read(text, at)
}

/// Adds the tasks that are named by their ids.
fn named_tasks(
    now: &mut NewVisit,
    notes: &VisitNotes,
    knowledge: &Knowledge,
) -> Result<(), Problem> {
    for task in &notes.tasks {
        if knowledge.work.task(task).is_none() {
            let known = knowledge.work.tasks.iter().map(|task| task.id.as_str());
            let problem =
                Problem::error(Code::UnknownName, None, format!("no task is called `{task}`"));
            return Err(problem.did_you_mean(task, known));
        }
        if !now.tasks.contains(task) {
            now.tasks.push(task.clone());
        }
    }
    Ok(())
}
