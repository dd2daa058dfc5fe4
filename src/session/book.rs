//! The record in a conversation: which pool is open, what waits to be kept.

use super::additions::additions;
use super::history::{ToKeep, history, last_readings, to_keep};
use super::recall;
use super::reply::plain;
use super::turn::Session;
use crate::advice::{Advised, Answer};
use crate::clock::Moment;
use crate::facts::{Fact, FactId, Origin};
use crate::knowledge::Knowledge;
use crate::language::PoolNames;
use crate::logbook::{Added, Found, PoolRecord, Store, Stretch, find_pool, parts_of};
use crate::problem::Problem;
use std::collections::BTreeMap;

/// What is done with what was said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Keep {
    /// Nothing is kept.
    #[default]
    Nothing,
    /// It is offered, and kept on a word.
    Offer,
    /// It is kept at once.
    AtOnce,
}

/// A record, and who writes into it.
#[derive(Debug)]
pub struct Book<'b> {
    store: &'b dyn Store,
    keep: Keep,
    who: String,
    pools: Vec<PoolRecord>,
    /// Parts of names that fit several pools.
    shared: BTreeMap<String, Vec<String>>,
    /// The pool whose history is in memory.
    open: Option<PoolRecord>,
    /// What was said and not kept yet.
    facts: Vec<Fact>,
    added: Vec<Added>,
    method: String,
}

impl<'b> Book<'b> {
    /// Opens a record for a conversation.
    ///
    /// # Errors
    /// The record's.
    pub fn new(store: &'b dyn Store, keep: Keep, who: &str) -> Result<Self, Problem> {
        let pools: Vec<PoolRecord> =
            store.pools()?.into_iter().filter(|pool| pool.retired.is_none()).collect();
        Ok(Self {
            store,
            keep,
            who: who.to_owned(),
            shared: shared(&pools),
            pools,
            open: None,
            facts: Vec::new(),
            added: Vec::new(),
            method: String::new(),
        })
    }

    /// The names by which messages may call the pools: whole ones, and beginnings of two words or more.
    #[must_use]
    pub fn names(&self) -> PoolNames {
        let whole = self.pools.iter().map(|pool| pool.name.as_str());
        PoolNames::new(whole.chain(self.shared.keys().map(String::as_str)))
    }

    /// The pool that a name in a message means, or the several that it may mean.
    fn meant(&self, name: &str) -> Result<Option<PoolRecord>, Vec<String>> {
        match find_pool(&self.pools, name) {
            Found::One(pool) => Ok(Some(pool.clone())),
            Found::Several(pools) => Err(pools.iter().map(|pool| pool.name.clone()).collect()),
            Found::None(_) => Ok(None),
        }
    }
}

/// Beginnings of names, of at least two words without the number at the end.
fn shared(pools: &[PoolRecord]) -> BTreeMap<String, Vec<String>> {
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for pool in pools {
        let words = parts_of(&pool.name);
        for many in 2..words.len() {
            let part = words.get(..many).unwrap_or_default().join(" ");
            found.entry(part).or_default().push(pool.name.clone());
        }
    }
    found
}

impl<'b> Session<'b> {
    /// Gives the conversation a record to read from and, if wished, to keep things in.
    pub fn with_book(&mut self, book: Book<'b>) {
        self.settings.pools = Some(book.names());
        self.book = Some(book);
    }

    /// A message that asks the record, or speaks to it; `None` for every other.
    pub(super) fn tell_book(&mut self, message: &str, at: Moment) -> Option<Answer> {
        self.book.as_ref()?;
        let text = message.trim().trim_end_matches(['.', '!']).to_lowercase();
        let words = &self.base.knowledge().work.words;
        if words.keep.contains(&text) {
            let told = self.keep(at);
            let mut answer = self.standing(at);
            answer.replies.push(told);
            return Some(answer);
        }
        if words.same.iter().any(|same| text.contains(same.as_str())) {
            let told = self.same_again(at);
            let mut answer = self.standing(at);
            answer.replies.push(told);
            return Some(answer);
        }
        let named = self.read(message, at);
        let name = named.pool.clone().or_else(|| self.pool_in_hand().map(str::to_owned));
        let book = self.book.as_ref()?;
        let pool = name.and_then(|name| book.meant(&name).ok().flatten());
        let told = recall::recall(
            book.store,
            pool.as_ref(),
            &text,
            &named,
            at,
            self.base,
            self.settings.units,
        )?;
        let mut answer = super::reply::alone(at, told);
        if let Some(pool) = pool {
            self.pool(Some(pool.name));
        }
        answer.asks = vec!["lookup".to_owned()];
        Some(answer)
    }

