//! What a conversation remembers: the facts in hand, when they were said, what was asked.

use super::steps::Walk;
use crate::advice::AnswerQuestion;
use crate::clock::Moment;
use crate::engine::State;
use crate::facts::{Fact, FactId, Origin, Value};
use crate::knowledge::{Kind, Urgency};
use crate::plan::DoseWish;
use std::collections::BTreeMap;

/// The facts in hand and what was said last.
#[derive(Debug)]
pub(super) struct Conversation<'b> {
    /// Working memory with what has fired.
    pub state: State<'b>,
    /// When each fact was said.
    told: BTreeMap<FactId, Moment>,
    /// What the last message changed: the values before.
    before: Vec<(FactId, Option<(Value, Origin)>)>,
    /// The fact that the last question asked for.
    pub asked: Option<FactId>,
    /// Facts that nobody here knows.
    pub unknown: Vec<FactId>,
    /// A reading that was doubted, and waits for a yes.
    pub doubted: Option<Fact>,
    /// Whether the last message asked leave to do something.
    leave: bool,
    /// The question that is still open, whatever was talked of since.
    pub open: Option<AnswerQuestion>,
    /// The number that was spoken of last: what "its 1.5 now" is about.
    pub topic: Option<FactId>,
    /// What a yes or no was said of last: what "its on" is about.
    pub thing: Option<FactId>,
    /// What was told of last, in words: what "and the timer?" goes on from.
    pub spoken: Option<String>,
    /// The question that was put last, and how often in succession.
    pub put: Option<(FactId, u32)>,
    /// Whether the last message only supposed something.
    pub supposed: bool,
    /// The steps somebody is led through.
    pub walk: Walk,
    /// The walk that an emergency broke off.
    pub paused: Option<Walk>,
    /// The walk before the last message.
    pub walk_before: Walk,
    /// What was told last, to tell only what is new.
    pub answered: Option<Told>,
    /// The values that a plan was last asked to reach, while the talk stays with it.
    pub wish: Option<DoseWish>,
}

/// What an answer told to do and why, as far as it matters for telling it again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Told {
    /// Actions: id, urgency, wording.
    pub actions: Vec<(String, Urgency, String)>,
    /// Findings, verdicts and cautions, by id.
    pub rest: Vec<String>,
}

impl<'b> Conversation<'b> {
    /// Nothing said yet.
    pub fn new(state: State<'b>) -> Self {
        Self {
            state,
            told: BTreeMap::new(),
            before: Vec::new(),
            asked: None,
            unknown: Vec::new(),
            doubted: None,
            leave: false,
            open: None,
            topic: None,
            thing: None,
            spoken: None,
            put: None,
            supposed: false,
            walk: Walk::default(),
            paused: None,
            walk_before: Walk::default(),
            answered: None,
            wish: None,
        }
    }

    /// A new message begins: what stands from before was said earlier, and what is too old goes.
    /// Gives back the facts that went.
    pub fn begin(&mut self, at: Moment) -> Vec<FactId> {
        self.before.clear();
        self.age(at)
    }

    /// What stands was said earlier, and what is too old goes. Gives back the facts that went.
    pub fn age(&mut self, at: Moment) -> Vec<FactId> {
        let known: Vec<_> = self.state.memory().known().collect();
        let mut stale = Vec::new();
        for (id, value, origin) in known {
            if origin != Origin::Message && origin != Origin::Earlier {
                continue;
            }
            let fresh =
                self.state.network().knowledge().vocabulary.get(id).and_then(|def| def.fresh_h);
            let age = self.told.get(&id).map(|told| at.hours_since(*told));
            match (fresh, age) {
                (Some(fresh), Some(age)) if age > fresh => {
                    self.state.retract(id);
                    stale.push(id);
                }
                (_, Some(_)) => self.state.state(id, value, Origin::Earlier),
                (_, None) => {
                    self.told.insert(id, at);
                }
            }
        }
        stale
    }

