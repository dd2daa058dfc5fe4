//! Facts by the names that people write, and what is said where there is no such fact.

use super::document::{Reader, Text};
use super::vocabulary::{FactDef, Vocabulary};
use crate::facts::FactId;
use crate::problem::{Code, Place, Problem};

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

/// The fact that a text of a knowledge file names; a problem of the file if there is none.
pub(super) fn named(table: &Reader<'_, '_>, text: &Text<'_>, words: &Vocabulary) -> Option<FactId> {
    let found = words.named(&text.text, Some(text.place()));
    found.map(|(id, _)| id).map_err(|problem| table.problem(problem)).ok()
}
