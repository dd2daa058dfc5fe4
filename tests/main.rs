//! All integration tests, in one binary.

mod cold_properties;
mod engine;
mod reference_cold;
mod reference_pool;
#[cfg(test)]
mod reference_water;
#[cfg(test)]
mod water_on_the_page;
#[cfg(test)]
mod water_properties;
mod reference_weather;
