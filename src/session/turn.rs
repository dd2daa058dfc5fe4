//! One message → one answer.

use super::additions::already_in;
use super::base::{Base, Settings};
use super::book::Book;
use super::cold;
use super::conversation::Conversation;
use super::ellipsis::topic;
use super::one_voice::to_dose;
use super::passages;
use super::reply;
use super::words::{Said, Walking, said, with_step};
use crate::advice::{Advised, Answer, AnswerQuestion, Telling, Unread, compose};
use crate::clock::Moment;
use crate::engine::State;
use crate::facts::{Fact, FactId, Origin, Value};
use crate::knowledge::{AskKind, Urgency};
use crate::language::{Reading, in_one_breath, parts};
use crate::logbook::parts_of;
use crate::problem::{Problem, Span};
use std::collections::BTreeMap;

/// A question is put so often in succession, beside what only replies; what presses is asked on.
const OFTEN: u32 = 2;

/// A conversation.
#[derive(Debug)]
pub struct Session<'b> {
    pub(super) base: &'b Base,
    pub(super) settings: Settings,
    pool: Option<String>,
    pub(super) book: Option<Book<'b>>,
    pub(super) talk: Conversation<'b>,
    /// The last answer that had something to do or to explain.
    pub(super) last: Option<Answer>,
    /// What was said of the pools that are not in hand.
    pub(super) parked: BTreeMap<String, Conversation<'b>>,
}

impl<'b> Session<'b> {
    /// A new conversation.
    #[must_use]
    pub fn new(base: &'b Base, settings: Settings) -> Self {
        Self {
            base,
            settings,
            pool: None,
            book: None,
            talk: Conversation::new(State::new(&base.network)),
            last: None,
            parked: BTreeMap::new(),
        }
    }

    /// States a fact beside the messages, as `--fact NAME=VALUE` does.
    ///
    /// # Errors
    /// A problem if there is no such fact, or it takes no such value.
    pub fn state(&mut self, name: &str, value: &str) -> Result<(), Problem> {
        let words = &self.base.knowledge().vocabulary;
        let (id, def) = words.named(name, None)?;
        let value = def.stated(value, self.settings.units)?;
        self.give(id, value);
        Ok(())
    }

    /// States a fact beside the messages.
    pub fn give(&mut self, id: FactId, value: Value) {
        self.talk.state.state(id, value, Origin::Message);
    }

    /// Names the pool in hand.
    pub fn pool(&mut self, name: Option<String>) {
        self.pool = name;
    }

    /// The pool in hand.
    pub(super) fn pool_in_hand(&self) -> Option<&str> {
        self.pool.as_deref()
    }

    /// The names of the pools that messages may speak of.
    #[must_use]
    pub fn pool_names(&self) -> Vec<String> {
        let listed = self.book.iter().flat_map(Book::pool_names);
        listed.chain(self.pool.clone()).chain(self.parked.keys().cloned()).collect()
    }

    /// Answers one message: what it says of each pool that it names, the last one last.
    pub fn turn(&mut self, message: &str, at: Moment) -> Answer {
        if let Some(headed) = self.of_strangers(message, at) {
            return headed;
        }
        let mut parts = parts(message, &self.context(at, None), self.base.knowledge());
        let Some(last) = parts.pop().filter(|_| !parts.is_empty()) else {
            let mut copies = in_one_breath(message, &self.context(at, None), self.base.knowledge());
            let both = if copies.is_empty() { self.of_both(message, at) } else { None };
            if let Some(both) = both {
                return both;
            }
            let last = copies.pop();
            let others = copies.iter().map(|copy| self.answer(copy, at)).collect();
            return Answer { others, ..self.answer(last.as_deref().unwrap_or(message), at) };
        };
        let mut others = Vec::new();
        for part in parts {
            let answer = self.answer(part.of(message), at);
            others.push(moved(answer, message, part.start));
        }
        let answer = self.answer(last.of(message), at);
        Answer { others, ..moved(answer, message, last.start) }
    }

    pub(super) fn answer(&mut self, message: &str, at: Moment) -> Answer {
        let words = said(message, &self.base.knowledge().talk);
        if words != Some(Said::ForgetThat) {
            self.talk.walk_before = self.talk.walk.clone();
        }
        let was_in_danger = self.in_danger();
        let mut answer = match words {
            Some(said) if self.is_for_program(&said) => self.tell_program(said, at),
            _ => match self.tell_book(message, at) {
                Some(answer) => Answer { telling: Telling::Reply, ..answer },
                None => match self.no_other(message, at).or_else(|| self.tell_same(message, at)) {
                    Some(answer) => Answer { telling: Telling::Reply, ..answer },
                    None => self.on_the_way(message, was_in_danger, at),
                },
            },
        };
        answer.pool.clone_from(&self.pool);
        self.keep_question_open(&mut answer);
        if answer.passages.is_empty() && answer.telling != Telling::Step {
            answer.passages = passages::cited(self.base, &answer);
        }
        self.note_spoken(&answer);
        answer
    }

