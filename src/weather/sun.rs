//! Sunrise, sunset and the sun's height by date, latitude and longitude.

use chrono::{DateTime, Datelike, Duration, FixedOffset, NaiveDate, NaiveTime, Timelike};

/// Where a pool is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Site {
    /// Latitude, ° north.
    pub latitude_deg: f64,
    /// Longitude, ° east.
    pub longitude_deg: f64,
}

/// Sunrise and sunset of a day, on the clock of an offset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Day {
    /// Sunrise.
    pub sunrise: DateTime<FixedOffset>,
    /// Sunset.
    pub sunset: DateTime<FixedOffset>,
}

/// Declination (radians) and equation of time (minutes) for a fraction of the year (radians).
///
/// Spencer 1971 (Search 2:172), as in the General Solar Position Calculations of the US national
/// oceanic and atmospheric administration; good to about a minute of time.
fn sun_of(year_angle: f64) -> (f64, f64) {
    let g = year_angle;
    let equation = 229.18
        * (0.000_075 + 0.001_868 * g.cos()
            - 0.032_077 * g.sin()
            - 0.014_615 * (2.0 * g).cos()
            - 0.040_849 * (2.0 * g).sin());
    let declination = 0.006_918 - 0.399_912 * g.cos() + 0.070_257 * g.sin()
        - 0.006_758 * (2.0 * g).cos()
        + 0.000_907 * (2.0 * g).sin()
        - 0.002_697 * (3.0 * g).cos()
        + 0.001_48 * (3.0 * g).sin();
    (declination, equation)
}

fn year_angle(date: NaiveDate, hour: f64) -> f64 {
    let days = if date.leap_year() { 366.0 } else { 365.0 };
    std::f64::consts::TAU / days * (f64::from(date.ordinal0()) + (hour - 12.0) / 24.0)
}

/// Sunrise and sunset of `date` on the clock of `offset`; `None` where the sun doesn't rise or set.
/// The upper edge on the horizon with refraction: 90.833° from the zenith.
#[must_use]
pub fn sun_times(site: Site, date: NaiveDate, offset: FixedOffset) -> Option<Day> {
    let (declination, equation) = sun_of(year_angle(date, 12.0));
    let latitude = site.latitude_deg.to_radians();
    let cosine = 90.833f64.to_radians().cos() / (latitude.cos() * declination.cos())
        - latitude.tan() * declination.tan();
    if !(-1.0..=1.0).contains(&cosine) {
        return None;
    }
    let half_day_min = cosine.acos().to_degrees() * 4.0;
    let zone_min = f64::from(offset.local_minus_utc()) / 60.0;
    let noon_min = 720.0 - 4.0 * site.longitude_deg - equation + zone_min;
    let midnight = date.and_time(NaiveTime::MIN).and_local_timezone(offset).single()?;
    let at = |minutes: f64| midnight + seconds(minutes * 60.0);
    Some(Day { sunrise: at(noon_min - half_day_min), sunset: at(noon_min + half_day_min) })
}

/// A duration of so many hours, to the second.
#[must_use]
pub fn hours_duration(hours: f64) -> Duration {
    seconds(hours * 3600.0)
}

/// A duration of whole seconds; beyond ±one year it stops.
pub(super) fn seconds(value: f64) -> Duration {
    let bounded = value.clamp(-3.2e7, 3.2e7).round();
    // A rounded float within a year: digits are exact, so the text way needs no cast.
    Duration::seconds(format!("{bounded:.0}").parse().unwrap_or(0))
}

/// Sine of the sun's height above the horizon at a moment; negative at night.
#[must_use]
pub fn sine_of_elevation(site: Site, at: DateTime<FixedOffset>) -> f64 {
    let hour = f64::from(at.num_seconds_from_midnight()) / 3600.0;
    let (declination, equation) = sun_of(year_angle(at.date_naive(), hour));
    let zone_min = f64::from(at.offset().local_minus_utc()) / 60.0;
    let solar_min = hour * 60.0 + equation + 4.0 * site.longitude_deg - zone_min;
    let hour_angle = (solar_min / 4.0 - 180.0).to_radians();
    let latitude = site.latitude_deg.to_radians();
    latitude.sin() * declination.sin() + latitude.cos() * declination.cos() * hour_angle.cos()
}

/// Sun on the level surface under a clear sky, W/m², from the sine of its height.
///
/// Haurwitz 1945 (Journal of Meteorology 2:154), from memory.
#[must_use]
pub fn clear_sky_w_m2(sine: f64) -> f64 {
    if sine <= 0.01 { 0.0 } else { 1098.0 * sine * (-0.057 / sine).exp() }
}

/// Share of the clear-sky sun left under `cloud` (0–1): 1 − 0.75 n^3.4.
///
/// Kasten & Czeplak 1980 (Solar Energy 24:177), from memory.
#[must_use]
pub fn cloudy_share(cloud: f64) -> f64 {
    1.0 - 0.75 * cloud.clamp(0.0, 1.0).powf(3.4)
}