    /// Takes a fact in; a fact of several values said twice in one message has them all.
    pub fn take(&mut self, id: FactId, value: Value, origin: Origin, at: Moment) {
        let before = self.state.memory().entry(id);
        let again = self.before.iter().any(|(known, _)| *known == id);
        let several = matches!(
            self.state.network().knowledge().vocabulary.get(id).map(|def| &def.kind),
            Some(Kind::SeveralOf(_))
        );
        let value = match (several && again, before, value.choices()) {
            (true, Some((held, _)), Some(more)) => {
                Value::Choices(held.choices().unwrap_or_default().or(more))
            }
            (false, _, Some(set)) if several => Value::Choices(set),
            _ => value,
        };
        if !again {
            let stated = before.filter(|(_, origin)| !matches!(origin, Origin::Derived(_)));
            self.before.push((id, stated));
        }
        self.told.insert(id, at);
        self.state.state(id, value, origin);
    }

    /// Takes in what a message asks leave to do, for this turn alone; gives back the words that asked.
    /// `decides` says that it asks whether to stay open, in whatever words. An answer to the question that the
    /// verdict hung on is still about it.
    pub fn ask_leave(&mut self, message: &str, decides: bool, read: &[Fact]) -> Vec<String> {
        let deeds = &self.state.network().knowledge().deeds;
        let Some(fact) = deeds.fact else { return Vec::new() };
        let mut asked = deeds.asked(message);
        if decides && let Some(open) = deeds.stay_open {
            let (set, _) = asked.get_or_insert_default();
            *set = set.with(open);
        }
        let answers = self.asked.is_some_and(|id| read.iter().any(|fact| fact.id == id));
        if self.leave && (asked.is_some() || !answers) {
            self.leave = false;
            self.state.retract(fact);
        }
        match asked {
            Some((set, words)) => {
                self.leave = true;
                self.state.state(fact, Value::Choices(set), Origin::Message);
                words
            }
            None => Vec::new(),
        }
    }

    /// Takes in what the record knows, where nobody has said otherwise.
    pub fn remember(&mut self, id: FactId, value: Value, origin: Origin) {
        if self.state.memory().entry(id).is_none_or(|(_, held)| !said(held)) {
            self.state.state(id, value, origin);
        }
    }

    /// Puts away what the record knew of the pool before.
    pub fn close_history(&mut self) {
        let known: Vec<FactId> = self
            .state
            .memory()
            .known()
            .filter(|(_, _, origin)| matches!(origin, Origin::Profile | Origin::Logbook { .. }))
            .map(|(id, _, _)| id)
            .collect();
        for id in known {
            self.state.retract(id);
        }
    }

    /// What the last message changed.
    pub fn said_last(&self) -> Vec<(FactId, Value)> {
        let value = |(id, _): &(FactId, _)| Some((*id, self.state.memory().value(*id)?));
        self.before.iter().filter_map(value).collect()
    }

    /// Takes back what the last message said. Gives back which facts changed.
    pub fn forget_last(&mut self) -> Vec<FactId> {
        let before = std::mem::take(&mut self.before);
        for (id, held) in &before {
            match held {
                Some((value, origin)) => self.state.state(*id, *value, *origin),
                None => self.state.retract(*id),
            }
        }
        before.into_iter().map(|(id, _)| id).collect()
    }

    /// Takes back everything that was said.
    pub fn forget_all(&mut self) {
        let said: Vec<FactId> = self
            .state
            .memory()
            .known()
            .filter(|(_, _, origin)| matches!(origin, Origin::Message | Origin::Earlier))
            .map(|(id, _, _)| id)
            .collect();
        for id in said {
            self.state.retract(id);
        }
        self.told.clear();
        self.before.clear();
        self.asked = None;
        self.unknown.clear();
        self.doubted = None;
        self.open = None;
        self.topic = None;
        self.thing = None;
        self.spoken = None;
        self.put = None;
        self.supposed = false;
        self.walk = Walk::default();
        self.paused = None;
        self.answered = None;
    }
}

/// Whether somebody said it in this conversation.
const fn said(origin: Origin) -> bool {
    matches!(origin, Origin::Message | Origin::Earlier)
}