    /// A question that is open stays so over whatever comes between; somebody who is led is asked nothing.
    fn keep_question_open(&mut self, answer: &mut Answer) {
        if answer.telling == Telling::Step {
            answer.questions.clear();
        }
        match answer.questions.first() {
            Some(question) if self.talk.doubted.is_none() => {
                self.talk.open = Some(question.clone());
            }
            None if answer.telling == Telling::Reply && !self.talk.walk.on && !self.in_danger() => {
                answer.questions.extend(self.open_question());
            }
            _ => {}
        }
        self.talk.asked = answer.questions.first().map(|question| question.fact);
        let times = match (self.talk.asked, self.talk.put) {
            (Some(asked), Some((put, times))) if asked == put => times.saturating_add(1),
            _ => 1,
        };
        self.talk.put = self.talk.asked.map(|asked| (asked, times));
        // Somebody who talks on has heard the question. What is not shown is not answered by a bare yes either.
        let presses = answer.actions.first().is_some_and(|first| first.urgency == Urgency::Now);
        if answer.telling == Telling::Reply && times > OFTEN && !presses {
            answer.questions.clear();
            self.talk.asked = None;
        }
    }

    /// The question that was asked last, if nobody has answered it.
    pub(super) fn open_question(&self) -> Option<AnswerQuestion> {
        let open = self.talk.open.clone()?;
        let answered = self.talk.state.memory().value(open.fact).is_some();
        (!answered && !self.talk.unknown.contains(&open.fact)).then_some(open)
    }

    /// A message about the pool, with a word about the steps before or behind it ("found it, done").
    fn on_the_way(&mut self, message: &str, was_in_danger: bool, at: Moment) -> Answer {
        let words = &self.base.knowledge().talk;
        if self.talk.walk.on
            && let Some((rest, walking)) = with_step(message, words)
        {
            let told = self.about_pool(rest, at);
            let answer = self.walk(walking, at);
            return Answer {
                read: told.read,
                message: told.message,
                unread: told.unread,
                ..answer
            };
        }
        let answer = self.about_pool(message, at);
        self.telling(answer, was_in_danger)
    }

    /// A bare yes or no is for the language if a question about a fact is open; a word about steps is one only
    /// where there are steps.
    fn is_for_program(&self, said: &Said) -> bool {
        let has_steps = self.talk.walk.is_begun()
            || self.talk.answered.as_ref().is_some_and(|told| !told.actions.is_empty());
        match said {
            Said::Yes => self.talk.doubted.is_some(),
            Said::No => self.talk.doubted.is_some() || self.talk.asked.is_none(),
            Said::Why(_) | Said::More => self.last.is_some(),
            Said::Step(Walking::Stuck(_)) => self.talk.walk.on,
            Said::Step(Walking::Where | Walking::Next | Walking::Begin) | Said::Facts => true,
            Said::Step(_) => has_steps,
            Said::Over => self.in_danger() || self.talk.paused.is_some(),
            _ => true,
        }
    }

    /// The answer as things stand.
    pub(super) fn standing(&mut self, at: Moment) -> Answer {
        self.talk.state.run();
        let mut answer = compose(&self.talk.state, at, self.settings.units, &self.talk.unknown);
        self.talk.walk.mark(&mut answer);
        if let Some(paused) = &self.talk.paused {
            paused.mark(&mut answer);
        }
        answer
    }