    /// Puts the whole name for a part of one; two that fit are asked about.
    pub(super) fn pool_meant(&self, name: String) -> Result<String, Advised> {
        let Some(book) = &self.book else { return Ok(name) };
        match book.meant(&name) {
            Ok(Some(pool)) => Ok(pool.name),
            Ok(None) => Ok(name),
            Err(names) => {
                let line = format!("Which one is it: {}?", names.join(", or "));
                Err(plain("which pool", &line))
            }
        }
    }

    /// Brings the history of the pool in hand into memory, once.
    pub(super) fn open_history(&mut self, at: Moment) -> Vec<Advised> {
        let Some(name) = self.pool_in_hand().map(str::to_owned) else { return Vec::new() };
        let Some(book) = &mut self.book else { return Vec::new() };
        if book.open.as_ref().is_some_and(|open| open.name == name) {
            return Vec::new();
        }
        let Ok(Some(pool)) = book.meant(&name) else {
            book.open = None;
            self.talk.close_history();
            return Vec::new();
        };
        let known = match history(book.store, &pool, at, self.base) {
            Ok(known) => known,
            Err(problem) => return vec![plain("log", &format!("{}.", problem.message))],
        };
        let unkept = unkept(book, self.base.knowledge(), self.settings.units);
        book.open = Some(pool);
        book.facts.clear();
        book.added.clear();
        self.talk.close_history();
        for (id, value) in known.profile {
            self.talk.remember(id, value, Origin::Profile);
        }
        for (id, value, age_h) in known.fresh {
            self.talk.remember(id, value, Origin::Logbook { age_h });
        }
        let words = &self.base.knowledge().vocabulary;
        let stale: Vec<String> = known
            .stale
            .iter()
            .filter(|(id, ..)| words.name(*id).starts_with("water."))
            .filter_map(|(id, value, age)| {
                let def = words.get(*id)?;
                let shown = def.show(*value, self.settings.units);
                Some(format!("{} {shown} ({} old)", def.title, age_words(*age)))
            })
            .collect();
        let mut told: Vec<Advised> = unkept.into_iter().collect();
        if !stale.is_empty() {
            let listed = stale.join(", ");
            let line = format!("Too old to go by, measure again if it matters: {listed}.");
            told.push(plain("stale", &line));
        }
        told
    }

    /// What was taken back is not kept either.
    pub(super) fn unhold(&mut self, facts: Option<&[FactId]>) {
        let Some(book) = &mut self.book else { return };
        match facts {
            Some(facts) => book.facts.retain(|held| !facts.contains(&held.id)),
            None => book.facts.clear(),
        }
        book.added.clear();
    }

    /// Holds what a message said, to offer it or to keep it at once.
    pub(super) fn hold(&mut self, message: &str, facts: &[Fact], at: Moment, answer: &mut Answer) {
        let knowledge = self.base.knowledge();
        let Some(book) = &mut self.book else { return };
        if book.keep == Keep::Nothing {
            return;
        }
        for fact in facts.iter().filter(|fact| !fact.supposed && fact.doubt.is_none()) {
            book.facts.retain(|held| held.id != fact.id);
            book.facts.push(fact.clone());
        }
        let new = additions(message, knowledge);
        let something = !new.is_empty() || !facts.is_empty();
        book.added.extend(new);
        if let Some(method) = method(message, knowledge) {
            book.method = method;
        }
        if !something || (book.facts.is_empty() && book.added.is_empty()) {
            return;
        }
        if book.keep == Keep::AtOnce {
            let told = self.keep(at);
            answer.replies.push(told);
        } else if let Some(pool) = &book.open {
            let what = said_to_keep(book, knowledge, self.settings.units);
            let line = format!("Say \"keep it\" to put this in the log of {}: {what}.", pool.name);
            answer.replies.push(plain("log", &line));
        }
    }

