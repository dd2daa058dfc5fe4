//! Amounts and times as people say them, with the numbers in digits or words: "half a gallon", "a quart and a half",
//! "2 to 3 lb", "an hour and twenty minutes".

use super::measure::Nature;
use super::number::Numbers;
use super::token::tokenize;
use crate::knowledge::{Lexicon, Role, Sense};
use crate::problem::Span;
use crate::units::{Dimension, UnitId, base_value, from_base, parse_quantity, unit};

/// An amount or a time as it was said.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Said {
    /// The number, in the unit; the lower end of a range.
    pub low: f64,
    /// The same, or the upper end of a range.
    pub high: f64,
    /// The unit.
    pub unit: UnitId,
    /// Its bytes.
    pub span: Span,
    /// The bytes of its unit.
    pub named: Span,
}

impl Said {
    /// The number, in the unit: the middle of a range.
    #[must_use]
    pub const fn value(&self) -> f64 {
        f64::midpoint(self.low, self.high)
    }

    /// What it measures.
    #[must_use]
    pub fn dimension(&self) -> Dimension {
        unit(self.unit).dimension
    }
}

/// The masses, volumes and times in a text, in order.
#[must_use]
pub fn said(text: &str, lexicon: &Lexicon) -> Vec<Said> {
    let tokens = tokenize(text, lexicon);
    let numbers = Numbers { tokens: &tokens, lexicon };
    let mut found = Vec::new();
    let mut at = 0;
    while at < tokens.list.len() {
        match numbers.said(at) {
            Some((one, end)) => {
                found.push(one);
                at = end.max(at + 1);
            }
            None => at = numbers.read(at).map_or(at + 1, |number| number.end.max(at + 1)),
        }
    }
    found
}

/// A text with its masses and volumes in figures: "a pint and a half of acid" is `1.5 pint of acid`. What stands in
/// figures already is left as it is.
#[must_use]
pub fn in_figures(text: &str, lexicon: &Lexicon) -> String {
    let mut out = String::with_capacity(text.len());
    let mut done = 0;
    for one in said(text, lexicon) {
        let plain =
            one.low.to_bits() == one.high.to_bits() && parse_quantity(one.span.of(text)).is_ok();
        if plain || !matches!(one.dimension(), Dimension::Mass | Dimension::Volume) {
            continue;
        }
        out.push_str(text.get(done..one.span.start).unwrap_or_default());
        out.push_str(&format!("{} {}", one.value(), one.named.of(text)));
        done = one.span.end;
    }
    out.push_str(text.get(done..).unwrap_or_default());
    out
}

/// A unit with the tokens that name it.
type Named = (UnitId, usize, usize);

