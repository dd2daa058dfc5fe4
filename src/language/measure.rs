//! Numbers with their units and ranges; and numbers that are no readings: clock times, dates, prices, models.

use super::number::{Number, Numbers};
use super::token::TokenKind;
use crate::knowledge::{Role, Sense};
use crate::units::{Dimension, UnitId, unit};

/// What a number is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Nature {
    /// It may be a reading.
    Reading,
    /// A time of the day, in hours; without "am" or "pm" it may be either half of the day.
    Clock {
        /// Hours after midnight.
        hour: f64,
        /// The half of the day is certain.
        exact: bool,
    },
    /// A date, a price, a phone, a model.
    Other,
}

/// A number as it was typed, with its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measure {
    /// The number, in the unit typed; of a range its middle, of a change its end.
    pub value: f64,
    /// The range, if one was given.
    pub range: Option<(f64, f64)>,
    /// Where a change began: "from 18 to 27".
    pub from: Option<f64>,
    /// The unit, if one was typed.
    pub unit: Option<UnitId>,
    /// "Degrees", without a scale.
    pub degrees: bool,
    /// What it is.
    pub nature: Nature,
    /// A lone small word that may be no number at all.
    pub faint: bool,
    /// Two spoken digits as they are spelled: 18 for "one eight", which is 1.8 of what is told with a decimal.
    pub spelled: Option<f64>,
    /// From one hour of the day to another.
    pub hours: bool,
    /// The first token after it.
    pub end: usize,
}

impl Measure {
    /// What it measures, if its unit says so.
    #[must_use]
    pub fn dimension(&self) -> Option<Dimension> {
        match self.unit {
            Some(id) => Some(unit(id).dimension),
            None => self.degrees.then_some(Dimension::Temperature),
        }
    }
}

/// A unit read after a number.
#[derive(Clone, Copy, Default)]
struct UnitRead {
    unit: Option<UnitId>,
    degrees: bool,
    below_zero: bool,
    end: usize,
}

