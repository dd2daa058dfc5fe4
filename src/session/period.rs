//! Stretches of the calendar as people name them: "last week", "this month", "in the last ten days".

use crate::clock::Moment;
use crate::knowledge::{Period, PeriodUnit, RecordWords, Work};
use crate::logbook::Stretch;
use chrono::{Datelike, Days, Month, Months, NaiveDate, Weekday};

/// A stretch that a message names.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Named {
    /// Its first and its last day.
    pub days: (NaiveDate, NaiveDate),
    /// The words that named it.
    pub words: String,
}

impl Named {
    /// From the first second of its first day to the last one of its last day, but not beyond now.
    pub fn stretch(&self, now: Moment) -> Stretch {
        Stretch {
            from: now.at_clock(self.days.0, "00:00:00"),
            to: now.at_clock(self.days.1, "23:59:59").map(|end| end.min(now)),
        }
    }

    /// `Mon 5 to Sun 11 January 2026`, or the one day.
    pub fn told(&self) -> String {
        let (from, to) = self.days;
        if from == to {
            return to.format("%a %-d %B %Y").to_string();
        }
        let begins = match (from.year() == to.year(), from.month() == to.month()) {
            (true, true) => "%a %-d",
            (true, false) => "%a %-d %B",
            _ => "%a %-d %B %Y",
        };
        format!("{} to {}", from.format(begins), to.format("%a %-d %B %Y"))
    }

    /// Whether it ended before today.
    pub fn is_over(&self, now: Moment) -> bool {
        self.days.1 < now.date()
    }
}

/// The stretch that a message (in lower case) names; the longest words win.
pub(super) fn named(text: &str, work: &Work, now: Moment) -> Option<Named> {
    let today = now.date();
    let spoken =
        work.periods.iter().flat_map(|period| period.words.iter().map(move |w| (period, w)));
    let found = spoken.filter(|(_, words)| text.contains(words.as_str()));
    if let Some((period, words)) = found.max_by_key(|(_, words)| words.len()) {
        return Some(Named { days: days(period, today)?, words: words.clone() });
    }
    last_days(text, &work.words, today).or_else(|| day_named(text, today))
}

fn days(period: &Period, today: NaiveDate) -> Option<(NaiveDate, NaiveDate)> {
    let back = period.back;
    let first_of = |year: i32, month: u32| NaiveDate::from_ymd_opt(year, month, 1);
    let ago = i32::try_from(back).ok()?;
    match period.unit {
        PeriodUnit::Day => {
            let day = today.checked_sub_days(Days::new(u64::from(back)))?;
            Some((day, day))
        }
        PeriodUnit::Week => {
            let since_monday = u64::from(today.weekday().num_days_from_monday());
            let monday = today.checked_sub_days(Days::new(since_monday + 7 * u64::from(back)))?;
            Some((monday, monday.checked_add_days(Days::new(6))?))
        }
        PeriodUnit::Month => {
            let first = first_of(today.year(), today.month())?;
            let first = first.checked_sub_months(Months::new(back))?;
            Some((first, first.checked_add_months(Months::new(1))?.pred_opt()?))
        }
        PeriodUnit::Winter => {
            let begun = if today.month() >= 10 { today.year() } else { today.year() - 1 };
            let year = begun - ago;
            Some((first_of(year, 10)?, first_of(year + 1, 5)?.pred_opt()?))
        }
        PeriodUnit::Year => {
            let year = today.year() - ago;
            Some((first_of(year, 1)?, first_of(year + 1, 1)?.pred_opt()?))
        }
    }
}

