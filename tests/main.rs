//! All integration tests, in one binary.

mod cold_properties;
mod engine;
mod reference_cold;
mod reference_pool;
mod reference_water;
