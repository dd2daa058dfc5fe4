//! The data model of facts: names, values, where a fact came from.
//!
//! Unknown is not false: a fact that nobody stated has no value at all, and a value never means "not said".

mod fact;
mod name;
mod origin;
mod value;

pub use fact::{Bounds, Fact};
pub use name::{FactId, is_fact_name};
pub use origin::{Origin, RuleId};
pub use value::{ChoiceSet, Value};
