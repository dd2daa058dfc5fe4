//! Durations and days: how long something has been so, and when a task was last done.

use super::bind::Binder;
use super::measure::Nature;
use super::statement::Statement;
use crate::clock::Moment;
use crate::facts::{FactId, Value};
use crate::knowledge::{Role, Sense};
use crate::units::{Dimension, base_value, find_unit, from_base, unit};

/// How far a duration may stand from what it is the duration of, in pieces.
const REACH: usize = 12;
/// How far a word of time may stand from a finished task.
const TASK: usize = 9;

/// The hour of the day that it is, whether its half of the day is certain, and the piece that tells it.
type Now = (f64, bool, usize);

impl Binder<'_, '_> {
    /// How long states have lasted: "down 4 hours", "stopped 20 minutes ago", "since 3" by the clock.
    #[must_use]
    pub fn durations(
        &self,
        rest: &[usize],
        states: &[Statement],
        moment: Option<Moment>,
    ) -> Vec<Statement> {
        let mut found = Vec::new();
        let now =
            self.hour_told().or(moment.map(|moment| (moment.hour_of_day(), true, usize::MAX)));
        for at in 0..self.pieces.len() {
            let Some(measure) = self.pieces.get(at).and_then(|piece| piece.measure) else {
                continue;
            };
            let timed =
                measure.dimension() == Some(Dimension::Time) && rest.binary_search(&at).is_ok();
            let hours = match measure.unit.filter(|_| timed) {
                Some(id) if !self.still_to_come(at) => Some(base_value(measure.value, id)),
                Some(_) => None,
                None => self.since(at, measure.nature, measure.value, now),
            };
            let Some(hours) = hours else { continue };
            if let Some(mut statement) = self.lasting(at, hours, states) {
                if let (Some((low, high)), Some(id)) = (measure.range, measure.unit) {
                    statement.bounds = Some(crate::facts::Bounds {
                        low: Some(base_value(low, id)),
                        high: Some(base_value(high, id)),
                    });
                }
                found.push(statement);
            }
        }
        found
    }

    /// "4 more hours", "in 2 hours": not how long it has been.
    fn still_to_come(&self, at: usize) -> bool {
        let near = |n: Option<usize>, role| {
            n.and_then(|n| self.pieces.get(n)).is_some_and(|piece| piece.is(role))
        };
        near(at.checked_sub(1), Role::More)
            || near(Some(at + 1), Role::More)
            || (near(at.checked_sub(2), Role::More) && near(at.checked_sub(1), Role::Approx))
    }

    /// "It's 5:10 am now", "and it's quarter to seven": the hour that the message says it is.
    fn hour_told(&self) -> Option<Now> {
        let is = |n: Option<usize>, role| {
            n.and_then(|n| self.pieces.get(n)).is_some_and(|piece| piece.is(role))
        };
        (0..self.pieces.len()).find_map(|at| {
            let measure = self.pieces.get(at)?.measure?;
            let (hour, exact) = match measure.nature {
                Nature::Clock { hour, exact } => (hour, exact),
                Nature::Reading if self.tells_the_hour(at) => (measure.value, false),
                _ => return None,
            };
            let before =
                at.checked_sub(1).filter(|n| !is(Some(*n), Role::Approx)).or(at.checked_sub(2));
            let it = is(before, Role::Pronoun) && is(before, Role::Own);
            let now = is(Some(at + 1), Role::Now) || is(before, Role::Now);
            ((it || now) && measure.unit.is_none()).then_some((hour, exact, at))
        })
    }

    /// Hours since a clock time that the message names ("since about 3"), if the moment is known.
    fn since(&self, at: usize, nature: Nature, value: f64, now: Option<Now>) -> Option<f64> {
        let (now, certain, told_at) = now.filter(|now| now.2 != at)?;
        let told = (1..=3)
            .filter_map(|back| at.checked_sub(back))
            .any(|n| self.pieces.get(n).is_some_and(|p| p.is(Role::Since) || p.is(Role::Clock)));
        let (hour, exact) = match nature {
            Nature::Clock { hour, exact } => (hour, exact),
            Nature::Reading if told && value.fract() == 0.0 && (1.0..=12.0).contains(&value) => {
                (value, false)
            }
            _ => return None,
        };
        let half = |role| self.pieces.get(at + 1).is_some_and(|piece| piece.is(role));
        let (hour, exact) = match hour {
            // "2 last night" is after midnight.
            hour if hour < 12.0 && half(Role::Evening) => {
                (if hour < 5.0 { hour } else { hour + 12.0 }, true)
            }
            hour => (hour, exact || half(Role::Forenoon)),
        };
        let ago = (now - hour).rem_euclid(if exact && certain { 24.0 } else { 12.0 });
        (told && told_at > at).then_some(ago)
    }

