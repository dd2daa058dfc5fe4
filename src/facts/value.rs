//! Values of facts.

use serde::{Deserialize, Serialize};

/// A set of choices of one fact: bit `n` is the fact's `n`-th value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
pub struct ChoiceSet(pub u64);

impl ChoiceSet {
    /// The set of one choice.
    #[must_use]
    pub fn one(index: usize) -> Self {
        Self(u32::try_from(index).ok().and_then(|n| 1u64.checked_shl(n)).unwrap_or(0))
    }

    /// The set of the first `count` choices.
    #[must_use]
    pub fn all(count: usize) -> Self {
        (0..count).fold(Self::default(), Self::with)
    }

    /// This set with one choice more.
    #[must_use]
    pub fn with(self, index: usize) -> Self {
        Self(self.0 | Self::one(index).0)
    }

    /// What is in both.
    #[must_use]
    pub const fn and(self, other: Self) -> Self {
        Self(self.0 & other.0)
    }

    /// What is in either.
    #[must_use]
    pub const fn or(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// What is in this and not in the other.
    #[must_use]
    pub const fn minus(self, other: Self) -> Self {
        Self(self.0 & !other.0)
    }

    /// Whether nothing is in it.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// Whether the two share a choice.
    #[must_use]
    pub const fn meets(self, other: Self) -> bool {
        self.0 & other.0 != 0
    }

    /// How many choices are in it.
    #[must_use]
    pub const fn len(self) -> u32 {
        self.0.count_ones()
    }

    /// The choices, lowest first.
    pub fn iter(self) -> impl Iterator<Item = usize> {
        (0..64usize).filter(move |n| self.meets(Self::one(*n)))
    }
}

/// The value of a fact.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Value {
    /// A number in the fact's canonical unit.
    Number(f64),
    /// Yes or no.
    Flag(bool),
    /// One of the fact's values, by its place.
    Choice(u8),
    /// Several of the fact's values.
    Choices(ChoiceSet),
}

impl Value {
    /// The number, if it is one.
    #[must_use]
    pub const fn number(self) -> Option<f64> {
        match self {
            Self::Number(n) => Some(n),
            _ => None,
        }
    }

    /// Yes or no, if it is that.
    #[must_use]
    pub const fn flag(self) -> Option<bool> {
        match self {
            Self::Flag(f) => Some(f),
            _ => None,
        }
    }

    /// The choices, if it is one or several of.
    #[must_use]
    pub fn choices(self) -> Option<ChoiceSet> {
        match self {
            Self::Choice(n) => Some(ChoiceSet::one(usize::from(n))),
            Self::Choices(set) => Some(set),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sets_hold_what_was_put_in() {
        let set = ChoiceSet::one(2).with(5);
        assert_eq!(set.iter().collect::<Vec<_>>(), vec![2, 5]);
        assert!(set.meets(ChoiceSet::one(5)) && !set.meets(ChoiceSet::one(1)));
        assert_eq!(ChoiceSet::all(3).minus(ChoiceSet::one(1)).len(), 2);
        assert!(ChoiceSet::one(64).is_empty());
    }
}
