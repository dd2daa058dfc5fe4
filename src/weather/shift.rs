//! A series cut to the hours ahead, and a typical year moved to the year that is asked about.

use chrono::{Datelike as _, Duration};

use super::series::{Hour, Series, WeatherSource};
use crate::clock::Moment;
use crate::problem::{Code, Problem};

impl Series {
    /// The part from the hour that holds `at`, at most `most_h` hours of it, short gaps filled; and
    /// how many hours that filled.
    ///
    /// # Errors
    /// When nothing lies ahead, or a long gap does.
    pub fn cut(&self, at: Moment, most_h: usize) -> Result<(Vec<Hour>, usize), Vec<Problem>> {
        self.ahead(at).map_err(|problem| vec![*problem])?;
        let from = at.time() - Duration::minutes(59);
        let until = at.time() + super::hours_duration(crate::units::count(most_h));
        let cut = |period: &Vec<Hour>| {
            period
                .iter()
                .filter(|hour| hour.at >= from && hour.at <= until)
                .copied()
                .collect::<Vec<_>>()
        };
        let periods: Vec<Vec<Hour>> =
            self.periods.iter().map(cut).filter(|period| !period.is_empty()).collect();
        if let [first, second, ..] = periods.as_slice()
            && let (Some(last), Some(next)) = (first.last(), second.first())
        {
            let show = |hour: &Hour| hour.at.format("%Y-%m-%d %H:%M").to_string();
            let message =
                format!("`{}` has nothing between {} and {}", self.name, show(last), show(next));
            let problem = Problem::error(Code::Value, None, message);
            return Err(vec![problem.help("give a forecast without long gaps")]);
        }
        let (filled, count) = Self { periods, ..self.clone_empty() }.filled()?;
        Ok((filled.hours().copied().collect(), count))
    }

    fn clone_empty(&self) -> Self {
        Self {
            name: self.name.clone(),
            source: self.source,
            periods: Vec::new(),
            assumed: Vec::new(),
            place: self.place,
        }
    }

    /// A typical year stands for any year: its hours moved to the year of `at` and, for nights over
    /// the turn of the year, once more to the next. Other series stay as they are.
    #[must_use]
    pub fn at_year_of(self, at: Moment) -> Self {
        let year = at.date().year();
        if self.source != WeatherSource::Epw || self.ahead(at).is_ok() {
            return self;
        }
        let Some((first, _)) = self.span() else { return self };
        let mut moved = self.clone_empty();
        moved.assumed.clone_from(&self.assumed);
        moved.assumed.push(format!("the file's year taken for {year}"));
        let mut hours: Vec<Hour> = Vec::new();
        for shift in [year, year + 1] {
            hours.extend(self.hours().filter_map(|hour| {
                let target = shift + hour.at.year() - first.year();
                Some(Hour { at: hour.at.with_year(target)?, ..*hour })
            }));
        }
        hours.sort_by_key(|hour| hour.at);
        hours.dedup_by_key(|hour| hour.at);
        moved.periods = vec![hours];
        moved
    }
}