    /// The duration of the nearest state that has one.
    fn lasting(&self, at: usize, hours: f64, states: &[Statement]) -> Option<Statement> {
        let sentence = self.clauses.mark(at).sentence;
        let mut best: Option<(usize, Statement)> = None;
        let near = states.partition_point(|s| s.last + REACH < at);
        for state in states.iter().skip(near).take_while(|s| s.first <= at + REACH) {
            let far = if state.last < at { at - state.last } else { state.first.abs_diff(at) + 2 };
            let apart = self.clauses.mark(state.first).sentence.abs_diff(sentence);
            if far > REACH || apart > 1 || best.as_ref().is_some_and(|(found, _)| *found <= far) {
                continue;
            }
            let Some(fact) = self.duration_of(state) else { continue };
            let hour = find_unit("h")?;
            let canonical = self.knowledge.vocabulary.get(fact)?.unit()?;
            let value = from_base(base_value(hours, hour), canonical);
            let statement = Statement {
                supposed: state.supposed,
                while_so: Some((state.fact, state.value)),
                ..Statement::new(
                    fact,
                    Value::Number(value),
                    at.min(state.first),
                    at.max(state.last),
                )
            };
            best = Some((far, Statement { first: at, last: at, ..statement }));
        }
        best.map(|(_, statement)| statement)
    }

    fn duration_of(&self, state: &Statement) -> Option<FactId> {
        self.knowledge.vocabulary.iter().map(|(fact, _)| fact).find(|fact| {
            self.knowledge
                .lexicon
                .traits(*fact)
                .is_some_and(|traits| traits.during == Some((state.fact, state.value)))
        })
    }

    /// Finished tasks with the day they were done.
    #[must_use]
    pub fn tasks(&self, rest: &[usize]) -> Vec<Statement> {
        let mut found = Vec::new();
        for (at, piece) in self.pieces.iter().enumerate() {
            for sense in piece.senses {
                let Sense::Done(done) = sense else { continue };
                let Some(fact) = self.knowledge.lexicon.done(*done) else { continue };
                let mood = self.clauses.mark(at).mood;
                if mood != super::clause::Mood::Stated {
                    continue;
                }
                if let Some((days, when)) = self.day_of(at, rest) {
                    let (first, last) = (at.min(when), at.max(when));
                    found.push(Statement::new(fact, Value::Number(days), first, last));
                }
            }
        }
        found
    }

    /// "Tested this morning, brushed last week": the morning belongs to the task that stands right before it.
    fn tells_of_another_task(&self, time: usize) -> bool {
        let dated =
            |piece: &super::phrase::Piece<'_>| piece.is(Role::Today) || piece.is(Role::Yesterday);
        let before = time.checked_sub(1).and_then(|n| self.pieces.get(n));
        self.pieces.get(time).is_some_and(dated)
            && before.is_some_and(|p| p.senses.iter().any(|sense| matches!(sense, Sense::Done(_))))
    }

    /// How many days ago the task at a piece was done, and the piece that says so.
    fn day_of(&self, at: usize, rest: &[usize]) -> Option<(f64, usize)> {
        let sentence = self.clauses.mark(at).sentence;
        let denied = (1..=3)
            .filter_map(|back| at.checked_sub(back))
            .any(|n| self.pieces.get(n).is_some_and(|piece| piece.is(Role::Not)));
        // "Just brushed the walls".
        let just =
            at.checked_sub(1).filter(|n| self.pieces.get(*n).is_some_and(|p| p.is(Role::Just)));
        if let Some(just) = just.filter(|_| !denied) {
            return Some((0.0, just));
        }
        let ahead = (1..TASK).map(|far| at + far);
        let back = (1..TASK).filter_map(|far| at.checked_sub(far));
        for n in ahead.chain(back) {
            let Some(piece) = self.pieces.get(n) else { continue };
            if self.clauses.mark(n).sentence != sentence {
                continue;
            }
            if let Some(measure) = piece.measure.filter(|_| rest.binary_search(&n).is_ok()) {
                let Some(id) = measure.unit else { continue };
                let ago = self.pieces.get(n + 1).is_some_and(|next| next.is(Role::Ago));
                if unit(id).dimension == Dimension::Time && (ago || denied) {
                    let days = base_value(measure.value, id) / 24.0;
                    return Some((if days < 1.0 { 0.0 } else { days }, n));
                }
            } else if n < at && self.tells_of_another_task(n) {
                return None;
            } else if !denied && piece.is(Role::Today) {
                return Some((0.0, n));
            } else if !denied && piece.is(Role::Yesterday) {
                return Some((1.0, n));
            }
        }
        None
    }
}
