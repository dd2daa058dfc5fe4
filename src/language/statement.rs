//! Statements: what single words of a message say, before they are weighed against each other.

use crate::facts::{Bounds, FactId, Value};

/// One fact, as one place of the message says it.
#[derive(Debug, Clone, PartialEq)]
pub struct Statement {
    /// Which fact.
    pub fact: FactId,
    /// Its value.
    pub value: Value,
    /// The range or bound that was said.
    pub bounds: Option<Bounds>,
    /// Its first piece.
    pub first: usize,
    /// Its last piece.
    pub last: usize,
    /// Only supposed.
    pub supposed: bool,
    /// Told of the past, in a message that may also tell of now.
    pub past: bool,
    /// Told by an item of a list, which may also be the name of a number.
    pub item: bool,
    /// A duration of another fact's state: void if that state is over.
    pub while_so: Option<(FactId, Value)>,
    /// Another value that the message gives it, with nothing that tells which of the two holds.
    pub against: Option<Value>,
}

impl Statement {
    /// A plain statement.
    #[must_use]
    pub const fn new(fact: FactId, value: Value, first: usize, last: usize) -> Self {
        Self {
            fact,
            value,
            bounds: None,
            first,
            last,
            supposed: false,
            past: false,
            item: false,
            while_so: None,
            against: None,
        }
    }
}
