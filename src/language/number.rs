//! Numbers in digits and words: `.5`, `18k`, `1 1/2`, "eighteen thousand", "seven point four", "a hundred and ten".

use super::token::{TokenKind, Tokens};
use crate::knowledge::{Lexicon, Role, Sense};
use crate::units::{Dimension, unit};

/// A number and the place after it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Number {
    /// Its value.
    pub value: f64,
    /// The first token after it.
    pub end: usize,
    /// Whether it was a lone small word ("one", "half") that may be no number at all.
    pub faint: bool,
    /// The range it stands for: "low 20s" is 21 to 23.
    pub range: Option<(f64, f64)>,
}

impl Number {
    /// A plain number.
    pub(super) const fn plain(value: f64, end: usize) -> Self {
        Self { value, end, faint: false, range: None }
    }

    /// A lone small word that may be no number at all.
    pub(super) const fn faint(value: f64, end: usize) -> Self {
        Self { faint: true, ..Self::plain(value, end) }
    }
}

/// Reads numbers from tokens.
#[derive(Clone, Copy)]
pub struct Numbers<'t> {
    /// The message.
    pub tokens: &'t Tokens,
    /// The number words.
    pub lexicon: &'t Lexicon,
}

impl Numbers<'_> {
    /// Whether the token at a place plays a part.
    #[must_use]
    pub fn is(&self, at: usize, role: Role) -> bool {
        self.senses(at).contains(&Sense::Role(role))
    }

    /// Whether the token at a place names a number.
    #[must_use]
    pub fn is_label(&self, at: usize) -> bool {
        self.senses(at).iter().any(|sense| matches!(sense, Sense::Label(_)))
    }

    pub(super) fn senses(&self, at: usize) -> &[Sense] {
        self.tokens
            .get(at)
            .and_then(|token| token.word)
            .and_then(|word| self.lexicon.step(self.lexicon.root(), word))
            .map_or(&[], |step| self.lexicon.senses(step))
    }

    pub(super) fn word(&self, at: usize) -> Option<f64> {
        if matches!(self.tokens.get(at)?.kind, TokenKind::Number(_)) {
            return None;
        }
        self.senses(at).iter().find_map(|sense| match sense {
            Sense::Number(n) => self.lexicon.number(*n),
            _ => None,
        })
    }

    pub(super) fn joined(&self, at: usize) -> bool {
        self.tokens.get(at).is_some_and(|token| token.joined)
    }

    /// Whether a number, an hour or a change can begin at a place; most words cannot, and are passed over quickly.
    pub(super) fn may_begin(&self, at: usize) -> bool {
        let Some(token) = self.tokens.get(at) else { return false };
        match token.kind {
            TokenKind::Number(_) => true,
            TokenKind::Sign(sign) => sign == '-',
            _ => self.senses(at).iter().any(|sense| match sense {
                Sense::Number(_) | Sense::Heard(_) => true,
                Sense::Role(role) => matches!(
                    role,
                    Role::From
                        | Role::Between
                        | Role::Minus
                        | Role::Point
                        | Role::Indefinite
                        | Role::DecadeLow
                        | Role::DecadeMid
                        | Role::DecadeHigh
                ),
                _ => false,
            }),
        }
    }

    /// The number that begins at a place, with its sign, its fraction and its thousands.
    #[must_use]
    pub fn read(&self, at: usize) -> Option<Number> {
        let hyphen = self.tokens.sign(at) == Some('-')
            && self.joined(at + 1)
            && !self.joined(at)
            && self.tokens.number(at + 1).is_some();
        if hyphen || self.is(at, Role::Minus) {
            let number = self.read_positive(at + 1)?;
            return Some(Number { value: -number.value, range: None, faint: false, ..number });
        }
        self.read_positive(at)
    }

    fn read_positive(&self, at: usize) -> Option<Number> {
        if let Some(part) = self.part_of_a_decade(at) {
            return Some(part);
        }
        if self.tokens.number(at).is_some() {
            self.digits(at)
        } else {
            self.words(at).or_else(|| self.heard(at))
        }
    }

    /// The number that a word sounds like.
    fn sounds(&self, at: usize) -> Option<f64> {
        self.senses(at).iter().find_map(|sense| match sense {
            Sense::Heard(n) => self.lexicon.number(*n),
            _ => None,
        })
    }

    /// "Chlorine to point five", "wind is ate miles": a word of dictation that sounds like a number.
    fn heard(&self, at: usize) -> Option<Number> {
        let value = self.sounds(at)?;
        let named = at.checked_sub(1).is_some_and(|before| {
            self.is_label(before) || self.senses(before).contains(&Sense::Role(Role::Filler))
        });
        if named && self.is(at + 1, Role::Point) {
            let (decimals, end) = self.decimals(at + 2)?;
            return Some(Number::plain(value + decimals, end));
        }
        let after =
            |word: &str| self.tokens.get(at + 1).is_some_and(|t| self.tokens.text(t) == word);
        let unit = self.senses(at + 1).iter().any(|sense| match sense {
            Sense::Unit(id) => matches!(unit(*id).dimension, Dimension::Length | Dimension::Speed),
            _ => false,
        });
        let measured = (unit
            && self.tokens.get(at + 1).is_some_and(|t| self.tokens.text(t).len() > 3))
            || after("miles");
        measured.then_some(Number::plain(value, at + 1))
    }

    /// "One eight" read as it is spelled, 18; `None` for a number that is no pair of spoken digits.
    #[must_use]
    pub fn spelled(&self, at: usize, read: Number) -> Option<f64> {
        let digit =
            |at: usize| self.word(at).filter(|n| n.fract() == 0.0 && (1.0..10.0).contains(n));
        let (tens, units) = (digit(at)?, digit(at + 1)?);
        (read.end == at + 2).then_some(tens * 10.0 + units)
    }

    fn digits(&self, at: usize) -> Option<Number> {
        let mut value = self.tokens.number(at)?;
        let mut end = at + 1;
        if let Some((part, after)) = self.fraction(at) {
            return Some(Number::plain(part, after));
        }
        if let Some(after) = self.decade(at, value) {
            return Some(Number::plain(value + 5.0, after));
        }
        let whole = value.fract() == 0.0;
        let mixed = if self.tokens.sign(end) == Some('-') { end + 1 } else { end };
        if let Some((part, after)) = self.fraction(mixed).filter(|_| whole) {
            value += part;
            end = after;
        } else if let Some((part, after)) = self.and_a_part(end) {
            value += part;
            end = after;
        }
        if self.is(end, Role::Thousand) && value < 10_000.0 {
            value *= 1000.0;
            end += 1;
        } else if self.is(end, Role::Hundred) && !self.joined(end) {
            value *= 100.0;
            end += 1;
        }
        Some(Number::plain(value, end))
    }

    /// `1/2`, `3/4`, `5/16`: a proper fraction of the inch rule, and not part of a date or a list.
    fn fraction(&self, at: usize) -> Option<(f64, usize)> {
        let (top, bottom) = (self.tokens.number(at)?, self.tokens.number(at + 2)?);
        let slash = self.tokens.sign(at + 1)?;
        let of_the_rule = [2.0, 3.0, 4.0, 8.0, 16.0, 32.0].contains(&bottom);
        let listed = |at: usize| self.tokens.sign(at) == Some('/') && self.joined(at);
        let alone = slash == '⁄'
            || (slash == '/'
                && self.joined(at + 1)
                && self.joined(at + 2)
                && !listed(at + 3)
                && !at.checked_sub(1).is_some_and(listed)
                && self.tokens.sign(at + 3) != Some(':'));
        (alone && of_the_rule && top < bottom && top.fract() == 0.0)
            .then_some((top / bottom, at + 3))
    }

    /// "… and a half", "… and a quarter".
    pub(super) fn and_a_part(&self, at: usize) -> Option<(f64, usize)> {
        if !self.is(at, Role::And) {
            return None;
        }
        let next = if self.is(at + 1, Role::Indefinite) { at + 2 } else { at + 1 };
        if let Some(rule) = self.fraction(next) {
            return Some(rule);
        }
        // "An inch and three quarters".
        let quarters = self.word(next + 1).filter(|n| *n > 0.0 && *n < 1.0);
        if let (Some(count), Some(part)) = (self.word(next).filter(|n| *n >= 1.0), quarters) {
            return (count * part < 1.0).then_some((count * part, next + 2));
        }
        let part = self.word(next).filter(|n| *n > 0.0 && *n < 1.0)?;
        Some((part, next + 1))
    }

    fn words(&self, at: usize) -> Option<Number> {
        let mut end = at;
        if self.is(end, Role::Point) {
            let (decimals, after) = self.decimals(end + 1)?;
            return Some(Number::plain(decimals, after));
        }
        let article = self.is(end, Role::Indefinite);
        let mut current = if article {
            end += 1;
            let scaled = self.is(end, Role::Hundred) || self.is(end, Role::Thousand);
            match self.word(end) {
                Some(n) if (n > 0.0 && n < 1.0) || n == 2.0 || n == 12.0 => {
                    return Some(Number::faint(n, end + 1));
                }
                _ if scaled => 1.0,
                _ => return None,
            }
        } else {
            let first = self.word(end)?;
            end += 1;
            first
        };
        let small = current <= 9.0 && !article;
        let spoken = (small && self.is(end, Role::Point))
            .then(|| self.decimals(end + 1).or_else(|| self.heard_decimal(end + 1)))
            .flatten();
        if let Some((decimals, after)) = spoken {
            return Some(Number::plain(current + decimals, after));
        }
        // "Seven to", at the end of a clause, is heard for "seven two".
        let stops = self.tokens.sign(end + 1).is_some() || self.tokens.get(end + 1).is_none();
        if let Some(tenths) = self.sounds(end).filter(|_| small && current >= 1.0 && stops) {
            let value = current + tenths / 10.0;
            return Some(Number::faint(value, end + 1));
        }
        // "Three quarters of an inch", "five eighths".
        if let Some(part) =
            self.word(end).filter(|n| small && current >= 1.0 && *n < 1.0 && *n > 0.0)
        {
            return Some(Number::plain(current * part, end + 1));
        }
        // "seven four" is said of 7.4, "one twenty" of 120.
        if let Some(next) = self.word(end).filter(|_| small && current >= 1.0) {
            if (10.0..100.0).contains(&next) {
                current = current * 100.0 + next;
                end += 1;
            } else if (1.0..10.0).contains(&next) && self.word(end + 1).is_none() {
                return Some(Number::faint(current + next / 10.0, end + 1));
            }
        }
        self.larger(current, end, at)
    }

    /// Tens and units, hundreds and thousands after the first word.
    fn larger(&self, first: f64, mut end: usize, start: usize) -> Option<Number> {
        let (mut total, mut current) = (0.0, first);
        loop {
            let next = if self.is(end, Role::And) && (total > 0.0 || current >= 100.0) {
                end + 1
            } else {
                end
            };
            if self.is(end, Role::Hundred) {
                current *= 100.0;
                end += 1;
            } else if self.is(end, Role::Thousand) {
                total += current * 1000.0;
                current = 0.0;
                end += 1;
            } else if let Some(n) = self.word(next).filter(|n| *n >= 1.0 && fits(current, *n)) {
                current += n;
                end = next + 1;
            } else if let Some(n) = self.sounds(end).filter(|n| {
                // "Forty too degrees", "sixty ate".
                let heard = self.has_unit(end + 1) || self.is_no_word_of_its_own(end);
                *n >= 1.0 && current >= 20.0 && fits(current, *n) && heard
            }) {
                current += n;
                end += 1;
            } else {
                break;
            }
        }
        // "Twenty eight fifty" is said of 2850.
        let hundreds = total == 0.0 && (10.0..100.0).contains(&current);
        if let Some(n) = self.word(end).filter(|n| hundreds && (10.0..100.0).contains(n)) {
            let units = self.word(end + 1).filter(|u| (1.0..10.0).contains(u) && fits(n, *u));
            current = current * 100.0 + n + units.unwrap_or(0.0);
            end += if units.is_some() { 2 } else { 1 };
        }
        if current > 0.0 && current < 1.0 && self.is(end, Role::Indefinite) {
            // "half an inch"
            return Some(Number::plain(current, end + 1));
        }
        if let Some((part, after)) = self.and_a_part(end) {
            current += part;
            end = after;
            // "Twenty two and a half thousand".
            if self.is(end, Role::Thousand) {
                current *= 1000.0;
                end += 1;
            }
        }
        let faint = end == start + 1 && first <= 2.0 && first > 0.0;
        Some(Number { faint, ..Number::plain(total + current, end) })
    }

    /// "Seven point ate": behind a number and its point, what sounds like a digit is one.
    fn heard_decimal(&self, at: usize) -> Option<(f64, usize)> {
        Some((self.sounds(at)? / 10.0, at + 1))
    }

    /// Whether a word means nothing but the number that it sounds like.
    fn is_no_word_of_its_own(&self, at: usize) -> bool {
        let senses = self.senses(at);
        senses.iter().all(|s| matches!(s, Sense::Heard(_) | Sense::Role(Role::Common)))
    }

    /// Digits after a spoken point.
    fn decimals(&self, at: usize) -> Option<(f64, usize)> {
        let (mut value, mut scale, mut end) = (0.0, 0.1, at);
        while let Some(n) = self.word(end).or_else(|| self.tokens.number(end)) {
            if n.fract() != 0.0 || !(0.0..100.0).contains(&n) {
                break;
            }
            value += n * if n >= 10.0 { scale / 10.0 } else { scale };
            scale /= if n >= 10.0 { 100.0 } else { 10.0 };
            end += 1;
            if end - at >= 3 {
                break;
            }
        }
        // "One point to", at the end of a clause.
        let stops = self.tokens.sign(at + 1).is_some() || self.tokens.get(at + 1).is_none();
        match self.sounds(at).filter(|_| end == at && stops) {
            Some(tenths) => Some((tenths / 10.0, at + 1)),
            None => (end > at).then_some((value, end)),
        }
    }
}

/// Whether a number word may follow: units after tens, tens or units after hundreds.
fn fits(current: f64, next: f64) -> bool {
    if current == 0.0 {
        return next < 1000.0;
    }
    let tens = current % 100.0;
    if tens == 0.0 { next < 100.0 } else { tens >= 20.0 && tens % 10.0 == 0.0 && next < 10.0 }
}
