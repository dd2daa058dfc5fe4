//! Stated facts as what is known of a pool.

use super::pad::Told;
use crate::facts::{FactId, Value};
use crate::knowledge::Vocabulary;

/// Values of facts with the vocabulary that names them. A later value of a fact goes before an earlier
/// one.
#[derive(Debug, Clone, Copy)]
pub struct Stated<'a> {
    /// The vocabulary.
    pub words: &'a Vocabulary,
    /// The values.
    pub facts: &'a [(FactId, Value)],
}

impl Stated<'_> {
    fn value(&self, name: &str) -> Option<Value> {
        let id = self.words.find(name)?;
        self.facts.iter().rev().find(|(fact, _)| *fact == id).map(|(_, value)| *value)
    }
}

impl Told for Stated<'_> {
    fn number(&self, name: &str) -> Option<f64> {
        self.value(name)?.number()
    }

    fn flag(&self, name: &str) -> Option<bool> {
        self.value(name)?.flag()
    }

    fn choice(&self, name: &str) -> Option<&str> {
        let at = self.value(name)?.choices()?.iter().next()?;
        self.words.def(name)?.values().get(at).map(String::as_str)
    }
}
