//! What values a fact may still have: the ground for deciding whether conditions can be true together.

use crate::facts::ChoiceSet;

/// The values that a fact may have, "unknown" among them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Domain {
    /// Choices, or bit 0 for yes and bit 1 for no; everything for a number.
    pub choices: ChoiceSet,
    /// For a fact of several values: those that it surely has.
    pub has: ChoiceSet,
    /// For a number: not below (and whether the end itself is left out).
    pub low: (f64, bool),
    /// For a number: not above (and whether the end itself is left out).
    pub high: (f64, bool),
    /// Whether it may have a value.
    pub known: bool,
    /// Whether it may have none.
    pub unknown: bool,
}

/// Yes and no as choices.
pub(super) const YES: ChoiceSet = ChoiceSet(1);
/// See [`YES`].
pub(super) const NO: ChoiceSet = ChoiceSet(2);

const SLACK: f64 = 1e-9;

impl Domain {
    /// Anything at all.
    pub const ANY: Self = Self {
        choices: ChoiceSet(u64::MAX),
        has: ChoiceSet(0),
        low: (f64::NEG_INFINITY, false),
        high: (f64::INFINITY, false),
        known: true,
        unknown: true,
    };

    /// One of these choices, known.
    pub fn of(choices: ChoiceSet) -> Self {
        Self { choices, unknown: false, ..Self::ANY }
    }

    /// Several values, this one among them.
    pub fn having(choice: usize) -> Self {
        Self { has: ChoiceSet::one(choice), unknown: false, ..Self::ANY }
    }

    /// The same, or unknown.
    pub fn or_unknown(self) -> Self {
        Self { unknown: true, ..self }
    }

    /// A known number between two ends.
    pub fn between(low: (f64, bool), high: (f64, bool)) -> Self {
        Self { low, high, unknown: false, ..Self::ANY }
    }

    /// Known, whatever it is.
    pub const KNOWN: Self = Self { unknown: false, ..Self::ANY };

    /// Unknown.
    pub const UNKNOWN: Self = Self { known: false, ..Self::ANY };

    /// What both allow.
    pub fn and(self, other: Self) -> Self {
        let low = if other.low.0 > self.low.0 || (other.low.0 >= self.low.0 && other.low.1) {
            other.low
        } else {
            self.low
        };
        let high = if other.high.0 < self.high.0 || (other.high.0 <= self.high.0 && other.high.1) {
            other.high
        } else {
            self.high
        };
        Self {
            choices: self.choices.and(other.choices),
            has: self.has.or(other.has),
            low,
            high,
            known: self.known && other.known,
            unknown: self.unknown && other.unknown,
        }
    }

    fn has_value(&self) -> bool {
        let room = self.high.0 - self.low.0;
        let closed = !self.low.1 && !self.high.1;
        let held = self.has.minus(self.choices).is_empty();
        self.known
            && held
            && !self.choices.is_empty()
            && (room > SLACK || (closed && room > -SLACK))
    }

    /// Whether no value is left.
    pub fn is_empty(&self) -> bool {
        !self.unknown && !self.has_value()
    }

    /// Whether every value of this is one of the other.
    pub fn within(&self, other: &Self) -> bool {
        let unknown = !self.unknown || other.unknown;
        let low =
            self.low.0 > other.low.0 || (self.low.0 >= other.low.0 && (self.low.1 || !other.low.1));
        let high = self.high.0 < other.high.0
            || (self.high.0 <= other.high.0 && (self.high.1 || !other.high.1));
        let choices =
            self.choices.minus(other.choices).is_empty() && other.has.minus(self.has).is_empty();
        let known = other.known && choices && low && high;
        unknown && (!self.has_value() || known)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn domains_meet_and_part() {
        let below = Domain::between((f64::NEG_INFINITY, false), (0.0, false));
        let above = Domain::between((0.0, true), (f64::INFINITY, false));
        assert!(below.and(above).is_empty());
        assert!(!below.and(Domain::between((0.0, false), (5.0, false))).is_empty());
        assert!(Domain::of(YES).and(Domain::of(NO)).is_empty());
        assert!(Domain::of(YES).within(&Domain::KNOWN) && !Domain::ANY.within(&Domain::KNOWN));
        assert!(Domain::UNKNOWN.and(Domain::KNOWN).is_empty());
        let lacking = Domain::of(ChoiceSet::all(8).minus(ChoiceSet::one(2)));
        assert!(Domain::having(2).and(lacking).is_empty());
        assert!(!Domain::having(2).and(Domain::having(3)).is_empty());
        assert!(Domain::having(2).and(lacking.or_unknown()).is_empty());
    }
}
