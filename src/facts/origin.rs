//! Where a fact came from.

use serde::{Deserialize, Serialize};

/// The place of a rule in the rule base. Calculators have ids of their own, after the rules.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct RuleId(pub u16);

impl RuleId {
    /// As an index into an array that has one place for each rule.
    #[must_use]
    pub fn index(self) -> usize {
        usize::from(self.0)
    }
}

/// Where a fact came from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Origin {
    /// Said in the message of this turn, or beside it.
    Message,
    /// Said earlier in this conversation.
    Earlier,
    /// Kept from a visit, so many hours ago.
    Logbook {
        /// Age of the reading in hours.
        age_h: f64,
    },
    /// Part of the pool's profile.
    Profile,
    /// Concluded by a rule or computed by a calculator.
    Derived(RuleId),
    /// Taken for granted, and said so.
    Assumed,
}

impl Origin {
    /// Its name in the contract's JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Message | Self::Earlier => "message",
            Self::Logbook { .. } => "logbook",
            Self::Profile => "profile",
            Self::Derived(_) => "derived",
            Self::Assumed => "assumed",
        }
    }
}
