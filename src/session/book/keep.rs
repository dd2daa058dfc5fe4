//! What was said is held, offered, and kept on a word.

use super::super::additions::additions;
use super::super::done::{method_of, photos, rain_fact, rain_told, tasks_done};
use super::super::history::{ToKeep, last_readings, shown_done, to_keep};
use super::super::reply::plain;
use super::super::turn::Session;
use super::{Book, Keep};
use crate::advice::{Advised, Answer};
use crate::clock::Moment;
use crate::facts::{Fact, FactId, Origin, Value};
use crate::knowledge::Knowledge;
use crate::language;
use crate::logbook::{Held, Latest, NewVisit, Reading, Stretch, Visit, parts_of};
use crate::problem::Problem;
use crate::units::System;

impl Session<'_> {
    /// What was taken back is not kept either.
    pub(in super::super) fn unhold(&mut self, facts: Option<&[FactId]>) {
        let Some(book) = &mut self.book else { return };
        match facts {
            Some(facts) => {
                book.facts.retain(|held| !facts.contains(&held.id));
                let kept = std::mem::take(&mut book.facts);
                book.clear();
                book.facts = kept;
            }
            None => book.clear(),
        }
    }

    /// What a message says was done now, as facts where there are such; a task that has none is for the record alone.
    pub(in super::super) fn done_now(&self, message: &str, facts: &mut Vec<Fact>) {
        for task in tasks_done(message, self.base.knowledge()) {
            let Some(id) = task.fact else { continue };
            if !facts.iter().any(|fact| fact.id == id) {
                let given = format!("{} today", task.id);
                facts.push(Fact::stated(id, Value::Number(0.0), given, Origin::Message));
            }
        }
        facts.extend(rain_fact(message, self.base.knowledge()));
        // "A pint and a half of acid" answers no question about a reading.
        if !additions(message, self.base.knowledge()).is_empty() {
            facts.retain(|fact| {
                let bare = fact.given.split_whitespace().count() == 1
                    || !fact.given.contains(|c: char| c.is_ascii_digit());
                Some(fact.id) != self.talk.asked || !bare
            });
        }
    }

    /// The words that the record reads and the language does not: photos, and the depth of rain.
    pub(in super::super) fn words_read(&self, message: &str) -> Vec<String> {
        let keeps = self.book.as_ref().is_some_and(|book| book.keep != Keep::Nothing);
        let named = if keeps { photos(message, self.base.knowledge()) } else { Vec::new() };
        let rain = rain_told(message, self.base.knowledge()).map(|(_, words)| words);
        let knowledge = self.base.knowledge();
        let added = additions(message, knowledge).into_iter().map(|one| one.given);
        let about = if named.is_empty() { &[][..] } else { &knowledge.work.words.photo_words };
        let all = named.iter().cloned().chain(rain).chain(added).chain(about.iter().cloned());
        all.flat_map(|name| parts_of(&name)).collect()
    }

    /// The words before the first reading of a message that name nothing: perhaps a pool that the log does not have.
    pub(in super::super) fn stranger(
        &self,
        message: &str,
        reading: &language::Reading,
        named: bool,
    ) -> Option<String> {
        self.book.as_ref().filter(|book| !named && book.open.is_some())?;
        let first = reading.unread.first()?;
        let before = message.get(..first.span.start)?.trim().to_lowercase();
        let opens = before.is_empty() || before == "at" || before == "for";
        let named = first.text.chars().filter(|c| c.is_alphabetic()).count() > 2;
        (opens && named && !reading.facts.is_empty()).then(|| first.text.trim().to_owned())
    }

    /// Holds what a message said, to offer it or to keep it at once.
    pub(in super::super) fn hold(
        &mut self,
        message: &str,
        facts: &[Fact],
        (at, stranger): (Moment, Option<String>),
        answer: &mut Answer,
    ) {
        let knowledge = self.base.knowledge();
        let units = self.settings.units;
        let named = self.pool_in_hand().is_some();
        let Some(book) = &mut self.book else { return };
        // A pool that the log does not have has nothing to keep there.
        if book.keep == Keep::Nothing || (named && book.open.is_none()) {
            return;
        }
        let mut something = std::mem::take(&mut book.just_opened) && !book.is_idle();
        let before = book.rights.len();
        let (facts, of_additions) = book.hold_rights((message, at), facts, self.base, units);
        something |= book.rights.len() > before;
        something |= book.hold_rest(message, of_additions, knowledge);
        for fact in facts.into_iter().filter(|fact| !fact.supposed && fact.doubt.is_none()) {
            something = true;
            book.facts.retain(|held| held.id != fact.id);
            book.facts.push(fact.clone());
            if let Some(method) = method_of(fact, message, knowledge) {
                book.methods.insert(fact.id, method);
            }
        }
        if !something || book.is_idle() {
            return;
        }
        if let (Some(stranger), Some(pool)) = (stranger, &book.open) {
            let what = book.said(at, knowledge, units);
            let line = format!(
                "The log knows no pool \"{stranger}\". Say \"keep it\" only if this is of {}: {what}. If not, name the pool as `brumal pool list` does.",
                pool.name
            );
            answer.replies.push(plain("which pool", &line));
        } else if book.keep == Keep::AtOnce {
            let told = self.keep(at);
            answer.replies.push(told);
        } else if let Some(pool) = &book.open {
            let what = book.said(at, knowledge, units);
            let line = format!("Say \"keep it\" to put this in the log of {}: {what}.", pool.name);
            answer.replies.push(plain("log", &line));
        }
    }

    /// Holds what the steps established and what was done, to be kept on a word. Says how, if it can be kept.
    pub(in super::super) fn hold_steps(
        &mut self,
        facts: &[Fact],
        note: Option<String>,
    ) -> Option<String> {
        let book = self.book.as_mut().filter(|book| book.keep != Keep::Nothing)?;
        for fact in facts {
            book.facts.retain(|held| held.id != fact.id);
            book.facts.push(fact.clone());
        }
        book.note = note?;
        let pool = book.open.as_ref()?;
        Some(format!("Say \"keep it\" to put this in the log of {}.", pool.name))
    }

    /// Keeps what was held.
    pub(super) fn keep(&mut self, at: Moment) -> Advised {
        let (knowledge, units) = (self.base.knowledge(), self.settings.units);
        let in_hand = self.pool_in_hand().map(str::to_owned);
        let Some(book) = &mut self.book else { return plain("log", "There is no log.") };
        if let Some(name) = in_hand.filter(|_| book.open.is_none()) {
            let line = format!(
                "Not kept: the log has no pool \"{name}\". `brumal pool add` takes one on."
            );
            return plain("log", &line);
        }
        if book.is_idle() {
            let line = match &book.kept {
                Some(kept) => format!("Already kept {kept}. There is nothing new since."),
                None => "There is nothing new to keep.".to_owned(),
            };
            return plain("log", &line);
        }
        let Some(pool) = book.open.clone() else {
            return plain(
                "log",
                "Not kept: say which pool it is, one that `brumal pool list` has.",
            );
        };
        let what = book.said(at, knowledge, units);
        let put_right = book.put_right(at);
        let rights = !book.rights.is_empty();
        match put_right.and_then(|()| book.write_down(&pool.id, at, knowledge)) {
            Ok(new) => {
                book.clear();
                let line = format!("in the log of {}: {what}", pool.name);
                let told = if new || rights { "Kept" } else { "Already" };
                let told = plain("log", &format!("{told} {line}."));
                book.kept = Some(line);
                told
            }
            Err(problem) => {
                let help = problem.help.map(|help| format!("; {help}")).unwrap_or_default();
                plain("log", &format!("Not kept: {}{help}.", problem.message))
            }
        }
    }

    /// States the last readings again.
    pub(super) fn same_again(&mut self, at: Moment) -> Advised {
        self.open_history(at);
        let words = &self.base.knowledge().vocabulary;
        let Some(book) = &mut self.book else { return plain("log", "There is no log.") };
        let Some(pool) = book.open.clone() else {
            return plain("log", "Which pool? Name it, and say it again.");
        };
        let last = match book.store.visits(&pool.id, Stretch { from: None, to: Some(at) }, 20) {
            Ok(visits) => {
                visits.into_iter().find(|v| v.readings.iter().any(|r| r.fact.starts_with("water.")))
            }
            Err(problem) => return plain("log", &format!("{}.", problem.message)),
        };
        let Some(last) = last else {
            return plain("log", "There are no readings of this pool yet.");
        };
        let latest: Vec<_> = last
            .readings
            .iter()
            .map(|r| Latest { fact: r.fact.clone(), value: r.value.clone(), at: last.at })
            .collect();
        self.talk.begin(at);
        let mut told = Vec::new();
        for (id, value) in last_readings(&latest, words) {
            let Some(def) = words.get(id) else { continue };
            told.push(format!("{} {}", def.title, def.show(value, self.settings.units)));
            book.facts.retain(|held| held.id != id);
            book.facts.push(Fact::stated(id, value, "same as last time", Origin::Message));
            self.talk.take(id, value, Origin::Message, at);
        }
        let day = last.at.time().format("%-d %B %Y");
        let offer = if book.keep == Keep::Nothing {
            ""
        } else {
            " Say \"keep it\" if they were read today."
        };
        plain("same as last time", &format!("As on {day}: {}.{offer}", told.join(", ")))
    }
}

