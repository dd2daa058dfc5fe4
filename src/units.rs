//! Quantities and units: what people type, what the program computes in, and the way between.

/// A count as a number for arithmetic. Exact up to 2^32; larger counts saturate.
#[must_use]
pub fn count(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap_or(u32::MAX))
}
