//! Rows in any order become whole hours in periods; problems are gathered on the way.

use std::collections::BTreeMap;

use chrono::{DateTime, Duration, DurationRound, FixedOffset};

use super::series::{Hour, PERIOD_GAP_H, Series, WeatherSource};
use crate::problem::{Checked, Code, Place, Problem, Span};
use crate::units::count;

/// Problems told one by one; the rest are counted.
const TOLD: usize = 20;

/// What readers gather.
#[derive(Debug)]
pub(super) struct Gather {
    pub(super) name: String,
    pub(super) assumed: Vec<String>,
    rows: Vec<Hour>,
    problems: Vec<Problem>,
    untold: usize,
}

impl Gather {
    pub(super) fn new(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            assumed: Vec::new(),
            rows: Vec::new(),
            problems: Vec::new(),
            untold: 0,
        }
    }

    /// The place of a line of the file.
    pub(super) fn line(&self, line: u64, column: usize) -> Option<Place> {
        Some(Place {
            file: self.name.clone(),
            line: usize::try_from(line).unwrap_or(usize::MAX),
            column,
            span: Span::default(),
        })
    }

    /// A row that cannot be used, told with its line (a warning: the rest still counts).
    pub(super) fn skip(&mut self, line: u64, message: String) {
        let place = self.line(line, 1);
        self.tell(Problem::warning(Code::Value, place, message));
    }

    pub(super) fn tell(&mut self, problem: Problem) {
        if self.problems.len() < TOLD {
            self.problems.push(problem);
        } else {
            self.untold += 1;
        }
    }

    pub(super) fn assume(&mut self, what: impl Into<String>) {
        let what = what.into();
        if !self.assumed.contains(&what) {
            self.assumed.push(what);
        }
    }

    pub(super) fn push(&mut self, hour: Hour) {
        self.rows.push(hour);
    }

    pub(super) fn last_at(&self) -> Option<DateTime<FixedOffset>> {
        self.rows.last().map(|hour| hour.at)
    }

    pub(super) fn rows(&self) -> usize {
        self.rows.len()
    }

    /// Refuses the file altogether.
    pub(super) fn refuse(mut self, problem: Problem, source: WeatherSource) -> Checked<Series> {
        self.problems.insert(0, problem);
        self.rows.clear();
        self.close(source, None)
    }

    /// Makes whole hours of the rows.
    pub(super) fn finish(
        self,
        source: WeatherSource,
        place: Option<(f64, f64)>,
    ) -> Checked<Series> {
        if !self.rows.iter().any(|hour| hour.air_c.is_some()) {
            let name = self.name.clone();
            let problem =
                Problem::error(Code::Value, None, format!("`{name}` holds no temperature"));
            return self.refuse(
                problem.help("give hourly values, one a line, under a header that names them"),
                source,
            );
        }
        if let Some(problem) = self.too_coarse() {
            return self.refuse(problem, source);
        }
        self.close(source, place)
    }

    /// Daily or half-daily values: no night can be read from them.
    fn too_coarse(&self) -> Option<Problem> {
        let mut steps: Vec<i64> = self
            .rows
            .windows(2)
            .filter_map(|pair| match pair {
                [a, b] => Some((b.at - a.at).num_hours().abs()),
                _ => None,
            })
            .collect();
        steps.sort_unstable();
        let usual = steps.get(steps.len() / 2).copied()?;
        let (what, step) = match usual {
            20.. => ("one value a day", usual),
            9.. => ("one value for half a day", usual),
            _ => return None,
        };
        let message = format!("`{}` holds {what} ({step} h apart), not hourly weather", self.name);
        Some(
            Problem::error(Code::Value, None, message)
                .help("give the night's low and high instead: `--low 19F --high 34F`"),
        )
    }

    fn close(mut self, source: WeatherSource, place: Option<(f64, f64)>) -> Checked<Series> {
        let rows = std::mem::take(&mut self.rows);
        let periods = self.periods(rows);
        if self.untold > 0 {
            let message = format!("{} more lines of `{}` have problems", self.untold, self.name);
            self.problems.push(Problem::warning(Code::Value, None, message));
        }
        let value = Series { name: self.name, source, periods, assumed: self.assumed, place };
        Checked { value, problems: self.problems }
    }

    fn periods(&mut self, rows: Vec<Hour>) -> Vec<Vec<Hour>> {
        let mut hours: BTreeMap<DateTime<FixedOffset>, Mean> = BTreeMap::new();
        let (mut moved, mut merged) = (0usize, 0usize);
        for row in rows {
            let at = row.at.duration_round(Duration::hours(1)).unwrap_or(row.at);
            moved += usize::from(at != row.at);
            let mean = hours.entry(at).or_default();
            merged += usize::from(mean.rows > 0);
            mean.add(&row);
        }
        if moved > 0 {
            self.assume(format!("{moved} rows off the full hour were counted to the nearest one"));
        }
        if merged > 0 {
            self.assume(format!("{merged} rows shared an hour with others and were averaged"));
        }
        let mut periods: Vec<Vec<Hour>> = Vec::new();
        for (at, mean) in hours {
            let hour = mean.hour(at);
            match periods.last_mut() {
                Some(period) if within(period, at) => {
                    while let Some(next) = period.last().map(|last| last.at + Duration::hours(1))
                        && next < at
                    {
                        period.push(Hour::empty(next.with_timezone(at.offset())));
                    }
                    period.push(hour);
                }
                _ => periods.push(vec![hour]),
            }
        }
        periods
    }
}

fn within(period: &[Hour], at: DateTime<FixedOffset>) -> bool {
    period.last().is_some_and(|last| (at - last.at).num_hours() <= PERIOD_GAP_H)
}

/// The mean of rows that fall into one hour.
#[derive(Debug, Default)]
struct Mean {
    rows: usize,
    sums: [(f64, usize); 7],
}

impl Mean {
    fn add(&mut self, row: &Hour) {
        self.rows += 1;
        let values = [
            row.air_c,
            row.wind_m_s,
            row.humidity,
            row.cloud,
            row.rain_mm,
            row.sun_w_m2,
            row.sky_w_m2,
        ];
        for (sum, value) in self.sums.iter_mut().zip(values) {
            if let Some(value) = value {
                sum.0 += value;
                sum.1 += 1;
            }
        }
    }

    fn hour(&self, at: DateTime<FixedOffset>) -> Hour {
        let mean = self.sums.map(|(sum, n)| (n > 0).then(|| sum / count(n)));
        let [air_c, wind_m_s, humidity, cloud, rain, sun_w_m2, sky_w_m2] = mean;
        // Rain adds up over the rows of an hour.
        let rain_mm = rain.map(|mean| mean * count(self.rows));
        Hour { at, air_c, wind_m_s, humidity, cloud, rain_mm, sun_w_m2, sky_w_m2 }
    }
}