/// "in the last 10 days", "past two weeks".
fn last_days(text: &str, known: &RecordWords, today: NaiveDate) -> Option<Named> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let found = words.windows(3).find_map(|three| {
        let [opens, number, unit] = three else { return None };
        if !known.last_opens.iter().any(|word| word == opens) {
            return None;
        }
        let unit = unit.trim_end_matches(|c: char| !c.is_alphanumeric());
        let each = known.last_units.get(unit)?;
        let many = known.last_numbers.get(*number).copied().or_else(|| number.parse().ok())?;
        let days: u64 = format!("{:.0}", many * each).parse().ok()?;
        Some((days, three.join(" ")))
    })?;
    let from = today.checked_sub_days(Days::new(found.0))?;
    Some(Named { days: (from, today), words: found.1 })
}

/// The last such day of the week ("on monday"), or a date ("on the 5th of january", "jan 5", "2026-01-05").
fn day_named(text: &str, today: NaiveDate) -> Option<Named> {
    let apart = |c: char| !(c.is_alphanumeric() || c == '-');
    let words: Vec<&str> = text.split(apart).filter(|word| !word.is_empty()).collect();
    let back = |fits: &dyn Fn(NaiveDate) -> bool| {
        today.pred_opt()?.iter_days().rev().take(366).find(|day| fits(*day))
    };
    let number = |word: &str| -> Option<u32> {
        word.trim_end_matches(|c: char| c.is_alphabetic()).parse().ok().filter(|n| *n <= 31)
    };
    let month = |word: &str| word.parse::<Month>().ok().filter(|_| word.len() > 2);
    let dated = words.windows(2).enumerate().find_map(|(at, two)| {
        let [a, b] = two else { return None };
        let (spoken, day) = match (month(a), month(b)) {
            (Some(spoken), _) => (spoken, number(b)?),
            (None, Some(spoken)) => (spoken, number(a)?),
            (None, None) if *b == "of" => (month(words.get(at + 2)?)?, number(a)?),
            _ => return None,
        };
        let fits = |one: NaiveDate| one.month() == spoken.number_from_month() && one.day() == day;
        back(&|one| fits(one)).map(|found| (found, two.join(" ")))
    });
    let whole = || words.iter().find_map(|word| Some((word.parse().ok()?, (*word).to_owned())));
    let weekday = || {
        words.iter().filter(|word| word.len() > 5).find_map(|word| {
            let spoken: Weekday = word.parse().ok()?;
            back(&|one| one.weekday() == spoken).map(|found| (found, (*word).to_owned()))
        })
    };
    let (day, words) = dated.or_else(whole).or_else(weekday)?;
    Some(Named { days: (day, day), words })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(text: &str) -> String {
        let base = crate::session::Base::packed().unwrap();
        let now = Moment::parse("2026-01-15T10:00:00-05:00").unwrap();
        let named = named(text, &base.knowledge().work, now);
        named.map_or_else(String::new, |named| named.told())
    }

    /// By the calendar: the fifteenth of January 2026 is a Thursday.
    #[test]
    fn a_week_begins_on_monday_and_a_winter_in_october() {
        assert_eq!(told("what did i add last week?"), "Mon 5 to Sun 11 January 2026");
        assert_eq!(told("this week"), "Mon 12 to Sun 18 January 2026");
        assert_eq!(told("acid this month"), "Thu 1 to Sat 31 January 2026");
        assert_eq!(told("last month"), "Mon 1 to Wed 31 December 2025");
        assert_eq!(told("this winter"), "Wed 1 October 2025 to Thu 30 April 2026");
        assert_eq!(told("yesterday"), "Wed 14 January 2026");
        assert_eq!(told("in the last 10 days?"), "Mon 5 to Thu 15 January 2026");
        assert_eq!(told("when was the filter last cleaned"), "");
        assert_eq!(told("what was the ph on monday?"), "Mon 12 January 2026");
        assert_eq!(told("ph on thursday"), "Thu 8 January 2026");
        assert_eq!(told("on the 3rd of january"), "Sat 3 January 2026");
        assert_eq!(told("dec 28"), "Sun 28 December 2025");
        assert_eq!(told("on 2026-01-05"), "Mon 5 January 2026");
        assert_eq!(told("added 12 oz of acid in march 40"), "");
    }
}
