//! Reading a message with what the conversation knows.

use super::dose::blanked;
use super::turn::Session;
use super::wish::without_fill_water;
use crate::clock::Moment;
use crate::facts::{Fact, FactId, Origin, Value};
use crate::language::{Reading, ReadingContext, read};
use crate::plan::size_said;

impl Session<'_> {
    /// What is known when a message is read.
    pub(super) fn context(&self, at: Moment, asked: Option<FactId>) -> ReadingContext<'_> {
        ReadingContext {
            system: self.settings.units,
            pools: self.settings.pools.as_ref(),
            moment: Some(at),
            asked,
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
        self.read_about(message, at, self.talk.asked)
    }

    /// Reads words as an answer to a question for a fact.
    pub(super) fn read_about(&self, message: &str, at: Moment, asked: Option<FactId>) -> Reading {
        read(message, &self.context(at, asked), self.base.knowledge())
    }
}
