//! Stated facts as what is known of a pool.

use super::pad::Told;
use crate::facts::{Fact, Value};
use crate::knowledge::Vocabulary;

/// Facts with the vocabulary that names them. A later fact of a name goes before an earlier one;
/// supposed and doubted ones are left out.
#[derive(Debug, Clone, Copy)]
pub struct Stated<'a> {
    /// The vocabulary.
    pub words: &'a Vocabulary,
    /// The facts.
    pub facts: &'a [Fact],
}

impl Stated<'_> {
    fn value(&self, name: &str) -> Option<Value> {
        let id = self.words.find(name)?;
        let sure = |fact: &&Fact| fact.id == id && !fact.supposed && fact.doubt.is_none();
        self.facts.iter().rev().find(sure).map(|fact| fact.value)
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
