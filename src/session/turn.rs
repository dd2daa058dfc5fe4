//! One message → one answer.

use super::base::{Base, Settings};
use crate::advice::Answer;
use crate::clock::Moment;
use crate::facts::{Fact, Origin};
use crate::problem::{Code, Problem};

/// A conversation.
#[derive(Debug)]
pub struct Session<'b> {
    base: &'b Base,
    settings: Settings,
    pool: Option<String>,
    given: Vec<Fact>,
}

impl<'b> Session<'b> {
    /// A new conversation.
    #[must_use]
    pub const fn new(base: &'b Base, settings: Settings) -> Self {
        Self { base, settings, pool: None, given: Vec::new() }
    }

    /// States a fact beside the messages, as `--fact NAME=VALUE` does.
    ///
    /// # Errors
    /// A problem if there is no such fact, or it takes no such value.
    pub fn state(&mut self, name: &str, value: &str) -> Result<(), Problem> {
        let words = &self.base.knowledge.vocabulary;
        let Some(id) = words.find(name) else {
            let problem =
                Problem::error(Code::UnknownName, None, format!("no fact is called `{name}`"));
            return Err(problem.did_you_mean(name, words.names()));
        };
        let def = words.get(id);
        let parsed = def.map_or_else(|| Err(String::new()), |def| def.parse(value));
        let value_read =
            parsed.map_err(|why| Problem::error(Code::Value, None, format!("`{name}`: {why}")))?;
        self.given.push(Fact::stated(id, value_read, format!("{name}={value}"), Origin::Message));
        Ok(())
    }

    /// Names the pool in hand.
    pub fn pool(&mut self, name: Option<String>) {
        self.pool = name;
    }

    /// Answers one message.
    pub fn turn(&mut self, message: &str, at: Moment) -> Answer {
        let _ = (message, &self.settings);
        Answer {
            at,
            pool: self.pool.clone(),
            read: Vec::new(),
            asks: Vec::new(),
            facts: Vec::new(),
            findings: Vec::new(),
            actions: Vec::new(),
            cautions: Vec::new(),
            questions: Vec::new(),
            figures: Vec::new(),
            passages: Vec::new(),
            replies: Vec::new(),
            unread: Vec::new(),
            fired: Vec::new(),
        }
    }
}
