//! Calculators: rules with a Rust body.

use super::Memory;
use crate::facts::{FactId, Value};
use crate::knowledge::Vocabulary;

/// What a calculator looks at and brings, by names of facts.
#[derive(Debug, Clone, Copy)]
pub struct Signature {
    /// Its name, as a justification says it.
    pub name: &'static str,
    /// Facts without which it cannot run.
    pub needs: &'static [&'static str],
    /// Facts that it uses when they are known.
    pub uses: &'static [&'static str],
    /// Facts that it brings.
    pub gives: &'static [&'static str],
}

/// A number that a calculator brings.
#[derive(Debug, Clone, PartialEq)]
pub struct Computed {
    /// Which fact, one of the signature's `gives`.
    pub gives: &'static str,
    /// Its value in the fact's canonical unit.
    pub value: f64,
    /// The lower end of its band.
    pub low: Option<f64>,
    /// The upper end of its band.
    pub high: Option<f64>,
    /// How it was computed, with what was taken for granted.
    pub method: String,
}

/// A computation that fires like a rule when its needs are known.
pub trait Calculator: Send + Sync + std::fmt::Debug {
    /// What it looks at and brings.
    fn signature(&self) -> Signature;

    /// Computes. What cannot be computed from these inputs is left out.
    fn compute(&self, inputs: &Inputs<'_>) -> Vec<Computed>;
}

/// The inputs of a calculator, by name.
#[derive(Debug)]
pub struct Inputs<'a> {
    pub(super) names: &'a [(&'static str, FactId)],
    pub(super) memory: &'a Memory,
    pub(super) words: &'a Vocabulary,
}

impl<'a> Inputs<'a> {
    fn id(&self, name: &str) -> Option<FactId> {
        self.names.iter().find(|(known, _)| *known == name).map(|(_, id)| *id)
    }

    /// The value of an input.
    #[must_use]
    pub fn value(&self, name: &str) -> Option<Value> {
        self.id(name).and_then(|id| self.memory.value(id))
    }

    /// A number in its canonical unit.
    #[must_use]
    pub fn number(&self, name: &str) -> Option<f64> {
        self.value(name)?.number()
    }

    /// A yes or no.
    #[must_use]
    pub fn flag(&self, name: &str) -> Option<bool> {
        self.value(name)?.flag()
    }

    /// The word of a `one of` fact.
    #[must_use]
    pub fn choice(&self, name: &str) -> Option<&'a str> {
        let id = self.id(name)?;
        let at = self.memory.value(id)?.choices()?.iter().next()?;
        self.words.get(id)?.values().get(at).map(String::as_str)
    }
}
