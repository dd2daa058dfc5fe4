//! The value of a fact as JSON: numbers as numbers, yes/no as booleans, words as strings.

use crate::facts::Value;
use crate::knowledge::{FactDef, Kind};
use serde::{Serialize, Serializer};

/// A value together with what its choices are called.
pub(super) struct Valued<'a> {
    def: Option<&'a FactDef>,
    value: Value,
}

impl<'a> Valued<'a> {
    pub(super) const fn new(def: Option<&'a FactDef>, value: Value) -> Self {
        Self { def, value }
    }
}

impl Serialize for Valued<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let word = |n: usize| self.def.and_then(|def| def.values().get(n)).map(String::as_str);
        match self.value {
            Value::Number(number) => to.serialize_f64(number),
            Value::Flag(flag) => to.serialize_bool(flag),
            Value::Choice(n) => match self.def.map(|def| &def.kind) {
                Some(Kind::SeveralOf(_)) => to.collect_seq(word(usize::from(n))),
                _ => word(usize::from(n)).serialize(to),
            },
            Value::Choices(set) => to.collect_seq(set.iter().filter_map(word)),
        }
    }
}
