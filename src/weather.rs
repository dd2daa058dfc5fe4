//! Hourly weather: read from files or made from a stated low and high.
//!
//! `read` finds out what a file is (columns, EnergyPlus weather, forecast JSON) and hands it to its
//! reader; every reader ends in a `Series` of whole hours, in which missing hours are kept as such.
//! What had to be assumed is said in [`Series::assumed`].

mod cell;
mod column;
mod counts;
mod csv;
mod curve;
mod epw;
mod forecast;
mod gather;
mod lines;
mod read;
mod series;
mod shift;
mod stamp;
mod sun;

pub use counts::{Counts, Spell, counts, spells_at_or_below};
pub use curve::{Curve, Stated, hourly_curve};
pub use read::{Options, read};
pub use series::{Gap, Hour, LONGEST_SHORT_GAP_H, PERIOD_GAP_H, Series, WeatherSource};
pub use sun::{
    Day, Site, clear_sky_w_m2, cloudy_share, hours_duration, sine_of_elevation, sun_times,
};