impl Numbers<'_> {
    /// The amount or time that begins at a place, and the place after it.
    fn said(&self, at: usize) -> Option<(Said, usize)> {
        let (one, end) = self.simple(at)?;
        if one.dimension() != Dimension::Time {
            return Some((one, end));
        }
        // "An hour and twenty minutes", "1 h 30 min".
        let next = if self.is(end, Role::And) { end + 1 } else { end };
        let more = self.simple(next).filter(|(more, _)| {
            more.dimension() == Dimension::Time
                && base_value(1.0, more.unit) < base_value(1.0, one.unit)
        });
        let Some((more, end)) = more else { return Some((one, end)) };
        let part = |value: f64| from_base(base_value(value, more.unit), one.unit);
        let span = Span::new(one.span.start, more.span.end);
        let (low, high) = (one.low + part(more.low), one.high + part(more.high));
        Some((Said { low, high, span, ..one }, end))
    }

    /// The same with one unit.
    fn simple(&self, at: usize) -> Option<(Said, usize)> {
        let (low, mut end) = self.first(at)?;
        let mut high = low;
        let mut named = self.measured_in(end);
        if named.is_none() {
            let (second, after) = self.second(at, end, low)?;
            named = Some(self.measured_in(after)?);
            high = second;
        }
        let (id, first, after) = named?;
        end = after;
        if let Some((part, after)) = self.and_a_part(end) {
            high += part;
            let low = if low.to_bits() == (high - part).to_bits() { low + part } else { low };
            return Some((self.one((low, high), id, (first, end), (at, after)), after));
        }
        // "An hour or two", "1 quart to 2 quarts".
        if let Some((second, after)) =
            self.second(at, end, low).filter(|_| low.to_bits() == high.to_bits())
        {
            let again = self.measured_in(after);
            let bare = self.tokens.get(after).is_none_or(|token| !token.joined);
            if again.map_or(bare, |(other, ..)| other == id) {
                let after = again.map_or(after, |(_, _, after)| after);
                return Some((self.one((low, second), id, (first, end), (at, after)), after));
            }
        }
        Some((self.one((low, high), id, (first, end), (at, end)), end))
    }

    fn one(
        &self,
        (low, high): (f64, f64),
        unit: UnitId,
        named: (usize, usize),
        all: (usize, usize),
    ) -> Said {
        let span = |(first, end)| self.tokens.span(first, end);
        Said { low, high, unit, span: span(all), named: span(named) }
    }

    /// The number that begins at a place, and the place after it: "a quart" is one, and so is "pound and a half".
    fn first(&self, at: usize) -> Option<(f64, usize)> {
        let clock =
            self.measure(at).is_some_and(|measure| matches!(measure.nature, Nature::Clock { .. }));
        if clock {
            return None;
        }
        if let Some(number) = self.read(at) {
            return Some((number.value, number.end));
        }
        let long = |place: usize| {
            self.tokens.get(place).is_some_and(|token| self.tokens.text(token).len() > 1)
        };
        if self.is(at, Role::Indefinite) {
            return (self.measured_in(at + 1).is_some() && long(at + 1)).then_some((1.0, at + 1));
        }
        let (_, first, end) = self.measured_in(at)?;
        (first == at && long(at) && self.and_a_part(end).is_some()).then_some((1.0, at))
    }

    /// The upper end of a range whose lower end stands before a place.
    fn second(&self, first: usize, sep: usize, low: f64) -> Option<(f64, usize)> {
        let between = first.checked_sub(1).is_some_and(|before| self.is(before, Role::Between));
        let joins = self.is(sep, Role::To)
            || self.is(sep, Role::Or)
            || self.tokens.sign(sep) == Some('-')
            || (between && self.is(sep, Role::And));
        let number = self.read(sep + 1).filter(|number| joins && number.value > low)?;
        Some((number.value, number.end))
    }

    /// The unit of mass, volume or time at a place; "of a" before it is passed over.
    fn measured_in(&self, at: usize) -> Option<Named> {
        let hyphen = usize::from(self.tokens.sign(at) == Some('-'));
        let of = self.tokens.get(at).is_some_and(|token| self.tokens.text(token) == "of");
        let of = usize::from(of);
        let article = usize::from(self.is(at + of, Role::Indefinite));
        let start = at + hyphen.max(of + article);
        let (id, end) = self.unit_at(start)?;
        Some((id, start, end))
    }

    /// The unit of mass, volume or time whose name begins right here, and the place after it.
    fn unit_at(&self, start: usize) -> Option<(UnitId, usize)> {
        let mut step = self.lexicon.root();
        let mut found = None;
        let mut at = start;
        while let Some(word) = self.tokens.get(at).and_then(|token| token.word) {
            let Some(next) = self.lexicon.step(step, word) else { break };
            step = next;
            at += 1;
            let measures = |id: &UnitId| {
                matches!(unit(*id).dimension, Dimension::Mass | Dimension::Volume | Dimension::Time)
            };
            let mut senses = self.lexicon.senses(step).iter();
            let id = senses.find_map(|sense| match sense {
                Sense::Unit(id) => Some(*id).filter(measures),
                _ => None,
            });
            found = id.map(|id| (id, at)).or(found);
        }
        found
    }
}
