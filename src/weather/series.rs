//! Hours in a row, with what is missing kept visible.

use chrono::{DateTime, Duration, FixedOffset};

use crate::clock::Moment;
use crate::problem::{Code, Problem};

/// Longest run of missing hours that is filled by interpolation.
pub const LONGEST_SHORT_GAP_H: usize = 6;
/// A gap longer than this parts a file into periods and is no missing time.
pub const PERIOD_GAP_H: i64 = 24;

/// One hour of weather; what was not given is `None`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hour {
    /// The hour, by the clock of the place.
    pub at: DateTime<FixedOffset>,
    /// Air, °C.
    pub air_c: Option<f64>,
    /// Wind, m/s.
    pub wind_m_s: Option<f64>,
    /// Relative humidity, 0–1.
    pub humidity: Option<f64>,
    /// Share of the sky covered, 0–1.
    pub cloud: Option<f64>,
    /// Rain, mm in the hour.
    pub rain_mm: Option<f64>,
    /// Sun on the level surface, W/m².
    pub sun_w_m2: Option<f64>,
    /// Long-wave radiation from the sky, W/m².
    pub sky_w_m2: Option<f64>,
}

impl Hour {
    /// An hour of which nothing is known.
    #[must_use]
    pub fn empty(at: DateTime<FixedOffset>) -> Self {
        Self {
            at,
            air_c: None,
            wind_m_s: None,
            humidity: None,
            cloud: None,
            rain_mm: None,
            sun_w_m2: None,
            sky_w_m2: None,
        }
    }

    /// The hour as a moment.
    #[must_use]
    pub fn moment(&self) -> Moment {
        Moment::new(self.at)
    }
}

/// Where a series came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WeatherSource {
    /// A file with columns.
    Columns,
    /// An EnergyPlus weather file.
    Epw,
    /// A forecast in JSON.
    Forecast,
    /// A stated low and high.
    Stated,
}

/// A run of missing hours between two known ones.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Gap {
    /// First hour missing.
    pub from: DateTime<FixedOffset>,
    /// Last hour missing.
    pub to: DateTime<FixedOffset>,
    /// How many.
    pub hours: usize,
}

/// Hourly weather in one or more periods without long gaps.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// Name of the file, or what was stated.
    pub name: String,
    /// What it was read from.
    pub source: WeatherSource,
    /// Periods in order of time; within one, hour follows hour, missing ones empty.
    pub periods: Vec<Vec<Hour>>,
    /// What was assumed in reading, in words.
    pub assumed: Vec<String>,
    /// Latitude and longitude, ° north and east, if the file says.
    pub place: Option<(f64, f64)>,
}

impl Series {
    /// All hours of all periods.
    pub fn hours(&self) -> impl Iterator<Item = &Hour> + Clone {
        self.periods.iter().flatten()
    }

    /// First and last hour, if there is any.
    #[must_use]
    pub fn span(&self) -> Option<(DateTime<FixedOffset>, DateTime<FixedOffset>)> {
        Some((self.hours().next()?.at, self.hours().last()?.at))
    }

    /// Runs of missing temperature inside the periods.
    #[must_use]
    pub fn gaps(&self) -> Vec<Gap> {
        let mut gaps = Vec::new();
        for period in &self.periods {
            let mut open: Option<Gap> = None;
            for hour in period {
                if hour.air_c.is_some() {
                    gaps.extend(open.take());
                } else if let Some(gap) = &mut open {
                    gap.to = hour.at;
                    gap.hours += 1;
                } else {
                    open = Some(Gap { from: hour.at, to: hour.at, hours: 1 });
                }
            }
            gaps.extend(open);
        }
        gaps
    }

    /// The series with short gaps interpolated, and how many hours that filled. Only temperature,
    /// wind, humidity and cloud are carried across; rain and sun of a missing hour stay unknown.
    ///
    /// # Errors
    /// One problem for each gap too long to fill, with its dates.
    pub fn filled(&self) -> Result<(Self, usize), Vec<Problem>> {
        let long: Vec<Problem> = self
            .gaps()
            .into_iter()
            .filter(|gap| gap.hours > LONGEST_SHORT_GAP_H)
            .map(|gap| self.long_gap(gap))
            .collect();
        if !long.is_empty() {
            return Err(long);
        }
        let mut filled = self.clone();
        let count = filled.periods.iter_mut().map(|period| fill(period)).sum();
        Ok((filled, count))
    }

    fn long_gap(&self, gap: Gap) -> Problem {
        let show = |at: DateTime<FixedOffset>| at.format("%Y-%m-%d %H:%M").to_string();
        Problem::error(
            Code::Value,
            None,
            format!(
                "`{}` has no temperature for {} hours, from {} to {}",
                self.name,
                gap.hours,
                show(gap.from),
                show(gap.to)
            ),
        )
        .help(format!(
            "gaps of up to {LONGEST_SHORT_GAP_H} hours are filled; give a file that covers these"
        ))
    }

    /// The hours from the one that holds `at` on.
    ///
    /// # Errors
    /// When nothing of it lies ahead.
    pub fn ahead(&self, at: Moment) -> Result<Vec<Hour>, Box<Problem>> {
        let start = at.time() - Duration::minutes(59);
        let hours: Vec<Hour> = self.hours().filter(|hour| hour.at >= start).copied().collect();
        if hours.is_empty() {
            let end = self.span().map_or_else(String::new, |(_, to)| {
                format!(": its last hour is {}", to.format("%Y-%m-%d %H:%M"))
            });
            let problem = Problem::error(
                Code::Value,
                None,
                format!("the forecast `{}` lies in the past{end}", self.name),
            );
            return Err(Box::new(problem.help(format!(
                "it is taken to be {}; give a newer forecast, or another moment with `--at`",
                at.time().format("%Y-%m-%d %H:%M")
            ))));
        }
        Ok(hours)
    }
}

/// Fills the gaps of a period that lie between two known hours; returns how many.
fn fill(period: &mut [Hour]) -> usize {
    let count = period.iter().filter(|hour| hour.air_c.is_none()).count();
    interpolate(period, |hour| hour.air_c, |hour, value| hour.air_c = Some(value));
    interpolate(period, |hour| hour.wind_m_s, |hour, value| hour.wind_m_s = Some(value));
    interpolate(period, |hour| hour.humidity, |hour, value| hour.humidity = Some(value));
    interpolate(period, |hour| hour.cloud, |hour, value| hour.cloud = Some(value));
    count - period.iter().filter(|hour| hour.air_c.is_none()).count()
}

fn interpolate(
    period: &mut [Hour],
    get: impl Fn(&Hour) -> Option<f64>,
    set: impl Fn(&mut Hour, f64),
) {
    let known: Vec<(usize, f64)> =
        period.iter().enumerate().filter_map(|(at, hour)| Some((at, get(hour)?))).collect();
    for pair in known.windows(2) {
        let &[(from, a), (to, b)] = pair else { continue };
        let span = crate::units::count(to - from);
        let missing = period.iter_mut().take(to).skip(from + 1);
        for (step, hour) in missing.enumerate() {
            let share = crate::units::count(step + 1) / span;
            set(hour, a + (b - a) * share);
        }
    }
    // What is missing at either end takes its neighbour's value.
    if let (Some(&(first, a)), Some(&(last, b))) = (known.first(), known.last()) {
        period.iter_mut().take(first).for_each(|hour| set(hour, a));
        period.iter_mut().skip(last + 1).for_each(|hour| set(hour, b));
    }
}
