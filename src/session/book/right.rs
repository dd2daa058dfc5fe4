//! Puts right what was kept today: "sorry, pH was 7.6, not 7.2".

use super::Book;
use crate::clock::Moment;
use crate::facts::Fact;
use crate::knowledge::{FactDef, Knowledge};
use crate::logbook::{Correction, Reading, Stretch, Visit, parts_of};
use crate::problem::Problem;
use crate::session::history::{held, value};
use crate::units::{System, convert, display_unit, trim_number};

/// A reading that takes the place of one that was kept.
#[derive(Debug, Clone)]
pub(super) struct Right {
    /// The visit that it belongs to.
    pub visit: String,
    /// What it should say.
    pub reading: Reading,
    /// The message that said so.
    pub why: String,
    /// The same in words.
    pub said: String,
}

impl Book<'_> {
    /// What a fact of a message puts right, if the message says that it puts something right and today's visits
    /// hold another value.
    pub(super) fn right(
        &self,
        message: &str,
        fact: &Fact,
        at: Moment,
        knowledge: &Knowledge,
        units: System,
    ) -> Option<Right> {
        let def = knowledge.vocabulary.get(fact.id)?;
        let pool = self.open.as_ref()?;
        let today = at.at_clock(at.date(), "00:00:00");
        let visits = self.store.visits(&pool.id, Stretch { from: today, to: Some(at) }, 40).ok()?;
        let had =
            |visit: &Visit| visit.readings.iter().find(|reading| reading.fact == def.name).cloned();
        let (visit, old) = visits.iter().find_map(|visit| Some((visit, had(visit)?)))?;
        let new = held(def, fact.value);
        if new == old.value || !puts_right(message, def, &old, knowledge, units) {
            return None;
        }
        let shown = def.show(fact.value, units);
        let before = value(def, &old.value).map(|old| def.show(old, units)).unwrap_or_default();
        Some(Right {
            visit: visit.id.clone(),
            reading: Reading {
                fact: def.name.clone(),
                value: new,
                given: fact.given.clone(),
                method: old.method,
            },
            why: message.trim().to_owned(),
            said: format!("{} {shown} instead of {before}", def.title),
        })
    }

    /// Puts right what waits to be put right.
    pub(super) fn put_right(&self, at: Moment) -> Result<(), Problem> {
        for right in &self.rights {
            let correction = Correction {
                fact: right.reading.fact.clone(),
                old: None,
                given: String::new(),
                at,
                who: self.who.clone(),
                why: right.why.clone(),
            };
            self.store.correct(&right.visit, Some(&right.reading), &correction)?;
        }
        Ok(())
    }
}

/// Whether a message says that it puts right this old value.
fn puts_right(
    message: &str,
    def: &FactDef,
    old: &Reading,
    knowledge: &Knowledge,
    units: System,
) -> bool {
    let words = parts_of(message);
    let after = |phrase: &String| {
        let parts = parts_of(phrase);
        let many = parts.len().max(1);
        words.windows(many).position(|window| window == parts.as_slice()).map(|at| at + many)
    };
    if knowledge.work.words.corrects.iter().any(|phrase| after(phrase).is_some()) {
        return true;
    }
    let shown = match (&def.kind, old.value.number()) {
        (crate::knowledge::Kind::Number { unit, decimals }, Some(n)) => {
            trim_number(convert(n, *unit, display_unit(*unit, units)).unwrap_or(n), *decimals)
        }
        _ => return false,
    };
    let shown = parts_of(&shown);
    knowledge.work.words.instead.iter().filter_map(after).any(|at| {
        let rest = words.get(at..).unwrap_or_default();
        rest.windows(shown.len().max(1)).any(|window| window == shown.as_slice())
    })
}
