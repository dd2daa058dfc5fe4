//! Puts right what was kept: "sorry, pH was 7.6, not 7.2", "correct: 12 oz of acid yesterday, not 21".

use super::Book;
use crate::clock::Moment;
use crate::facts::Fact;
use crate::logbook::{Account, Amendment, Stretch, Visit, parts_of};
use crate::problem::Problem;
use crate::session::amend::{Correcting, PutRight};
use crate::session::base::Base;
use crate::session::period::named;
use crate::session::turn::Session;
use crate::units::System;

/// Where no day is named and the wrong value is, visits of so many days are looked through.
const DAYS: f64 = 14.0;

/// What waits to be put right, and the message that said so.
#[derive(Debug, Clone)]
pub(super) struct Right {
    /// What, where.
    pub put: PutRight,
    /// The message.
    pub why: String,
}

impl Right {
    /// Whether another one is about the same thing.
    fn is_about(&self, other: &PutRight) -> bool {
        let of = |put: &PutRight| match &put.amendment {
            Amendment::Reading { fact, .. } => (fact.clone(), None),
            Amendment::Addition { product, place, .. } => (product.clone(), *place),
            Amendment::Task { task, .. } => (task.clone(), None),
        };
        self.put.visit == other.visit && of(&self.put) == of(other)
    }
}

impl Session<'_> {
    /// The words of a message that put something right: the offer says what was understood of them.
    pub(in super::super) fn words_put_right(&self, message: &str) -> Vec<String> {
        let rights = self.book.iter().flat_map(|book| &book.rights);
        let said = rights.filter(|right| right.why == message.trim());
        said.flat_map(|right| parts_of(&right.why)).collect()
    }
}

impl Book<'_> {
    /// Holds what a message puts right of visits that were kept: those of the day that it names, or of today, or, if
    /// it says what was wrong, of the last two weeks. Gives back the facts that are left.
    pub(super) fn hold_rights<'f>(
        &mut self,
        (message, at): (&str, Moment),
        facts: &'f [Fact],
        base: &Base,
        units: System,
    ) -> (Vec<&'f Fact>, bool) {
        let text = message.to_lowercase();
        let (near, far) = self.visits_meant(&text, at, base);
        let near = Correcting { base, text: &text, visits: &near, units };
        let far = Correcting { base, text: &text, visits: &far, units };
        let mut found: Vec<PutRight> = Vec::new();
        let mut left = Vec::new();
        for fact in facts {
            // What waits to be kept is put right by saying it again.
            let waits = self.facts.iter().any(|held| held.id == fact.id);
            let right = near.reading(fact).or_else(|| far.reading_denied(fact));
            match right.filter(|_| !waits && !fact.supposed && fact.doubt.is_none()) {
                Some(right) => found.push(right),
                None => left.push(fact),
            }
        }
        let added = near.additions(false).or_else(|| far.additions_denied());
        let of_additions = added.is_some();
        found.extend(added);
        found.extend(near.task_not_done());
        for put in found {
            self.rights.retain(|one| !one.is_about(&put));
            self.rights.push(Right { put, why: message.trim().to_owned() });
        }
        (left, of_additions)
    }

    /// The visits of the day that a message names or of today, and those of the last weeks where it names none.
    fn visits_meant(&self, text: &str, at: Moment, base: &Base) -> (Vec<Visit>, Vec<Visit>) {
        let Some(pool) = &self.open else { return Default::default() };
        let of = |stretch| self.store.visits(&pool.id, stretch, 40).unwrap_or_default();
        match named(text, &base.knowledge().work, at) {
            Some(day) => (of(day.stretch(at)), Vec::new()),
            None => {
                let today = at.at_clock(at.date(), "00:00:00");
                let weeks = Some(at.plus_hours(-24.0 * DAYS));
                (
                    of(Stretch { from: today, to: Some(at) }),
                    of(Stretch { from: weeks, to: Some(at) }),
                )
            }
        }
    }

    /// Puts right what waits to be put right.
    pub(super) fn put_right(&self, at: Moment) -> Result<(), Problem> {
        for right in &self.rights {
            let by = Account { at, who: self.who.clone(), why: right.why.clone() };
            let one = [(right.put.visit.clone(), right.put.amendment.clone())];
            self.store.correct(&one, &by)?;
        }
        Ok(())
    }
}
