//! Quantities and units: what people type, what the program computes in, and the way between.
//!
//! Everything inside the program is in canonical (SI-like) units; see [`UNITS`] for the names that
//! may be typed. The factors are those of NIST SP 811 (2008), appendix B, unless a unit says otherwise.

mod convert;
mod format;
mod unit;

pub use convert::{base_value, convert, from_base, parse_quantity, parse_span, split_number};
pub use format::{System, display_number, display_unit, show, show_named, trim_number};
pub use unit::{Dimension, UNITS, Unit, UnitId, find_unit, unit};

/// A count as a number for arithmetic. Exact up to 2^32; larger counts saturate.
#[must_use]
pub fn count(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}