impl Numbers<'_> {
    /// The measure that begins at a place.
    #[must_use]
    pub fn measure(&self, at: usize) -> Option<Measure> {
        if !self.may_begin(at) {
            return None;
        }
        let hour = self.hours(at).or_else(|| self.hour(at));
        if let Some(other) = hour.or_else(|| self.date(at)) {
            return Some(other);
        }
        let read = self.read(at);
        let one = read.is_none();
        let first = read.or_else(|| self.one_unit(at))?;
        let mut unit = self.unit_after(first.end);
        let long = unit.unit.is_some_and(|id| {
            matches!(crate::units::unit(id).dimension, Dimension::Length | Dimension::Time)
        });
        let part = if long { self.and_a_part(unit.end) } else { None };
        let value = first.value + part.map_or(0.0, |(part, _)| part);
        unit.end = part.map_or(unit.end, |(_, end)| end);
        let mut measure = Measure {
            value: if unit.below_zero { -value.abs() } else { value },
            range: first.range,
            from: None,
            unit: unit.unit,
            degrees: unit.degrees,
            nature: self.nature(at, first, unit),
            faint: first.faint && (unit.unit.is_none() || one),
            spelled: self.spelled(at, first),
            hours: false,
            end: unit.end,
        };
        if measure.nature == Nature::Reading {
            self.range(at, first, &mut measure);
        }
        Some(measure)
    }

    /// Takes in the second half of "7.2-7.4", "18 to 27 psi", "between 2 and 3 hours".
    fn range(&self, at: usize, first: Number, measure: &mut Measure) {
        // "From 26 down to 13": a leading word of one phrase with the "to".
        let led = self.phrase_is(measure.end, 2, Role::To);
        let sep = if led { measure.end + 1 } else { measure.end };
        // "From ph 8.2 to 7.5": the name between says what changes.
        let place = at.checked_sub(1).filter(|p| self.is_label(*p)).unwrap_or(at);
        let after = |at: usize, role| at.checked_sub(1).is_some_and(|p| self.is(p, role));
        let before = |role| after(at, role) || (role == Role::From && after(place, role));
        let anywhere = at.checked_sub(2).is_some_and(|p| self.phrase_is(p, 2, Role::Between));
        let between = before(Role::Between) && self.is(sep, Role::And);
        let to = self.is(sep, Role::To);
        // "Climbed 14 to 22"; but "dropped 2 to 3 inches" is a range.
        let changed = to && !anywhere && (before(Role::From) || before(Role::Moved));
        let hyphen = self.tokens.sign(sep) == Some('-') && measure.unit.is_none();
        let or = self.is(sep, Role::Or);
        let comma = self.tokens.sign(sep) == Some(',') && measure.unit.is_none();
        if !(between || to || hyphen || or || comma) {
            return;
        }
        let Some(second) = self.read(sep + 1) else { return };
        let unit = self.unit_after(second.end);
        // "Sixteen, seventeen pounds": the next number, and the unit of both.
        let next = (second.value - first.value - 1.0).abs() < 1e-9 && unit.unit.is_some();
        if comma && !(next && before(Role::Approx)) {
            return;
        }
        let same = measure.unit.is_none() || unit.unit == measure.unit || unit.unit.is_none();
        let long =
            unit.unit.is_some_and(|id| crate::units::unit(id).dimension == Dimension::Length);
        let changed = changed && !(long && before(Role::Moved));
        if !same || (second.value <= first.value && !changed) {
            return;
        }
        if hyphen && self.joined_at(sep) && self.joined_at(sep + 1) && first.value >= 100.0 {
            let digits = |n: f64| n.fract() == 0.0;
            if second.value >= 1000.0
                && first.value < 1000.0
                && digits(second.value)
                && unit.unit.is_none()
            {
                // 555-0142
                measure.nature = Nature::Other;
            }
        }
        measure.faint = false;
        if changed {
            measure.from = Some(first.value);
            measure.value = second.value;
        } else {
            // "18 to 20k" means 18,000 to 20,000.
            let low = if second.value >= 1000.0 && first.value < 100.0 && first.value >= 1.0 {
                first.value * 1000.0
            } else {
                first.value
            };
            measure.range = Some((low, second.value));
            measure.value = f64::midpoint(low, second.value);
        }
        measure.unit = unit.unit.or(measure.unit);
        measure.degrees |= unit.degrees;
        measure.end = unit.end;
    }

    pub(super) fn joined_at(&self, at: usize) -> bool {
        self.tokens.get(at).is_some_and(|token| token.joined)
    }

    /// The unit at a place; a hyphen before it is passed over ("2-inch").
    fn unit_after(&self, at: usize) -> UnitRead {
        let start =
            if self.tokens.sign(at) == Some('-') && self.joined_at(at) { at + 1 } else { at };
        let plain = self.plain_unit(start);
        if plain.unit.is_some() || plain.degrees || plain.below_zero {
            return plain;
        }
        // "3/4 of an inch".
        if self.is(start + 1, Role::Indefinite) && self.is(start, Role::Filler) {
            let of = self.plain_unit(start + 2);
            if of.unit.is_some_and(|id| unit(id).dimension == Dimension::Length) {
                return of;
            }
        }
        // "A couple of inches".
        if self.tokens.get(start).is_some_and(|token| self.tokens.text(token) == "of") {
            let of = self.plain_unit(start + 1);
            let told = |id| matches!(unit(id).dimension, Dimension::Length | Dimension::Time);
            if of.end == start + 2 && of.unit.is_some_and(told) {
                return of;
            }
        }
        UnitRead { end: at, ..UnitRead::default() }
    }

    fn plain_unit(&self, start: usize) -> UnitRead {
        let mut read = UnitRead { end: start, ..UnitRead::default() };
        let mut step = self.lexicon.root();
        let mut at = start;
        while let Some(word) = self.tokens.get(at).and_then(|token| token.word) {
            let Some(next) = self.lexicon.step(step, word) else { break };
            step = next;
            at += 1;
            for sense in self.lexicon.senses(step) {
                match sense {
                    Sense::Unit(id) if self.fits_here(start, at, *id) => {
                        read = UnitRead { unit: Some(*id), end: at, ..UnitRead::default() };
                    }
                    Sense::Role(Role::Degree) => {
                        read = UnitRead { degrees: true, end: at, ..UnitRead::default() };
                    }
                    _ => {}
                }
            }
        }
        if read.degrees {
            let scale = self.plain_unit(read.end);
            if scale.unit.is_some_and(|id| unit(id).dimension == Dimension::Temperature) {
                read = scale;
            } else {
                read.below_zero |= scale.below_zero;
                read.end = scale.end;
            }
        }
        let temperature = read.unit.is_none_or(|id| unit(id).dimension == Dimension::Temperature);
        if !read.below_zero && temperature && self.is(read.end, Role::BelowZero) {
            read.below_zero = true;
            read.end += 1;
        }
        if !read.below_zero && temperature && self.below_zero(read.end) {
            read.below_zero = true;
            read.end += 2;
        }
        if read.below_zero && read.unit.is_none() {
            let scale = self.plain_unit(read.end);
            if scale.unit.is_some_and(|id| unit(id).dimension == Dimension::Temperature) {
                read = UnitRead { below_zero: true, ..scale };
            }
        }
        read
    }

    /// Whether a unit stands at a place.
    pub(super) fn has_unit(&self, at: usize) -> bool {
        let read = self.plain_unit(at);
        read.unit.is_some() || read.degrees
    }

    /// "An hour", "a week", "an inch".
    fn one_unit(&self, at: usize) -> Option<Number> {
        let unit = self.is(at, Role::Indefinite).then(|| self.plain_unit(at + 1).unit)??;
        let token = self.tokens.get(at + 1)?;
        let told =
            matches!(crate::units::unit(unit).dimension, Dimension::Time | Dimension::Length);
        (self.tokens.text(token).len() > 2 && told).then_some(Number::faint(1.0, at + 1))
    }

    fn below_zero(&self, at: usize) -> bool {
        self.phrase_is(at, 2, Role::BelowZero)
    }

    pub(super) fn phrase_is(&self, at: usize, words: usize, role: Role) -> bool {
        let mut step = Some(self.lexicon.root());
        for n in at..at + words {
            let word = self.tokens.get(n).and_then(|token| token.word);
            step = step.zip(word).and_then(|(step, word)| self.lexicon.step(step, word));
        }
        step.is_some_and(|step| self.lexicon.senses(step).contains(&Sense::Role(role)))
    }

    /// Some units are also common words: they count only where nothing else can be meant.
    fn fits_here(&self, start: usize, end: usize, id: UnitId) -> bool {
        let Some(token) = self.tokens.get(start) else { return false };
        if token.joined {
            return true;
        }
        let text = self.tokens.text(token);
        // "fc 1.2 cc .3": a word that also names a number, with a number after it, is that name.
        if self.is_label(start) && self.tokens.number(end).is_some() {
            return false;
        }
        let next_is_word = self.tokens.get(end).is_some_and(|t| t.kind == TokenKind::Word);
        match text {
            "in" if self.volume_at(end) || self.read(end).is_some_and(|n| n.value >= 1000.0) => {
                false
            }
            "in" => end > start + 1 || !next_is_word || self.is(end, Role::AfterInch),
            "\"" | "'" | "s" | "horse" => false,
            "w" => self.tokens.sign(end) != Some('/'),
            _ => unit(id).dimension != Dimension::Plain,
        }
    }

    /// "Alkalinity 140 in 9000 gallons": what follows is how much water, not how many inches.
    fn volume_at(&self, at: usize) -> bool {
        let unit = self.read(at).map(|number| self.unit_after(number.end)).and_then(|u| u.unit);
        unit.is_some_and(|id| crate::units::unit(id).dimension == Dimension::Volume)
    }

    fn nature(&self, at: usize, number: Number, read: UnitRead) -> Nature {
        let previous = at.checked_sub(1);
        let sign_before = previous.and_then(|p| self.tokens.sign(p));
        let glued =
            self.tokens.get(read.end).filter(|_| read.unit.is_none()).is_some_and(|token| {
                token.joined
                    && matches!(token.kind, TokenKind::Word | TokenKind::Code)
                    && !self.tokens.text(token).starts_with('\'')
                    && !self.is(read.end, Role::Approx)
            });
        let unnamed = previous.and_then(|p| p.checked_sub(1)).and_then(|p| self.tokens.get(p));
        let model = sign_before == Some('-')
            && self.joined_at(at)
            && previous.is_some_and(|p| self.joined_at(p))
            && unnamed.is_some_and(|token| token.kind == TokenKind::Code || token.word.is_none());
        let money = matches!(sign_before, Some('$' | '€' | '£' | '#'));
        let long = read.unit.is_some_and(|id| unit(id).dimension == Dimension::Length);
        let told = previous.is_some_and(|p| self.is(p, Role::NoReading))
            || !long && (0..3).any(|n| self.phrase_is(read.end, n + 1, Role::NoReadingBefore));
        let dated = read.unit.is_none()
            && number.value.fract() == 0.0
            && (1.0..=31.0).contains(&number.value)
            && (previous.is_some_and(|p| self.is(p, Role::Date)) || self.is(read.end, Role::Date));
        if self.is(read.end, Role::AmPm) && read.unit.is_none() {
            return Nature::Clock { hour: self.with_half(number.value, read.end), exact: true };
        }
        if glued || model || money || told || dated { Nature::Other } else { Nature::Reading }
    }

    /// "1/9:", "1/14/26", "2026-01-14".
    fn date(&self, at: usize) -> Option<Measure> {
        let (first, second) = (self.tokens.number(at)?, self.tokens.number(at + 2)?);
        let sign = self.tokens.sign(at + 1)?;
        if !self.joined_at(at + 1) || !self.joined_at(at + 2) || self.joined_list(at) {
            return None;
        }
        let third = self.tokens.number(at + 4).filter(|_| self.tokens.sign(at + 3) == Some(sign));
        let int = |n: f64, low: f64, high: f64| n.fract() == 0.0 && (low..=high).contains(&n);
        let day = |month: f64, day: f64| int(month, 1.0, 12.0) && int(day, 1.0, 31.0);
        if let Some(third) = third {
            let year = |n: f64| int(n, 2000.0, 2100.0) || int(n, 20.0, 39.0);
            let last = self.tokens.sign(at + 5) != Some('/');
            let known = (sign == '/' && day(first, second) && year(third) && last)
                || (sign == '-' && int(first, 2000.0, 2100.0) && day(second, third));
            return known.then(|| bare(first, Nature::Other, at + 5));
        }
        let start = at == 0
            || self.tokens.get(at - 1).is_some_and(|t| t.kind == TokenKind::Line)
            || self.is(at - 1, Role::Date)
            || self.is(at - 1, Role::Clock);
        let proper = first < second && [2.0, 4.0, 8.0, 16.0].contains(&second);
        let marked = self.tokens.sign(at + 3) == Some(':');
        (sign == '/' && day(first, second) && (marked || (start && !proper)))
            .then(|| bare(first, Nature::Other, at + 3))
    }

    fn joined_list(&self, at: usize) -> bool {
        at > 0 && self.tokens.sign(at - 1) == Some('/')
    }
}

pub(super) fn bare(value: f64, nature: Nature, end: usize) -> Measure {
    Measure {
        value,
        range: None,
        from: None,
        unit: None,
        degrees: false,
        nature,
        faint: false,
        spelled: None,
        hours: false,
        end,
    }
}
