//! A calculator's inputs as what is known of a pool.

use crate::engine::Inputs;
use crate::plan::Told;

/// The inputs.
#[derive(Debug)]
pub(super) struct Known<'a>(pub(super) &'a Inputs<'a>);

impl Told for Known<'_> {
    fn number(&self, name: &str) -> Option<f64> {
        self.0.number(name)
    }

    fn flag(&self, name: &str) -> Option<bool> {
        self.0.flag(name)
    }

    fn choice(&self, name: &str) -> Option<&str> {
        self.0.choice(name)
    }
}
