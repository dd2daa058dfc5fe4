//! What is said to the program itself: help, why, forget that, again.

use super::reply;
use super::turn::Session;
use super::words::{Said, Walking};
use crate::advice::{Advised, Answer, Telling, titled};
use crate::clock::Moment;
use crate::facts::{Fact, FactId, Origin};

impl Session<'_> {
    pub(super) fn tell_program(&mut self, said: Said, at: Moment) -> Answer {
        let told = |reply: Advised| Answer { telling: Telling::Reply, ..reply::alone(at, reply) };
        self.talk.age(at);
        match said {
            Said::ForgetThat => self.forget_that(at),
            Said::ForgetAll => {
                self.unhold(None);
                self.talk.forget_all();
                self.last = None;
                told(reply::plain("done", "Everything that was said is forgotten."))
            }
            Said::Yes => self.yes(at),
            Said::No => {
                self.talk.doubted = None;
                self.changed(Vec::new(), at)
            }
            Said::DontKnow => {
                let unknown = self.talk.asked.take();
                self.talk.unknown.extend(unknown);
                let line = if unknown.is_some() { "All right, without it." } else { "All right." };
                self.changed(vec![reply::plain("noted", line)], at)
            }
            Said::Thanks => self.changed(Vec::new(), at),
            Said::Again => self.again(at),
            Said::More => {
                let last = self.last.clone().unwrap_or_else(|| Answer::empty(at));
                Answer { whole: true, at, telling: Telling::Whole, ..last }
            }
            Said::Facts => told(self.facts_known()),
            Said::Over => self.over(at),
            Said::Help => told(reply::help()),
            Said::Why(number) => told(reply::why(self, number)),
            Said::WhyNot(words) => told(reply::why_not(self, &words)),
            Said::Flip(words) => told(reply::flip(self, &words)),
            Said::Step(walking) => self.walk(walking, at),
        }
    }

    /// Takes back a supposition, or what was said last.
    fn forget_that(&mut self, at: Moment) -> Answer {
        if std::mem::take(&mut self.talk.supposed) {
            let line = "The supposition is put away; what you told before stands.";
            return self.changed(vec![reply::plain("done", line)], at);
        }
        let facts = self.talk.forget_last();
        self.unhold(Some(&facts));
        let walked = self.talk.walk != self.talk.walk_before;
        self.talk.walk = self.talk.walk_before.clone();
        let told = if facts.is_empty() && walked {
            reply::plain("done", "Taken back: that step is open again.")
        } else {
            reply::forgot(self.base, &facts)
        };
        self.changed(vec![told], at)
    }

    /// Yes, that doubted reading is so.
    fn yes(&mut self, at: Moment) -> Answer {
        let Some(fact) = self.talk.doubted.take() else { return self.changed(Vec::new(), at) };
        self.talk.begin(at);
        let value = fact.likely.unwrap_or(fact.value);
        self.talk.take(fact.id, value, Origin::Message, at);
        let sure = Fact { value, doubt: None, ..fact };
        let mut answer = self.standing(at);
        self.hold("", std::slice::from_ref(&sure), (at, None), &mut answer);
        answer.read = vec![sure];
        self.telling(answer, self.in_danger())
    }

    /// The answer or the step in hand once more.
    fn again(&mut self, at: Moment) -> Answer {
        if self.talk.walk.on {
            return self.walk(Walking::Where, at);
        }
        let answer = self.standing(at);
        self.tell_whole(answer)
    }

    /// Everything that is known of the pool in hand, with where it came from.
    pub(super) fn facts_known(&self) -> Advised {
        let words = &self.base.knowledge().vocabulary;
        let from = |origin: Origin| match origin {
            Origin::Message | Origin::Earlier => Some("you said"),
            Origin::Logbook { .. } => Some("log"),
            Origin::Profile => Some("profile"),
            Origin::Assumed => Some("taken for granted"),
            Origin::Derived(_) => None,
        };
        let line = |(id, value, origin): (FactId, _, Origin)| {
            let def = words.get(id)?;
            let from = from(origin)?;
            let said = titled(def, &def.show(value, self.settings.units));
            Some(format!("{said} ({from})"))
        };
        let lines: Vec<String> = self.talk.state.memory().known().filter_map(line).collect();
        if lines.is_empty() {
            return reply::plain("facts", "Nothing has been told yet.");
        }
        Advised { heading: "facts".to_owned(), lines, cites: Vec::new() }
    }
}
