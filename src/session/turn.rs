//! One message → one answer.

use super::base::{Base, Settings};
use super::book::Book;
use super::conversation::Conversation;
use super::dose::blanked;
use super::one_voice::to_dose;
use super::passages;
use super::reply;
use super::wish::without_fill_water;
use super::words::{Said, said};
use crate::advice::{Advised, Answer, AnswerQuestion, Unread, compose};
use crate::clock::Moment;
use crate::engine::State;
use crate::facts::{Fact, FactId, Origin, Value};
use crate::knowledge::AskKind;
use crate::language::{Reading, ReadingContext, read};
use crate::plan::size_said;
use crate::problem::{Code, Problem};

/// A conversation.
#[derive(Debug)]
pub struct Session<'b> {
    pub(super) base: &'b Base,
    pub(super) settings: Settings,
    pool: Option<String>,
    pub(super) book: Option<Book<'b>>,
    pub(super) talk: Conversation<'b>,
    pub(super) last: Option<Answer>,
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
        }
    }

    /// States a fact beside the messages, as `--fact NAME=VALUE` does.
    ///
    /// # Errors
    /// A problem if there is no such fact, or it takes no such value.
    pub fn state(&mut self, name: &str, value: &str) -> Result<(), Problem> {
        let words = &self.base.knowledge().vocabulary;
        let Some((id, def)) = words.find(name).and_then(|id| Some((id, words.get(id)?))) else {
            let problem =
                Problem::error(Code::UnknownName, None, format!("no fact is called `{name}`"));
            return Err(problem.did_you_mean(name, words.names()));
        };
        let told = |why: String| Problem::error(Code::Value, None, format!("`{name}`: {why}"));
        let value = def.parse(value).map_err(told)?;
        if let (Some((low, high)), Value::Number(n)) = (def.possible, value)
            && (n < low || n > high)
        {
            let shown = def.show(value, self.settings.units);
            return Err(told(format!("{shown} cannot be")).help("check the number and its unit"));
        }
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

    /// Answers one message.
    pub fn turn(&mut self, message: &str, at: Moment) -> Answer {
        let mut answer = match said(message) {
            Some(said) if self.is_for_program(&said) => self.tell_program(said, at),
            _ => match self.tell_book(message, at) {
                Some(answer) => answer,
                None => self.about_pool(message, at),
            },
        };
        answer.pool.clone_from(&self.pool);
        self.talk.asked = answer.questions.first().map(|question| question.fact);
        if answer.passages.is_empty() {
            answer.passages = passages::cited(self.base, &answer);
        }
        if answer.replies.iter().all(|reply| reply.heading != "why" && reply.heading != "why not") {
            self.last = Some(answer.clone());
        }
        answer
    }

    /// A bare yes or no is for the language if a question about a fact is open.
    const fn is_for_program(&self, said: &Said) -> bool {
        match said {
            Said::Yes => self.talk.doubted.is_some(),
            Said::No => self.talk.doubted.is_some() || self.talk.asked.is_none(),
            Said::DontKnow => true,
            Said::Why(_) | Said::More => self.last.is_some(),
            _ => true,
        }
    }

    /// The answer as things stand.
    pub(super) fn standing(&mut self, at: Moment) -> Answer {
        self.talk.state.run();
        compose(&self.talk.state, at, self.settings.units, &self.talk.unknown)
    }

    fn about_pool(&mut self, message: &str, at: Moment) -> Answer {
        let stale = self.talk.begin(at);
        let (mut reading, wanted) = self.read_wish(message, at);
        self.done_now(message, &mut reading.facts);
        let which = self.take_pool(reading.pool.clone());
        let old = self.open_history(at);
        self.talk.doubted = None;
        for fact in &reading.facts {
            match (fact.supposed, &fact.doubt) {
                (true, _) => {}
                (false, Some(_)) => self.talk.doubted = Some(fact.clone()),
                (false, None) => self.talk.take(fact.id, fact.value, Origin::Message, at),
            }
        }
        if reading.does_not_know {
            self.talk.unknown.extend(self.talk.asked);
        }
        let decides = asks(&reading, &[AskKind::Decide]);
        let mut asked_by = self.talk.ask_leave(message, decides, &reading.facts);
        asked_by.extend(self.words_read(message));
        let now = self.standing(at);
        let mut answer = match supposed(&self.talk.state, &reading.facts) {
            Some(state) => reply::what_if(self, &state, &now, at),
            None => now,
        };
        self.talk.asked = None;
        answer.asks = reading.asks.iter().map(|ask| ask.name().to_owned()).collect();
        reply::to_asks(self, message, &reading, &mut answer);
        to_dose(self, &wanted, &mut answer);
        reply::of_stale(self, &stale, &mut answer);
        answer.replies.extend(which.into_iter().chain(old));
        self.hold(message, &reading.facts, at, &mut answer);
        answer.unread = reading
            .unread
            .into_iter()
            .filter(|unread| !wanted.has_read(unread.span))
            .filter(|unread| !all_of(&unread.text, &asked_by))
            .map(|u| Unread { text: u.text, span: u.span })
            .collect();
        answer.read = reading.facts;
        if let Some(question) = self.doubt() {
            answer.questions = vec![question];
        }
        answer
    }

    /// Turns to the pool that a message names; gives back a question if two fit.
    fn take_pool(&mut self, named: Option<String>) -> Option<Advised> {
        let pool = match self.pool_meant(named?) {
            Ok(pool) => pool,
            Err(which) => return Some(which),
        };
        self.turn_to(pool);
        None
    }

    /// Turns to a pool; what was said of the one before is no fact of this one.
    pub(super) fn turn_to(&mut self, pool: String) {
        if self.pool.as_ref() != Some(&pool) {
            if self.pool.is_some() {
                self.talk.forget_all();
            }
            self.pool = Some(pool);
        }
    }

    /// Reads a message: what it says of fill water apart, and a pool's size as its volume.
    pub(super) fn read(&self, message: &str, at: Moment) -> Reading {
        let knowledge = self.base.knowledge();
        let size = size_said(message, &knowledge.dosing, self.settings.units);
        let sized = size.as_ref().and_then(|size| blanked(message, size.span));
        let text = sized.as_deref().unwrap_or(message);
        let rest = without_fill_water(text, knowledge);
        let mut reading = self.read_words(rest.as_ref().map_or(text, |(rest, _)| rest), at);
        let volume = knowledge.vocabulary.find("pool.volume");
        let open = volume.filter(|id| reading.facts.iter().all(|fact| fact.id != *id));
        if let (Some(volume), Some(size)) = (open, size) {
            let given = size.span.of(message).to_owned();
            let value = Value::Number(size.litres);
            let fact = Fact::stated(volume, value, given, Origin::Message);
            reading.facts.push(Fact { span: Some(size.span), ..fact });
            reading.unread.retain(|unread| knowledge.dosing.shape(&unread.text).is_none());
        }
        reading
    }

    /// Reads words as they stand.
    pub(super) fn read_words(&self, message: &str, at: Moment) -> Reading {
        let context = ReadingContext {
            system: self.settings.units,
            pools: self.settings.pools.as_ref(),
            moment: Some(at),
            asked: self.talk.asked,
        };
        read(message, &context, self.base.knowledge())
    }

    /// A doubted reading is asked about before anything else.
    fn doubt(&self) -> Option<AnswerQuestion> {
        let fact = self.talk.doubted.as_ref()?;
        let def = self.base.knowledge().vocabulary.get(fact.id)?;
        let why = fact.doubt.clone()?;
        let text = match fact.likely {
            Some(value) => {
                let shown = def.show(value, self.settings.units);
                format!("I read \"{}\" as {}. Did you mean {shown}?", fact.given, def.title)
            }
            None => {
                format!("I read \"{}\" as {}. What does it really read?", fact.given, def.title)
            }
        };
        Some(AnswerQuestion { fact: fact.id, name: def.name.clone(), text, why })
    }

    fn tell_program(&mut self, said: Said, at: Moment) -> Answer {
        match said {
            Said::ForgetThat => {
                let facts = self.talk.forget_last();
                self.unhold(Some(&facts));
                let mut answer = self.standing(at);
                answer.replies.push(reply::forgot(self.base, &facts));
                answer
            }
            Said::ForgetAll => {
                self.unhold(None);
                self.talk.forget_all();
                let mut answer = self.standing(at);
                answer.replies.push(reply::plain("done", "Everything that was said is forgotten."));
                answer
            }
            Said::Yes => {
                if let Some(fact) = self.talk.doubted.take() {
                    self.talk.begin(at);
                    let value = fact.likely.unwrap_or(fact.value);
                    self.talk.take(fact.id, value, Origin::Message, at);
                    let sure = Fact { value, doubt: None, ..fact };
                    let mut answer = self.standing(at);
                    self.hold("", &[sure], at, &mut answer);
                    return answer;
                }
                self.standing(at)
            }
            Said::No => {
                self.talk.doubted = None;
                self.standing(at)
            }
            Said::DontKnow => {
                self.talk.unknown.extend(self.talk.asked.take());
                self.standing(at)
            }
            Said::More => {
                let all = self.last.clone().map(|last| Answer { whole: true, at, ..last });
                all.unwrap_or_else(|| Answer::empty(at))
            }
            Said::Help => reply::alone(at, reply::help()),
            Said::Why(number) => reply::alone(at, reply::why(self, number)),
            Said::WhyNot(words) => reply::alone(at, reply::why_not(self, &words)),
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