    /// Keeps what was held.
    fn keep(&mut self, at: Moment) -> Advised {
        let (knowledge, units) = (self.base.knowledge(), self.settings.units);
        let Some(book) = &mut self.book else { return plain("log", "There is no log.") };
        if book.facts.is_empty() && book.added.is_empty() {
            return plain("log", "There is nothing new to keep.");
        }
        let Some(pool) = book.open.clone() else {
            return plain(
                "log",
                "Not kept: say which pool it is, one that `brumal pool list` has.",
            );
        };
        let what = said_to_keep(book, knowledge, units);
        match book.to_keep(at, knowledge).keep(book.store, &pool.id, at) {
            Ok(_) => {
                book.facts.clear();
                book.added.clear();
                book.method.clear();
                plain("log", &format!("Kept in the log of {}: {what}.", pool.name))
            }
            Err(problem) => {
                let help = problem.help.map(|help| format!("; {help}")).unwrap_or_default();
                plain("log", &format!("Not kept: {}{help}.", problem.message))
            }
        }
    }

    /// States the last readings again.
    fn same_again(&mut self, at: Moment) -> Advised {
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
            .map(|r| crate::logbook::Latest {
                fact: r.fact.clone(),
                value: r.value.clone(),
                at: last.at,
            })
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
    /// What waits, sorted.
    fn to_keep(&self, at: Moment, knowledge: &Knowledge) -> ToKeep {
        let mut keep = to_keep(&self.facts, at, &self.who, &self.method, knowledge);
        if !self.added.is_empty() {
            match keep.visits.first_mut().filter(|visit| visit.at == at) {
                Some(visit) => visit.additions.clone_from(&self.added),
                None => {
                    let mut visit = crate::logbook::NewVisit::new(at, &self.who);
                    visit.additions.clone_from(&self.added);
                    keep.visits.insert(0, visit);
                }
            }
        }
        keep
    }
}

/// What waits to be kept, in words.
fn said_to_keep(book: &Book<'_>, knowledge: &Knowledge, units: crate::units::System) -> String {
    let fact = |fact: &Fact| {
        let def = knowledge.vocabulary.get(fact.id)?;
        let task = knowledge.work.tasks.iter().find(|task| task.fact == Some(fact.id));
        let shown = def.show(fact.value, units);
        Some(match (task, &def.kind) {
            (Some(task), _) => format!("\"{}\"", task.title),
            (None, crate::knowledge::Kind::YesNo { .. }) => shown,
            (None, _) => format!("{} {shown}", def.title),
        })
    };
    let added = book.added.iter().map(|one| {
        let name =
            knowledge.product(&one.product).map_or(one.product.as_str(), |p| p.name.as_str());
        format!("added {} {name}", one.given)
    });
    book.facts.iter().filter_map(fact).chain(added).collect::<Vec<_>>().join(", ")
}

/// What was offered for the pool before and not kept.
fn unkept(book: &Book<'_>, knowledge: &Knowledge, units: crate::units::System) -> Option<Advised> {
    let before = book.open.as_ref().filter(|_| !book.facts.is_empty() || !book.added.is_empty())?;
    let what = said_to_keep(book, knowledge, units);
    Some(plain("log", &format!("Not kept for {}: {what}.", before.name)))
}

/// How it was measured, if the message says so.
fn method(message: &str, knowledge: &Knowledge) -> Option<String> {
    let words = parts_of(message);
    let said = |method: &&String| {
        let parts = parts_of(method);
        words.windows(parts.len().max(1)).any(|window| window == parts.as_slice())
    };
    let longest = knowledge.work.words.methods.iter().filter(said).max_by_key(|m| m.len());
    longest.cloned()
}

/// `3 days`, `5 h`.
pub(super) fn age_words(hours: f64) -> String {
    if hours < 48.0 { format!("{hours:.0} h") } else { format!("{:.0} days", hours / 24.0) }
}
