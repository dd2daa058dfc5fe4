//! A fact as it was stated.

use super::{FactId, Origin, Value};
use crate::problem::Span;

/// A range or a bound that stands beside a value: "7.2-7.4", "under 1".
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Bounds {
    /// Not below this, in the canonical unit.
    pub low: Option<f64>,
    /// Not above this, in the canonical unit.
    pub high: Option<f64>,
}

/// A fact as somebody stated it.
#[derive(Debug, Clone, PartialEq)]
pub struct Fact {
    /// Which fact.
    pub id: FactId,
    /// Its value in the canonical unit.
    pub value: Value,
    /// The range that was said, if one was.
    pub bounds: Option<Bounds>,
    /// The words that said it.
    pub given: String,
    /// Where they stand in the message.
    pub span: Option<Span>,
    /// Whether it was only supposed ("if it drops to 15").
    pub supposed: bool,
    /// Why the value looks wrong; such a value is asked about before it is used.
    pub doubt: Option<String>,
    /// A value that was probably meant instead of a doubted one.
    pub likely: Option<Value>,
    /// Where it came from.
    pub origin: Origin,
}

impl Fact {
    /// A fact stated outside any message, such as by an option or a profile.
    #[must_use]
    pub fn stated(id: FactId, value: Value, given: impl Into<String>, origin: Origin) -> Self {
        Self {
            id,
            value,
            bounds: None,
            given: given.into(),
            span: None,
            supposed: false,
            doubt: None,
            likely: None,
            origin,
        }
    }
}