    fn about_pool(&mut self, message: &str, at: Moment) -> Answer {
        let same = self.base.knowledge().talk.beginning(message).filter(|(key, _)| *key == "same");
        let again = same.map(|_| self.talk.said_last()).unwrap_or_default();
        let named = self.pool_named(message, at);
        let which = self.take_pool(named.clone(), at);
        let stale = self.talk.begin(at);
        let (mut reading, mut wanted) = self.read_wish(message, at);
        if wanted.used.is_empty() {
            reading = self.read_on(message, reading, at);
        }
        self.done_now(message, &mut reading.facts);
        self.plan_on(&mut wanted, &reading);
        let old = self.open_history(at);
        for (id, value) in again {
            self.talk.take(id, value, Origin::Message, at);
        }
        self.take_facts(&reading.facts, at);
        if reading.does_not_know {
            self.talk.unknown.extend(self.talk.asked);
        }
        self.talk.topic = topic(&reading, self.base.knowledge()).or(self.talk.topic);
        let flag = |fact: &&Fact| !fact.supposed && matches!(fact.value, Value::Flag(_));
        self.talk.thing = reading.facts.iter().rfind(flag).map(|f| f.id).or(self.talk.thing);
        self.talk.supposed = reading.facts.iter().any(|fact| fact.supposed);
        let decides = asks(&reading, &[AskKind::Decide]);
        let mut asked_by = self.talk.ask_leave(message, decides, &reading.facts);
        asked_by.extend(self.words_read(message));
        asked_by.extend(named.iter().flat_map(|name| parts_of(name)));
        let stranger = self.stranger(message, &reading, named.is_some());
        let now = self.standing(at);
        let mut answer = match supposed(&self.talk.state, &reading.facts) {
            Some(state) => reply::what_if(self, &state, &now, at),
            None => now,
        };
        self.talk.asked = None;
        answer.asks = reading.asks.iter().map(|ask| ask.name().to_owned()).collect();
        reply::to_asks(self, message, &reading, &mut answer);
        to_dose(self, &wanted, &mut answer);
        already_in(message, self.base.knowledge(), &mut answer);
        cold::to_cold(self, message, &reading, at, &mut answer);
        reply::of_stale(self, &stale, &mut answer);
        answer.replies.extend(which.into_iter().chain(old));
        self.hold(message, &reading.facts, (at, stranger), &mut answer);
        asked_by.extend(self.words_put_right(message));
        let looked_up = answer.looked_up && reading.facts.is_empty();
        answer.unread = reading
            .unread
            .into_iter()
            .filter(|unread| !wanted.has_read(unread.span))
            .filter(|unread| !looked_up && !all_of(&unread.text, &asked_by))
            .map(|u| Unread { text: u.text, span: u.span })
            .collect();
        answer.read = reading.facts;
        message.clone_into(&mut answer.message);
        if let Some(question) = self.doubt() {
            answer.questions = vec![question];
        }
        answer
    }

    /// Takes what was said into memory; a reading that is doubted waits for a yes.
    fn take_facts(&mut self, facts: &[Fact], at: Moment) {
        self.talk.doubted = None;
        for fact in facts {
            match (fact.supposed, &fact.doubt) {
                (true, _) => {}
                (false, Some(_)) => self.talk.doubted = Some(fact.clone()),
                (false, None) => self.talk.take(fact.id, fact.value, Origin::Message, at),
            }
        }
    }

    /// Turns to the pool that a message names; gives back a question if two fit.
    fn take_pool(&mut self, named: Option<String>, at: Moment) -> Vec<Advised> {
        match named.map(|name| self.pool_meant(name)) {
            Some(Ok(pool)) => {
                self.turn_to(pool);
                Vec::new()
            }
            // What is said now is of a pool that nobody knows yet, and surely not of the one in hand.
            Some(Err(which)) => {
                let left = self.leave_pool(at);
                if let Some(before) = self.pool.take() {
                    let fresh = Conversation::new(State::new(&self.base.network));
                    self.parked.insert(before, std::mem::replace(&mut self.talk, fresh));
                }
                std::iter::once(which).chain(left).collect()
            }
            None => Vec::new(),
        }
    }

    /// Turns to a pool; what was said of the one before is no fact of this one.
    pub(super) fn turn_to(&mut self, pool: String) {
        if self.pool.as_ref() != Some(&pool) {
            if let Some(before) = self.pool.take() {
                let fresh = Conversation::new(State::new(&self.base.network));
                let talk = self.parked.remove(&pool).unwrap_or(fresh);
                self.parked.insert(before, std::mem::replace(&mut self.talk, talk));
            }
            self.pool = Some(pool);
        }
    }
}

/// Whether words that were left unread are all among those that asked leave to do something.
fn all_of(unread: &str, asked_by: &[String]) -> bool {
    let unread = unread.to_lowercase();
    let mut words = unread.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.all(|word| asked_by.iter().any(|by| by == word))
}

/// The state in which what was supposed is so, if anything was.
fn supposed<'b>(state: &State<'b>, facts: &[Fact]) -> Option<State<'b>> {
    let supposed: Vec<&Fact> =
        facts.iter().filter(|fact| fact.supposed && fact.doubt.is_none()).collect();
    if supposed.is_empty() {
        return None;
    }
    let mut copy = state.clone();
    for fact in supposed {
        copy.state(fact.id, fact.value, Origin::Assumed);
    }
    copy.run();
    Some(copy)
}

/// Whether a reading asks for one of these.
pub(super) fn asks(reading: &Reading, kinds: &[AskKind]) -> bool {
    reading.asks.iter().any(|ask| kinds.contains(ask))
}

/// An answer to a part of a message, with its places counted from the start of the whole.
pub(super) fn moved(mut answer: Answer, message: &str, by: usize) -> Answer {
    let shift = |span: Span| Span::new(span.start + by, span.end + by);
    for fact in &mut answer.read {
        fact.span = fact.span.map(shift);
    }
    for unread in &mut answer.unread {
        unread.span = shift(unread.span);
    }
    message.clone_into(&mut answer.message);
    answer
}
