//! All integration tests, in one binary.

#[cfg(test)]
mod answers;
#[cfg(test)]
mod architecture;
#[cfg(test)]
mod cli;
#[cfg(test)]
mod cold_properties;
#[cfg(test)]
mod cold_talk;
#[cfg(test)]
mod contract;
#[cfg(test)]
mod dose_asks;
#[cfg(test)]
mod dose_plan;
#[cfg(test)]
mod drill;
#[cfg(test)]
mod engine;
#[cfg(test)]
mod faults;
#[cfg(test)]
mod figures_cold;
#[cfg(test)]
mod fuzz;
#[cfg(test)]
mod knowledge;
#[cfg(test)]
mod layout;
#[cfg(test)]
mod lookup;
#[cfg(test)]
mod night;
#[cfg(test)]
mod notes;
#[cfg(test)]
mod published_numbers;
#[cfg(test)]
mod published_values;
#[cfg(test)]
mod reading;
#[cfg(test)]
mod readme;
#[cfg(test)]
mod record;
#[cfg(test)]
mod reference_cold;
#[cfg(test)]
mod reference_pool;
#[cfg(test)]
mod reference_water;
#[cfg(test)]
mod reference_weather;
#[cfg(test)]
mod short_answers;
#[cfg(test)]
mod talks;
#[cfg(test)]
mod transcripts;
#[cfg(test)]
mod water_on_the_page;
#[cfg(test)]
mod water_properties;
#[cfg(test)]
mod writing;
