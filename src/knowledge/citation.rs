//! Citations of the notes, and the passages they lead to.

use crate::problem::Place;
use serde::{Deserialize, Serialize};

/// A cited section of a note, `note#section`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct NoteRef(pub String);

impl NoteRef {
    /// The note's name.
    #[must_use]
    pub fn note(&self) -> &str {
        self.0.split_once('#').map_or(self.0.as_str(), |(note, _)| note)
    }

    /// The section's name.
    #[must_use]
    pub fn section(&self) -> &str {
        self.0.split_once('#').map_or("", |(_, section)| section)
    }
}

/// A citation and where it is written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Citation {
    /// What is cited.
    pub to: NoteRef,
    /// Where.
    pub place: Place,
}

/// What a citation leads to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Passage {
    /// The note.
    pub note: String,
    /// The section.
    pub section: String,
    /// Its heading.
    pub title: String,
    /// Its text.
    pub text: String,
    /// Its sources, in words.
    pub source: String,
}
