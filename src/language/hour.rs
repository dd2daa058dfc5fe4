//! Hours of the day, in digits and words: "3:30", "5:15 am", "noon", "quarter to seven"; and from one hour to another.

use super::measure::{Measure, Nature, bare};
use super::number::Numbers;
use crate::knowledge::Role;
use crate::units::find_unit;

/// An hour of the day, and the first token after it.
#[derive(Debug, Clone, Copy)]
struct Hour {
    hour: f64,
    /// The half of the day is certain.
    exact: bool,
    /// It is written as an hour, and can be no other number.
    marked: bool,
    end: usize,
}

impl Numbers<'_> {
    /// The hour of the day that begins at a place.
    pub(super) fn hour(&self, at: usize) -> Option<Measure> {
        self.clock(at).or_else(|| self.named_hour(at)).or_else(|| self.spoken_hour(at))
    }

    /// "From 9 last night till 8 this morning", "8 pm to 6 am": how long it is from one hour to another.
    pub(super) fn hours(&self, at: usize) -> Option<Measure> {
        let led = self.is(at, Role::From) || self.is(at, Role::Between);
        let first = self.any_hour(if led { at + 1 } else { at })?;
        let hyphen = self.tokens.sign(first.end) == Some('-');
        if !(hyphen || self.is(first.end, Role::To) || (led && self.is(first.end, Role::And))) {
            return None;
        }
        let second = self.any_hour(first.end + 1)?;
        let told = first.marked && second.marked || led && (first.marked || second.marked);
        if !told {
            return None;
        }
        let whole = if first.exact && second.exact { 24.0 } else { 12.0 };
        let hours = (second.hour - first.hour).rem_euclid(whole);
        let hours = if hours > 0.0 { hours } else { whole };
        Some(Measure {
            unit: find_unit("h"),
            hours: true,
            ..bare(hours, Nature::Reading, second.end)
        })
    }

    /// An hour with its half of the day, or a bare number that can be one.
    fn any_hour(&self, at: usize) -> Option<Hour> {
        let plain = || {
            let number = self.read(at).filter(|n| n.value.fract() == 0.0)?;
            let possible = (1.0..=12.0).contains(&number.value);
            (possible && !self.has_unit(number.end))
                .then(|| bare(number.value, Nature::Reading, number.end))
        };
        let found = self.hour(at).or_else(plain)?;
        let marked = self.is(found.end, Role::AmPm);
        let (mut hour, mut exact) = match found.nature {
            Nature::Clock { hour, exact } => (hour, exact),
            _ if marked => (self.with_half(found.value, found.end), true),
            _ => (found.value, false),
        };
        let mut end = if marked && !exact_before(found) { found.end + 1 } else { found.end };
        let mut told = marked || matches!(found.nature, Nature::Clock { .. });
        if let Some((role, after)) = self.half_of_the_day(end) {
            // "2 last night" and "3 in the afternoon" are told apart by the other hour.
            let small = role == Role::Evening && hour < 5.0;
            if role == Role::Evening && !exact && (5.0..12.0).contains(&hour) {
                hour += 12.0;
            }
            exact |= !small;
            told = true;
            end = after;
        }
        Some(Hour { hour, exact, marked: told, end })
    }

    /// "Last night", "this morning" after an hour, and the place after it.
    fn half_of_the_day(&self, at: usize) -> Option<(Role, usize)> {
        (1..=3).rev().find_map(|words| {
            let role = [Role::Evening, Role::Forenoon]
                .into_iter()
                .find(|role| self.phrase_is(at, words, *role))?;
            Some((role, at + words))
        })
    }

    /// "Quarter to seven", "half past six", "ten past four", "half six".
    fn spoken_hour(&self, at: usize) -> Option<Measure> {
        let part = self.word(at).or_else(|| self.tokens.number(at))?;
        let share = (part - 0.25).abs() < 1e-9 || (part - 0.5).abs() < 1e-9;
        let minutes = if share { part * 60.0 } else { part };
        let next = at + 1;
        let to = self.is(next, Role::ToHour);
        let past = self.is(next, Role::PastHour);
        let told = at.checked_sub(1).is_some_and(|n| {
            let roles = [Role::Clock, Role::Since, Role::Pronoun, Role::Copula];
            roles.into_iter().any(|role| self.is(n, role))
        });
        let five = [5.0, 10.0, 20.0, 25.0].contains(&part);
        let hour_at = if to || past { next + 1 } else { next };
        // "Half six" is half past six; "10 to 4" an hour only where one is told.
        let shaped = (share && (to || past))
            || (five && told && (to || past))
            || (told && (part - 0.5).abs() < 1e-9 && !to && !past);
        let hour = self.read(hour_at).filter(|n| shaped && n.value.fract() == 0.0)?;
        if !(1.0..=12.0).contains(&hour.value) || self.has_unit(hour.end) {
            return None;
        }
        let marked = self.is(hour.end, Role::AmPm);
        let base = if marked { self.with_half(hour.value, hour.end) } else { hour.value };
        let hour_of_day = if to { base - minutes / 60.0 } else { base + minutes / 60.0 };
        let end = if marked { hour.end + 1 } else { hour.end };
        Some(bare(hour_of_day, Nature::Clock { hour: hour_of_day, exact: marked }, end))
    }

    pub(super) fn with_half(&self, hour: f64, at: usize) -> f64 {
        let text = self.tokens.get(at).map_or("", |token| self.tokens.text(token));
        if text.starts_with('p') && hour < 12.0 { hour + 12.0 } else { hour }
    }

    /// "3:30", "5:15 am".
    fn clock(&self, at: usize) -> Option<Measure> {
        let (hour, minute) = (self.tokens.number(at)?, self.tokens.number(at + 2)?);
        let colon =
            self.tokens.sign(at + 1)? == ':' && self.joined_at(at + 1) && self.joined_at(at + 2);
        if !colon || !(0.0..=24.0).contains(&hour) || !(0.0..60.0).contains(&minute) {
            return None;
        }
        let token = self.tokens.get(at + 2)?;
        if self.tokens.text(token).len() != 2 {
            return None;
        }
        let marked = self.is(at + 3, Role::AmPm);
        let hour = if marked { self.with_half(hour, at + 3) } else { hour };
        let end = if marked { at + 4 } else { at + 3 };
        let hour = hour + minute / 60.0;
        Some(bare(hour, Nature::Clock { hour, exact: marked || !(1.0..13.0).contains(&hour) }, end))
    }

    /// "Midnight", "noon".
    fn named_hour(&self, at: usize) -> Option<Measure> {
        let hour = self.word(at).filter(|_| self.is(at, Role::AmPm))?;
        Some(bare(hour, Nature::Clock { hour, exact: true }, at + 1))
    }
}

/// Whether the half of the day was taken in already.
fn exact_before(found: Measure) -> bool {
    matches!(found.nature, Nature::Clock { exact: true, .. })
}