impl Book<'_> {
    /// Holds what is no fact: what was put in, what was done, photos. Whether there was any.
    fn hold_rest(&mut self, message: &str, corrects: bool, knowledge: &Knowledge) -> bool {
        let added = if corrects { Vec::new() } else { additions(message, knowledge) };
        let photos = photos(message, knowledge);
        let tasks = tasks_done(message, knowledge);
        let tasks = tasks.into_iter().filter(|task| task.fact.is_none());
        let tasks: Vec<String> = tasks.map(|task| task.id.clone()).collect();
        let something = !added.is_empty() || !photos.is_empty() || !tasks.is_empty();
        self.added.extend(added);
        self.tasks.extend(tasks);
        self.photos.extend(photos);
        something
    }

    /// Whether nothing waits to be kept.
    pub(super) fn is_idle(&self) -> bool {
        self.facts.is_empty()
            && self.added.is_empty()
            && self.tasks.is_empty()
            && self.photos.is_empty()
            && self.rights.is_empty()
            && self.note.is_empty()
    }

    /// Lets go of what waits.
    pub(super) fn clear(&mut self) {
        self.facts.clear();
        self.methods.clear();
        self.added.clear();
        self.tasks.clear();
        self.photos.clear();
        self.rights.clear();
        self.note.clear();
    }

    /// What the profile of the open pool says, in the words of the record.
    pub(super) fn holds(&self, name: &str, knowledge: &Knowledge) -> Option<String> {
        let id = knowledge.vocabulary.find(name)?;
        let (_, value) = self.profile.iter().find(|(held, _)| *held == id)?;
        match super::super::history::held(knowledge.vocabulary.get(id)?, *value) {
            Held::Word(word) => Some(word),
            Held::Number(_) => None,
        }
    }

    /// What waits, sorted.
    fn to_keep(&self, at: Moment, knowledge: &Knowledge) -> ToKeep {
        let method = |fact: &Fact| self.methods.get(&fact.id).cloned().unwrap_or_default();
        let mut keep = to_keep(&self.facts, at, &self.who, &method, knowledge);
        let more = !self.added.is_empty()
            || !self.tasks.is_empty()
            || !self.photos.is_empty()
            || !self.note.is_empty();
        if more && let Some(visit) = keep.now(at, &self.who) {
            visit.additions.clone_from(&self.added);
            visit.photos.clone_from(&self.photos);
            visit.note.clone_from(&self.note);
            visit.tasks.extend(self.tasks.iter().cloned());
        }
        keep.fit(&knowledge.work, &|name| self.holds(name, knowledge));
        keep
    }

    /// Keeps what waits: in the visit that is going on if there is one, or else in a new one. Gives back whether any
    /// of it was new.
    fn write_down(&self, pool: &str, at: Moment, knowledge: &Knowledge) -> Result<bool, Problem> {
        let mut keep = self.to_keep(at, knowledge);
        let now = keep.visits.first().filter(|visit| visit.at == at).cloned();
        let going_on = match &now {
            Some(now) => self.going_on(pool, now, knowledge)?,
            None => None,
        };
        let (Some(mut more), Some(visit)) = (now, going_on) else {
            keep.keep(self.store, pool, at, &knowledge.work)?;
            return Ok(true);
        };
        keep.visits.remove(0);
        more.readings.retain(|one| visit.readings.iter().all(|held| held.fact != one.fact));
        let read = [visit.readings.as_slice(), more.readings.as_slice()].concat();
        shown_done(&read, &mut more.tasks, &knowledge.work);
        more.tasks.retain(|task| !visit.tasks.contains(task));
        more.photos.retain(|file| !visit.photos.contains(file));
        let new = !more.is_empty() || !keep.is_empty();
        if !more.is_empty() {
            self.store.add_to_visit(&visit.id, &more)?;
        }
        keep.keep(self.store, pool, at, &knowledge.work)?;
        Ok(new)
    }

    /// The visit of this person that began a while ago, if nothing that it read is another value now: a second test
    /// after a dose is a visit of its own.
    fn going_on(
        &self,
        pool: &str,
        now: &NewVisit,
        knowledge: &Knowledge,
    ) -> Result<Option<Visit>, Problem> {
        let from = Some(now.at.plus_hours(-knowledge.work.words.visit_h));
        let last = self.store.visits(pool, Stretch { from, to: Some(now.at) }, 1)?;
        let agrees = |visit: &Visit| {
            let other = |one: &Reading| {
                let held = visit.readings.iter().find(|held| held.fact == one.fact);
                held.is_some_and(|held| held.value != one.value)
            };
            visit.who == now.who && !now.readings.iter().any(other)
        };
        Ok(last.into_iter().find(agrees))
    }

    /// What waits, in words.
    fn said(&self, at: Moment, knowledge: &Knowledge, units: System) -> String {
        let new = self.to_keep(at, knowledge).said(at, knowledge, units);
        let rights = self.rights.iter().map(|right| right.put.said.clone());
        let new = (!new.is_empty()).then_some(new);
        let note = (!self.note.is_empty()).then(|| "the steps and what came of them".to_owned());
        new.into_iter().chain(rights).chain(note).collect::<Vec<_>>().join(", ")
    }
}

/// What was offered for the pool before and not kept.
pub(super) fn unkept(
    book: &Book<'_>,
    at: Moment,
    knowledge: &Knowledge,
    units: System,
) -> Option<Advised> {
    let before = book.open.as_ref().filter(|_| !book.is_idle())?;
    let what = book.said(at, knowledge, units);
    Some(plain("log", &format!("Not kept for {}: {what}.", before.name)))
}
