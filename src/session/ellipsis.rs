//! What a message leaves out because it was said before: "its 1.5 now", "and alk?", "the other one".

use super::reply::{alone, plain};
use super::turn::{Session, asks};
use crate::advice::Answer;
use crate::clock::Moment;
use crate::facts::{Fact, FactId, Origin};
use crate::knowledge::{AskKind, Kind, Knowledge, plain_words};
use crate::language::Reading;
use crate::problem::Span;
use crate::units::{convert, display_unit};

/// A message of more words than this leaves nothing out.
const SHORT: usize = 6;
/// One of so many words names a value and asks nothing else of it.
const BARE: usize = 5;

impl Session<'_> {
    /// Reads a message, with what it leaves out taken from before.
    pub(super) fn read_on(&self, message: &str, reading: Reading, at: Moment) -> Reading {
        let words = message.split_whitespace().count();
        if words > SHORT {
            return reading;
        }
        if let Some(put_right) = self.put_right(message, at) {
            return put_right;
        }
        if let Some(supposed) = self.supposing(message, &reading, at) {
            return supposed;
        }
        if let Some(by_now) = self.by_now(message, &reading, at) {
            return by_now;
        }
        if !reading.facts.is_empty() {
            return reading;
        }
        if let Some(of_it) = self.pronoun(message, at) {
            return of_it;
        }
        let number =
            reading.unread.iter().any(|one| one.text.contains(|c: char| c.is_ascii_digit()));
        if number && self.talk.topic.is_some() {
            let bound = self.read_about(message, at, self.talk.topic);
            if !bound.facts.is_empty() {
                return bound;
            }
        }
        // "and alk?" asks of another value what was asked of the last one.
        let vague = [AskKind::Report, AskKind::Lookup];
        let asks_nothing = reading.asks.iter().all(|ask| vague.contains(ask));
        let ranges = &self.base.knowledge().ranges;
        let ranged = |id: &FactId| ranges.iter().any(|range| range.fact == *id);
        if words <= BARE && asks_nothing && reading.about.iter().any(ranged) {
            return Reading { asks: vec![AskKind::Target], ..reading };
        }
        reading
    }

    /// "What if it was 16": of what was spoken of last.
    fn supposing(&self, message: &str, reading: &Reading, at: Moment) -> Option<Reading> {
        let topic = self.talk.topic.filter(|_| asks(reading, &[AskKind::WhatIf]))?;
        let talk = &self.base.knowledge().talk;
        let mut rest = message.trim_end_matches(['?', '.', '!', ' ']);
        while let Some((word, more)) = rest.trim_start().split_once(' ')
            && plain_words(word).iter().all(|word| talk.supposing.contains(word))
        {
            rest = more;
        }
        if rest.len() == message.len() || !talk.is_now(rest) {
            return None;
        }
        let bound = self.read_about(&bare(rest), at, Some(topic));
        let fact = bound.facts.into_iter().find(|fact| fact.id == topic)?;
        let number = message.find(fact.given.trim())?;
        let span = Some(Span::new(number, number + fact.given.trim().len()));
        let facts = vec![Fact { supposed: true, span, ..fact }];
        Some(Reading { facts, unread: Vec::new(), ..reading.clone() })
    }

    /// "Its 1.5 now", perhaps with more behind a comma: of what was spoken of last, unless a number was asked for.
    fn by_now(&self, message: &str, reading: &Reading, at: Moment) -> Option<Reading> {
        if self.talk.asked.is_some_and(|asked| self.is_number(asked)) {
            return None;
        }
        let topic = self.talk.topic?;
        let mut begin = 0;
        let is_now = |clause: &str| self.base.knowledge().talk.is_now(clause);
        for clause in message.split_inclusive([',', ';']) {
            let end = begin + clause.len();
            if is_now(clause.trim_end_matches([',', ';'])) {
                let bound = self.read_about(&bare(clause), at, Some(topic));
                let mut fact = bound.facts.into_iter().find(|fact| fact.id == topic)?;
                fact.span = Some(Span::new(begin, end));
                let inside =
                    |one: &Fact| one.span.is_some_and(|s| s.start >= begin && s.end <= end);
                let mut whole = reading.clone();
                whole.facts.retain(|one| !inside(one) && one.id != topic);
                whole.unread.retain(|one| one.span.start < begin || one.span.end > end);
                whole.facts.push(fact);
                return Some(whole);
            }
            begin = end;
        }
        None
    }

    fn is_number(&self, id: FactId) -> bool {
        let def = self.base.knowledge().vocabulary.get(id);
        def.is_some_and(|def| matches!(def.kind, Kind::Number { .. }))
    }

    /// "Actually its on": of what a yes or no was said of last.
    fn pronoun(&self, message: &str, at: Moment) -> Option<Reading> {
        let words = &self.base.knowledge().vocabulary;
        let talk = &self.base.knowledge().talk;
        let (subject, _) = words.name(self.talk.thing?).split_once('.')?;
        let thing = subject.replace('_', " ");
        let (pronoun, stands) = message.split_whitespace().find_map(|word| {
            let stands = match plain_words(word).concat().as_str() {
                it if talk.it.iter().any(|word| word == it) => thing.clone(),
                its if talk.it_is.iter().any(|word| word == its) => format!("{thing} is"),
                _ => return None,
            };
            Some((word, stands))
        })?;
        let at_it = message.find(pronoun)?;
        let mut text = message.to_owned();
        text.replace_range(at_it..at_it + pronoun.len(), &stands);
        let reading = self.read_about(&text, at, None);
        let of_it =
            |fact: &Fact| words.name(fact.id).split_once('.').is_some_and(|n| n.0 == subject);
        let mut facts = reading.facts.clone();
        facts.retain(of_it);
        for fact in &mut facts {
            fact.span = Some(Span::new(0, message.len()));
            message.clone_into(&mut fact.given);
        }
        (!facts.is_empty()).then(|| Reading { facts, unread: Vec::new(), ..reading })
    }

    /// "Sorry, 7.8 not 7.2": of the reading that stands at the second number.
    fn put_right(&self, message: &str, at: Moment) -> Option<Reading> {
        let numbers: Vec<f64> = message
            .split(|c: char| !(c.is_ascii_digit() || c == '.'))
            .filter_map(|word| word.trim_end_matches('.').parse().ok())
            .collect();
        let [right, wrong] = numbers.as_slice() else { return None };
        if !message.to_lowercase().split_whitespace().any(|word| word == "not") {
            return None;
        }
        let system = self.settings.units;
        let words = &self.base.knowledge().vocabulary;
        let stands = |(id, value, origin): (FactId, crate::facts::Value, Origin)| {
            let Kind::Number { unit, .. } = words.get(id)?.kind else { return None };
            let shown = convert(value.number()?, unit, display_unit(unit, system))?;
            let said = matches!(origin, Origin::Message | Origin::Earlier);
            (said && (shown - wrong).abs() < 0.005 * wrong.abs().max(1.0)).then_some(id)
        };
        let id = self.talk.state.memory().known().find_map(stands)?;
        let reading = self.read_about(&right.to_string(), at, Some(id));
        reading.facts.iter().any(|fact| fact.id == id).then_some(reading)
    }

    /// The other one of two pools that were spoken of.
    pub(super) fn other_pool(&self, message: &str) -> Option<String> {
        self.other_said(message)?;
        let mut others = self.parked.keys();
        match (others.next(), others.next()) {
            (Some(other), None) => Some(other.clone()),
            (Some(_), Some(_)) => None,
            (None, _) => self.two_pools().map(|[other, _]| other),
        }
    }

    /// The words by which a message speaks of another pool.
    fn other_said(&self, message: &str) -> Option<&str> {
        let text = message.to_lowercase();
        let phrases = self.base.knowledge().talk.phrases.get("other_pool")?;
        phrases.iter().find(|phrase| text.contains(phrase.as_str())).map(String::as_str)
    }

    /// "Same at the other one", where nobody has spoken of another pool: which one it is is asked for.
    pub(super) fn no_other(&self, message: &str, at: Moment) -> Option<Answer> {
        let talk = &self.base.knowledge().talk;
        let said = self.other_said(message)?;
        let of_a_pool =
            said.ends_with("pool") || talk.beginning(message).is_some_and(|(key, _)| key == "same");
        let none = of_a_pool && self.other_pool(message).is_none() && self.parked.is_empty();
        none.then(|| alone(at, plain("which pool", talk.say("which_pool"))))
    }

    /// "The power is out at both": said of the two pools that are known, of the one in hand last.
    pub(super) fn of_both(&mut self, message: &str, at: Moment) -> Option<Answer> {
        let [other, in_hand] = self.both_pools(message)?;
        self.turn_to(other);
        let others = vec![self.answer(message, at)];
        self.turn_to(in_hand);
        Some(Answer { others, ..self.answer(message, at) })
    }

    fn both_pools(&self, message: &str) -> Option<[String; 2]> {
        let text = message.to_lowercase();
        let phrases = self.base.knowledge().talk.phrases.get("both_pools")?;
        let said = phrases.iter().any(|phrase| text.contains(phrase.as_str()));
        said.then(|| self.two_pools()).flatten()
    }

    /// The two pools that are known, if there are just two and one is in hand: the other, and it.
    fn two_pools(&self) -> Option<[String; 2]> {
        let in_hand = self.pool_in_hand()?.to_owned();
        let known = self.settings.pools.as_ref()?.names();
        let mut others = known.into_iter().filter(|name| *name != in_hand);
        let other = others.next()?.to_owned();
        others.next().is_none().then_some([other, in_hand])
    }
}

/// The number of a message and nothing else.
fn bare(message: &str) -> String {
    let number = |c: char| c.is_ascii_digit() || c == '.';
    let words = message.split_whitespace().filter(|word| word.contains(number));
    words.map(|word| word.trim_matches(|c: char| !number(c))).collect::<Vec<_>>().join(" ")
}

/// The number that a reading spoke of last.
pub(super) fn topic(reading: &Reading, knowledge: &Knowledge) -> Option<FactId> {
    // What does not change is not what "now" is about.
    let number = |id: &FactId| {
        let def = knowledge.vocabulary.get(*id);
        def.is_some_and(|def| matches!(def.kind, Kind::Number { .. }) && def.fresh_h.is_some())
            && !knowledge.talk.not_now.iter().any(|name| name == knowledge.vocabulary.name(*id))
    };
    let said = reading.facts.iter().rev().map(|fact| fact.id).find(number);
    said.or_else(|| reading.about.iter().rev().copied().find(number))
}
