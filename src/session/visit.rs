//! A visit told in one sentence, outside any conversation.

use super::additions::additions;
use super::base::Base;
use super::history::{ToKeep, to_keep};
use crate::clock::Moment;
use crate::knowledge::Kind;
use crate::language::{ReadingContext, read};
use crate::logbook::NewVisit;
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
    let mut keep = to_keep(&reading.facts, at, &notes.who, &notes.method, knowledge);
    let mut now = match keep.visits.first() {
        Some(visit) if visit.at == at => keep.visits.remove(0),
        _ => NewVisit::new(at, &notes.who),
    };
    now.additions = additions(text, knowledge);
    now.note.clone_from(&notes.note);
    now.photos.clone_from(&notes.photos);
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
    let mut said: Vec<String> = Vec::new();
    for fact in reading.facts.iter().filter(|fact| !fact.supposed) {
        let Some(def) = knowledge.vocabulary.get(fact.id) else { continue };
        let shown = def.show(fact.value, system);
        said.push(match def.kind {
            Kind::YesNo { .. } => shown,
            _ => format!("{} {shown}", def.title),
        });
    }
    said.extend(now.additions.iter().map(|one| format!("added {} {}", one.given, one.product)));
    said.extend(notes.tasks.iter().cloned());
    if !now.is_empty() {
        keep.visits.insert(0, now);
    }
    if keep.is_empty() {
        return Err(Problem::error(Code::Value, None, "there is nothing to keep in that")
            .help("tell a reading, an addition or a task, such as `ph 7.4, brushed today`"));
    }
    if said.is_empty() {
        said.push("a note".to_owned());
    }
    let unread = reading.unread.into_iter().map(|unread| unread.text).collect();
    Ok(VisitTold { keep, said: said.join(", "), unread })
}
