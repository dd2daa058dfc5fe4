//! All integration tests, in one binary.
mod reference_cold;
