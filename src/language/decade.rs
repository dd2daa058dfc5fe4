//! Decades and parts of them: "20s", "the low 20s", "mid-thirties", "upper teens".

use super::number::{Number, Numbers};
use crate::knowledge::{Role, Sense};

impl Numbers<'_> {
    /// "20s", "the 30's": a decade; gives back the place after it. Its middle is its value, as that of any range.
    pub(super) fn decade(&self, at: usize, value: f64) -> Option<usize> {
        let ten = value % 10.0 == 0.0 && (10.0..100.0).contains(&value);
        let mark =
            matches!(self.tokens.sign(at + 1), Some('\'' | '\u{2019}')) && self.joined(at + 1);
        let at = if mark { at + 2 } else { at + 1 };
        let plural =
            self.joined(at) && self.tokens.get(at).map(|t| self.tokens.text(t)) == Some("s");
        (ten && plural).then_some(at + 1)
    }

    /// "Low 20s", "mid-thirties", "upper teens": a third of a decade.
    pub(super) fn part_of_a_decade(&self, at: usize) -> Option<Number> {
        let from = self.senses(at).iter().find_map(|sense| match sense {
            Sense::Role(Role::DecadeLow) => Some(1.0),
            Sense::Role(Role::DecadeMid) => Some(4.0),
            Sense::Role(Role::DecadeHigh) => Some(7.0),
            _ => None,
        })?;
        let hyphen = self.tokens.sign(at + 1) == Some('-');
        // "Mid to upper 20s" is the upper part of them.
        let next = if hyphen { at + 2 } else { at + 1 };
        if self.is(next, Role::To) {
            let (low, high) = self.part_of_a_decade(next + 1)?.range?;
            let end = self.part_of_a_decade(next + 1)?.end;
            let ten = low - low % 10.0;
            return Some(Number {
                range: Some((ten + from, high)),
                ..Number::plain(f64::midpoint(ten + from, high), end)
            });
        }
        let digits = self.tokens.number(next);
        let (ten, end) = match digits {
            Some(ten) => (ten, self.decade(next, ten)?),
            None => (self.word(next).filter(|_| self.is_plural(next))? - 5.0, next + 1),
        };
        (10.0..100.0).contains(&ten).then(|| Number {
            range: Some((ten + from, ten + from + 2.0)),
            ..Number::plain(ten + from + 1.0, end)
        })
    }

    fn is_plural(&self, at: usize) -> bool {
        self.tokens.get(at).is_some_and(|token| self.tokens.text(token).ends_with('s'))
    }
}
