//! Calculators bound to fact names: the bridge from `chemistry` and `thermal` to the engine.
//!
//! Each calculator declares its facts by name in its signature; the names of what it gives are declared in
//! `knowledge/figures.toml`. Add a calculator to [`all`].

mod filter;
mod water;

use crate::engine::Calculator;

/// Every calculator.
#[must_use]
pub fn all() -> Vec<Box<dyn Calculator>> {
    vec![Box::new(filter::PressureRise), Box::new(water::Balance), Box::new(water::Disinfection)]
}
