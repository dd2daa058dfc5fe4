//! Facts by the names that people write, and what is said where there is no such fact.

use super::document::{Reader, Text};
use super::vocabulary::{FactDef, Vocabulary};
use crate::facts::{FactId, Value};
use crate::problem::{Code, Place, Problem};
use crate::units::System;

impl Vocabulary {
    /// A fact by the name that somebody wrote.
    ///
    /// # Errors
    /// A problem at the place, with the nearest name, if there is no such fact.
    pub fn named(&self, name: &str, place: Option<Place>) -> Result<(FactId, &FactDef), Problem> {
        self.find(name).and_then(|id| Some((id, self.get(id)?))).ok_or_else(|| {
            Problem::error(Code::UnknownName, place, format!("no fact is called `{name}`"))
                .did_you_mean(name, self.names())
        })
    }
}

impl FactDef {
    /// The value that somebody states for it, as `--fact` does.
    ///
    /// # Errors
    /// A problem if it takes no such value, or if no test or instrument shows it.
    pub fn stated(&self, text: &str, units: System) -> Result<Value, Problem> {
        let value = self
            .parse(text)
            .map_err(|why| Problem::error(Code::Value, None, format!("`{}`: {why}", self.name)))?;
        value.number().map_or(Ok(()), |number| self.allows(number, text, units))?;
        Ok(value)
    }

    /// Refuses a number that no test or instrument shows, by what the vocabulary calls possible.
    ///
    /// # Errors
    /// A problem with the bounds.
    pub fn allows(&self, number: f64, text: &str, units: System) -> Result<(), Problem> {
        let Some((low, high)) = self.possible else { return Ok(()) };
        if (low..=high).contains(&number) {
            return Ok(());
        }
        let end = |n: f64| self.show(Value::Number(n), units);
        let message = format!("{} of `{text}` cannot be", self.title);
        let help = format!("it lies between {} and {}", end(low), end(high));
        Err(Problem::error(Code::Value, None, message).help(help))
    }
}

/// The fact that a text of a knowledge file names; a problem of the file if there is none.
pub(super) fn named(table: &Reader<'_, '_>, text: &Text<'_>, words: &Vocabulary) -> Option<FactId> {
    let found = words.named(&text.text, Some(text.place()));
    found.map(|(id, _)| id).map_err(|problem| table.problem(problem)).ok()
}
