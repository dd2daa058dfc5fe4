//! A stated low and high made into hours: lowest about sunrise, highest in the afternoon.

use chrono::{DateTime, Duration, DurationRound, FixedOffset, NaiveDate};

use super::series::{Hour, Series, WeatherSource};
use super::sun::{Day, Site, seconds, sun_times};
use crate::clock::Moment;

/// Lag of the highest temperature behind noon, h; night decay; lag of the lowest behind sunrise, h.
/// Parton & Logan 1981 (Agricultural Meteorology 23:205), air at 1.5 m.
const HIGH_LAG_H: f64 = 1.86;
const NIGHT_DECAY: f64 = 2.20;
const LOW_LAG_H: f64 = -0.17;
/// Nearer to the lowest moment than this "tonight" means the night after, h.
const DAWN_H: f64 = 1.5;
/// Range of a day taken when only the low is said, K (common practice: 15–20 °F on a winter day).
const USUAL_RANGE_K: f64 = 9.0;

/// What was said about the night.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stated {
    /// Low of the coming night, °C.
    pub low_c: f64,
    /// High of the day around it, °C.
    pub high_c: Option<f64>,
    /// Air now, °C.
    pub now_c: Option<f64>,
    /// Wind, m/s.
    pub wind_m_s: Option<f64>,
    /// Share of the sky covered, 0–1.
    pub cloud: Option<f64>,
}

/// The shape of one day's temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curve {
    /// Low, °C.
    pub low_c: f64,
    /// High, °C.
    pub high_c: f64,
    /// Sunrise and sunset of the day.
    pub day: Day,
}

impl Curve {
    fn day_h(&self) -> f64 {
        hours(self.day.sunset - self.day.sunrise)
    }

    /// When it is highest.
    fn peak(&self) -> DateTime<FixedOffset> {
        self.day.sunrise + seconds((LOW_LAG_H + self.day_h() / 2.0 + HIGH_LAG_H) * 3600.0)
    }

    /// Temperature at a moment between this day's lowest and its sunset.
    #[must_use]
    pub fn by_day(&self, at: DateTime<FixedOffset>) -> f64 {
        let since_low = hours(at - self.day.sunrise) - LOW_LAG_H;
        let angle = std::f64::consts::PI * since_low / (self.day_h() + 2.0 * HIGH_LAG_H);
        self.low_c + (self.high_c - self.low_c) * angle.sin().max(0.0)
    }
}

fn hours(duration: Duration) -> f64 {
    f64::from(i32::try_from(duration.num_seconds()).unwrap_or(i32::MAX)) / 3600.0
}

/// Falls from `from_c` to `low_c` over a night; `share` of the night gone (0–1). The exponential of
/// Parton & Logan, stretched so that it ends at the low.
fn by_night(from_c: f64, low_c: f64, share: f64) -> f64 {
    let end = (-NIGHT_DECAY).exp();
    let left = ((-NIGHT_DECAY * share.clamp(0.0, 1.0)).exp() - end) / (1.0 - end);
    low_c + (from_c - low_c) * left
}

/// Hours from `at` until sunset after the coming low, for what was stated.
///
/// The low falls at the next sunrise. With the air now and the night begun, the fall starts from
/// it; otherwise from the day's curve at sunset.
#[must_use]
pub fn hourly_curve(stated: &Stated, at: Moment, site: Site) -> Series {
    let now = at.time();
    let mut assumed = Vec::new();
    let high_c = stated.high_c.unwrap_or_else(|| {
        assumed.push(format!("no high said: taken {USUAL_RANGE_K:.0} K above the low"));
        stated.low_c + USUAL_RANGE_K
    });
    let high_c = high_c.max(stated.low_c);
    let low_at = next_low(site, now);
    let morning = day_of(site, low_at.date_naive(), *now.offset());
    let evening = day_of(site, low_at.date_naive() - Duration::days(1), *now.offset());
    let before = Curve { low_c: stated.low_c, high_c, day: evening };
    // Nothing was said of this morning: half-way, so that no frost is made up for it.
    let early = Curve { low_c: f64::midpoint(stated.low_c, high_c), ..before };
    let after = Curve { low_c: stated.low_c, high_c, day: morning };
    let from_now = stated.now_c.is_some() && now > evening.sunset;
    let dusk = if from_now { now } else { evening.sunset };
    let at_dusk = match stated.now_c {
        Some(air) if now >= evening.sunset => air,
        _ => before.by_day(evening.sunset),
    };
    // What is said of the air now shifts the afternoon, and no further than dusk.
    let shift = stated.now_c.filter(|_| now < evening.sunset).map(|air| air - before.by_day(now));
    let first = now.duration_trunc(Duration::hours(1)).unwrap_or(now);
    let night_h = hours(low_at - dusk).max(0.01);
    let mut list = Vec::new();
    let mut hour = first;
    while hour <= morning.sunset {
        let air = if hour < dusk && hour < low_at && now < evening.sunset {
            let left = hours(evening.sunset - hour) / hours(evening.sunset - now).max(0.5);
            let curve = if stated.now_c.is_none() && hour < before.peak() { early } else { before };
            curve.by_day(hour) + shift.unwrap_or(0.0) * left.clamp(0.0, 1.0)
        } else if hour < low_at {
            by_night(at_dusk.max(stated.low_c), stated.low_c, hours(hour - dusk) / night_h)
        } else {
            after.by_day(hour)
        };
        list.push(Hour {
            air_c: Some(air),
            wind_m_s: stated.wind_m_s,
            cloud: stated.cloud,
            ..Hour::empty(hour)
        });
        hour += Duration::hours(1);
    }
    assumed.push(format!(
        "hours drawn from the low and high, lowest at sunrise ({})",
        low_at.format("%H:%M")
    ));
    Series {
        name: "stated low and high".to_owned(),
        source: WeatherSource::Stated,
        periods: vec![list],
        assumed,
        place: Some((site.latitude_deg, site.longitude_deg)),
    }
}

/// The lowest moment of the night that is meant at `now`: shortly before sunrise it is the next one.
fn next_low(site: Site, now: DateTime<FixedOffset>) -> DateTime<FixedOffset> {
    let today = low_of(site, now.date_naive(), *now.offset());
    if today > now + seconds(DAWN_H * 3600.0) {
        today
    } else {
        low_of(site, now.date_naive() + Duration::days(1), *now.offset())
    }
}

fn low_of(site: Site, date: NaiveDate, offset: FixedOffset) -> DateTime<FixedOffset> {
    day_of(site, date, offset).sunrise + seconds(LOW_LAG_H * 3600.0)
}

/// Sunrise and sunset; where the sun stays up or down, a short day about noon.
fn day_of(site: Site, date: NaiveDate, offset: FixedOffset) -> Day {
    let bounded = Site { latitude_deg: site.latitude_deg.clamp(-64.0, 64.0), ..site };
    let noon = date
        .and_hms_opt(12, 0, 0)
        .and_then(|noon| noon.and_local_timezone(offset).single())
        .unwrap_or_default();
    sun_times(bounded, date, offset)
        .unwrap_or(Day { sunrise: noon - Duration::hours(4), sunset: noon + Duration::hours(4) })
}
