//! All integration tests, in one binary.
#[cfg(test)]
mod cold_properties;
#[cfg(test)]
mod reference_cold;
#[cfg(test)]
mod reference_pool;
