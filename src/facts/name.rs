//! Names of facts, `subject.attribute`, and their place in the vocabulary.

use serde::{Deserialize, Serialize};

/// The place of a fact in the vocabulary: facts are interned when the knowledge is loaded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct FactId(pub u16);

impl FactId {
    /// As an index into an array that has one place for each fact.
    #[must_use]
    pub fn index(self) -> usize {
        usize::from(self.0)
    }
}

/// Whether a text has the form of a fact's name: two or three parts of lower-case words.
#[must_use]
pub fn is_fact_name(text: &str) -> bool {
    let parts: Vec<&str> = text.split('.').collect();
    (2..=3).contains(&parts.len())
        && parts.iter().all(|part| {
            part.starts_with(|c: char| c.is_ascii_lowercase())
                && part.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_')
        })
}
