//! Questions and requests.

use serde::{Deserialize, Serialize};

/// What somebody wants.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum AskKind {
    /// Tells something, and wants it taken in.
    Report,
    /// What do I do?
    Advise,
    /// What should it be?
    Target,
    /// How much of what?
    Dose,
    /// Why?
    Explain,
    /// What if?
    WhatIf,
    /// What is due?
    Due,
    /// Stay open, or close?
    Decide,
    /// A question of general knowledge.
    Lookup,
    /// Puts right what was said before.
    Correct,
}

impl AskKind {
    const ALL: [(Self, &'static str); 10] = [
        (Self::Report, "report"),
        (Self::Advise, "advise"),
        (Self::Target, "target"),
        (Self::Dose, "dose"),
        (Self::Explain, "explain"),
        (Self::WhatIf, "what-if"),
        (Self::Due, "due"),
        (Self::Decide, "decide"),
        (Self::Lookup, "lookup"),
        (Self::Correct, "correct"),
    ];

    /// Its name in the contract.
    #[must_use]
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(kind, _)| *kind == self).map_or("report", |(_, name)| name)
    }

    /// The ask of a name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, known)| *known == name).map(|(kind, _)| *kind)
    }
}

/// What a question still states.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Keeps {
    /// Nothing: "is the pump running?"
    Nothing,
    /// Its numbers: "how much acid for 10,000 gal at pH 8?"
    Numbers,
    /// All of it, if it is about one's own thing: "why is my water green?"
    Own,
    /// All of it: "what do I do about the cracked filter?"
    All,
}

impl Keeps {
    /// What a name stands for.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "nothing" => Some(Self::Nothing),
            "numbers" => Some(Self::Numbers),
            "own" => Some(Self::Own),
            "all" => Some(Self::All),
            _ => None,
        }
    }
}

/// What the words of an ask mean.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct AskWords {
    /// Which ask.
    pub kind: AskKind,
    /// The higher wins inside one clause.
    pub rank: u8,
    /// Whether the words open a question wherever they stand.
    pub opens: bool,
    /// Whether they do so at the start of a clause.
    pub starts: bool,
    /// What the question still states.
    pub keeps: Keeps,
}
