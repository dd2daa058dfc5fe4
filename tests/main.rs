//! All integration tests, in one binary.

mod cold_properties;
mod engine;
mod reference_cold;
mod reference_pool;
#[cfg(test)]
mod reference_water;
mod reference_weather;
#[cfg(test)]
mod water_on_the_page;
#[cfg(test)]
mod water_properties;
