//! The record in a conversation: which pool is open, what waits to be kept.

mod called;
mod keep;
mod right;

use super::history::history;
use super::recall;
use super::reply::plain;
use super::turn::Session;
use crate::advice::{Advised, Answer};
use crate::clock::Moment;
use crate::facts::{Fact, FactId, Origin, Value};
use crate::language::{self, PoolNames};
use crate::logbook::{Added, Found, PoolRecord, Store, find_pool, parts_of};
use crate::problem::Problem;
use keep::unkept;
use right::Right;
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
    /// Whether it was opened by this message.
    just_opened: bool,
    /// What its profile says.
    profile: Vec<(FactId, Value)>,
    /// What was said and not kept yet.
    facts: Vec<Fact>,
    added: Vec<Added>,
    tasks: Vec<String>,
    photos: Vec<String>,
    /// How the readings among them were measured.
    methods: BTreeMap<FactId, String>,
    /// What puts right a reading that was kept in this conversation.
    rights: Vec<Right>,
    /// What was done step by step.
    note: String,
    /// What was kept last, in words.
    kept: Option<String>,
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
            just_opened: false,
            profile: Vec::new(),
            facts: Vec::new(),
            added: Vec::new(),
            tasks: Vec::new(),
            photos: Vec::new(),
            methods: BTreeMap::new(),
            rights: Vec::new(),
            note: String::new(),
            kept: None,
        })
    }

    /// The names of the pools, whole.
    pub(super) fn pool_names(&self) -> impl Iterator<Item = String> {
        self.pools.iter().map(|pool| pool.name.clone())
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

    /// Has plans computed only where a message asks for one: a round of thousands is judged by the rules.
    pub const fn plan_when_asked(&mut self) {
        self.settings.plans_when_asked = true;
    }

    /// A message that asks the record, or speaks to it; `None` for every other.
    pub(super) fn tell_book(&mut self, message: &str, at: Moment) -> Option<Answer> {
        self.book.as_ref()?;
        let text = message.trim().trim_end_matches(['.', '!']).to_lowercase();
        let words = &self.base.knowledge().work.words;
        if words.keep.contains(&text) {
            return Some(super::reply::alone(at, self.keep(at)));
        }
        let named = self.read(message, at);
        let name = self
            .pool_called(message, named.pool.clone())
            .or_else(|| self.pool_in_hand().map(str::to_owned));
        let book = self.book.as_ref()?;
        let pool = name.and_then(|name| book.meant(&name).ok().flatten());
        let about = recall::About {
            store: book.store,
            pool: pool.as_ref(),
            at,
            base: self.base,
            units: self.settings.units,
        };
        let told = recall::recall(&about, &text, &named)?;
        let mut answer = super::reply::alone(at, told);
        // What waits to be kept is not lost to a question about another pool.
        let waits = self.pool_in_hand().is_some() && !book.is_idle();
        if let (Some(pool), false) = (pool, waits) {
            self.turn_to(pool.name);
        }
        answer.asks = vec!["lookup".to_owned()];
        Some(answer)
    }

    /// A message that says the readings of the last visit again; `None` for every other.
    pub(super) fn tell_same(&mut self, message: &str, at: Moment) -> Option<Answer> {
        self.book.as_ref()?;
        let text = message.to_lowercase();
        let same = &self.base.knowledge().work.words.same;
        if !same.iter().any(|same| text.contains(same.as_str())) {
            return None;
        }
        if let Some(name) = self.pool_called(message, self.read(message, at).pool)
            && let Ok(name) = self.pool_meant(name)
        {
            self.turn_to(name);
        }
        let told = self.same_again(at);
        let mut answer = self.standing(at);
        answer.replies.push(told);
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

    /// The pool that a message means: by its name, or by a part of it where the language read none or several fit.
    pub(super) fn pool_called(&self, message: &str, named: Option<String>) -> Option<String> {
        let Some(book) = &self.book else { return named };
        let sure = named.as_ref().is_some_and(|name| book.meant(name).is_ok());
        if sure { named } else { book.called(message).or(named) }
    }

    /// The pool that a message is about, by whatever name; where no pool has a name it need not be read for one.
    pub(super) fn pool_named(&self, message: &str, at: Moment) -> Option<String> {
        let reading = self.settings.pools.as_ref().map(|_| self.read(message, at));
        let read = reading.as_ref().and_then(|reading| reading.pool.clone());
        let named = self.pool_called(message, read);
        let before = || self.pool_before(message, reading.as_ref()?);
        named.or_else(|| self.other_pool(message)).or_else(before)
    }

    /// "heron ph 7.4", "o'hares fc 2": words before the first reading that mean nothing else, and one pool alone.
    fn pool_before(&self, message: &str, reading: &language::Reading) -> Option<String> {
        let book = self.book.as_ref()?;
        let first = reading.unread.first().filter(|one| one.span.start == 0)?;
        let behind = message.get(first.span.end..)?;
        let letters = first.text.chars().filter(|c| c.is_alphabetic()).count();
        let whole = behind.starts_with(char::is_whitespace) && letters > 2;
        if !whole || reading.facts.is_empty() {
            return None;
        }
        let wanted = parts_of(&first.text);
        let fits = |pool: &&PoolRecord| {
            let name = parts_of(&pool.name);
            wanted.iter().all(|word| name.contains(word))
        };
        let mut fitting = book.pools.iter().filter(fits);
        let found = fitting.next()?;
        fitting.next().is_none().then(|| found.name.clone())
    }

    /// Leaves the pool in hand: nobody knows yet which one is meant. Says what was not kept.
    pub(super) fn leave_pool(&mut self, at: Moment) -> Option<Advised> {
        let (knowledge, units) = (self.base.knowledge(), self.settings.units);
        self.talk.close_history();
        let book = self.book.as_mut()?;
        let told = unkept(book, at, knowledge, units);
        book.clear();
        book.open = None;
        told
    }

    /// Brings the history of the pool in hand into memory, once.
    pub(super) fn open_history(&mut self, at: Moment) -> Vec<Advised> {
        let Some(name) = self.pool_in_hand().map(str::to_owned) else { return Vec::new() };
        let Some(book) = &mut self.book else { return Vec::new() };
        if book.open.as_ref().is_some_and(|open| open.name == name) {
            return Vec::new();
        }
        let Ok(Some(pool)) = book.meant(&name) else {
            // What was held is of another pool, and what is said of this one is not the log's.
            return self.leave_pool(at).into_iter().collect();
        };
        let known = match history(book.store, &pool, at, self.base) {
            Ok(known) => known,
            Err(problem) => return vec![plain("log", &format!("{}.", problem.message))],
        };
        let unkept = unkept(book, at, self.base.knowledge(), self.settings.units);
        let another = book.open.replace(pool).is_some();
        book.profile.clone_from(&known.profile);
        // What was said before any pool was named is of this one.
        if another {
            book.clear();
        }
        book.just_opened = true;
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
}

/// `3 days`, `5 h`.
pub(super) fn age_words(hours: f64) -> String {
    if hours < 48.0 { format!("{hours:.0} h") } else { format!("{:.0} days", hours / 24.0) }
}
