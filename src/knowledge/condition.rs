//! The conditions of rules: `air.temperature <= 32 °F`, `pump.running is no`, `A and (B or not C)`.
//!
//! Text is cut into tokens (`token`), read into a typed expression (`read`), with every word checked
//! against the vocabulary and every number against its unit. Evaluation is the engine's business.

mod arithmetic;
mod read;
mod token;

use super::range::BandSet;
use crate::facts::{ChoiceSet, FactId};
use serde::{Deserialize, Serialize};

pub(super) use read::{read_conclusion, read_condition};

/// How two numbers are compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Comparison {
    /// `<`
    Less,
    /// `<=`
    AtMost,
    /// `>`
    More,
    /// `>=`
    AtLeast,
    /// `=`
    Equal,
    /// `!=`
    Unequal,
}

/// Arithmetic on facts and numbers, in base units.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Expr {
    /// A number.
    Number(f64),
    /// A fact's value times `factor` plus `offset` (from its canonical to the base unit).
    Fact {
        /// Which fact.
        id: FactId,
        /// To the base unit.
        factor: f64,
        /// To the base unit.
        offset: f64,
    },
    /// Sum.
    Add(Box<Expr>, Box<Expr>),
    /// Difference.
    Sub(Box<Expr>, Box<Expr>),
    /// Product.
    Mul(Box<Expr>, Box<Expr>),
    /// Quotient.
    Div(Box<Expr>, Box<Expr>),
}

/// A condition: true, false or unknown of a working memory.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Condition {
    /// All of these.
    All(Vec<Condition>),
    /// Any of these.
    Any(Vec<Condition>),
    /// Not this.
    Not(Box<Condition>),
    /// Two numbers compared.
    Compare(Expr, Comparison, Expr),
    /// A yes/no fact.
    Flag(FactId, bool),
    /// A `one of` fact has one of these values.
    Is(FactId, ChoiceSet),
    /// A `several of` fact has one of these values.
    Has(FactId, ChoiceSet),
    /// A number lies in one of these bands of its range.
    Band(FactId, BandSet),
    /// A value is there (or, if false, is not).
    Known(FactId, bool),
}

/// A derived fact that a rule sets.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Conclusion {
    /// Which fact.
    pub fact: FactId,
    /// To what.
    pub value: Concluded,
}

/// The value of a conclusion.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Concluded {
    /// A yes/no or a choice.
    Value(crate::facts::Value),
    /// A number, computed in the base unit and turned into the fact's canonical one.
    Expr(Expr),
}

impl Expr {
    /// Calls `visit` with every fact in it.
    pub fn facts(&self, visit: &mut dyn FnMut(FactId)) {
        match self {
            Self::Number(_) => {}
            Self::Fact { id, .. } => visit(*id),
            Self::Add(a, b) | Self::Sub(a, b) | Self::Mul(a, b) | Self::Div(a, b) => {
                a.facts(visit);
                b.facts(visit);
            }
        }
    }
}

impl Condition {
    /// Calls `visit` with every fact in it, and whether its absence can make the condition true.
    pub fn facts(&self, visit: &mut dyn FnMut(FactId, bool)) {
        match self {
            Self::All(parts) | Self::Any(parts) => {
                for part in parts {
                    part.facts(visit);
                }
            }
            // `not` keeps unknown unknown: absence cannot make it true, unless a `is unknown` stands inside.
            Self::Not(part) => {
                part.facts(&mut |id, absence| visit(id, absence || part.tests_knowing(id)));
            }
            Self::Compare(a, _, b) => {
                a.facts(&mut |id| visit(id, false));
                b.facts(&mut |id| visit(id, false));
            }
            Self::Flag(id, _) | Self::Is(id, _) | Self::Has(id, _) | Self::Band(id, _) => {
                visit(*id, false);
            }
            Self::Known(id, known) => visit(*id, !known),
        }
    }

    fn tests_knowing(&self, fact: FactId) -> bool {
        match self {
            Self::All(parts) | Self::Any(parts) => {
                parts.iter().any(|part| part.tests_knowing(fact))
            }
            Self::Not(part) => part.tests_knowing(fact),
            Self::Known(id, _) => *id == fact,
            _ => false,
        }
    }
}
