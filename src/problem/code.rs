//! Every kind of problem. The codes are stable: an author may look one up.

use serde::{Deserialize, Serialize};

/// The kind of a problem.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Code {
    /// The file is not TOML, or a key is missing, unknown or of the wrong type.
    Syntax,
    /// A name that nothing carries.
    UnknownName,
    /// Two things carry one name.
    Duplicate,
    /// A condition or an expression that cannot be read.
    Condition,
    /// Units that do not measure the same.
    Units,
    /// A condition that can never be true.
    NeverTrue,
    /// Ranges with a gap, an overlap, or out of order.
    Range,
    /// A citation of a note or section that is not there.
    Citation,
    /// A note or a section without a source.
    Source,
    /// Something that nothing uses or nothing can reach.
    Unused,
    /// Two things that contradict each other.
    Conflict,
    /// A cycle through a negation, or an order that runs in a circle.
    Cycle,
    /// An example that does not hold.
    Example,
    /// A number, date or unit that cannot be read.
    Value,
    /// A file that cannot be read.
    File,
}

impl Code {
    /// What to do about such a problem, where nothing nearer is known.
    #[must_use]
    pub const fn hint(self) -> &'static str {
        match self {
            Self::Syntax => {
                "see the section on the knowledge in DEVELOPERS.md for how it is written"
            }
            Self::UnknownName => "use a name that is declared, or declare this one",
            Self::Duplicate => "give one of them another name",
            Self::Condition => {
                "write it like `air.temperature <= 32 °F`, `pump.running is no` or `pool.surface is plaster`"
            }
            Self::Units => "give each number the unit of what it is compared with",
            Self::NeverTrue => "look for a fact that is asked to be two things",
            Self::Range => "let very_low, low, high and very_high rise, and name each surface once",
            Self::Citation => "cite a section that is there, as `note#section`",
            Self::Source => "name body, document, year and section, or write `common practice`",
            Self::Unused => "use it in a rule, or take it out",
            Self::Conflict => "let one exclude the other by `unless`",
            Self::Cycle => "take one of its links out",
            Self::Example => "mend the rule or its example",
            Self::Value => "write a value that the field takes, with its unit",
            Self::File => "look whether the file is there and can be read",
        }
    }

    /// Its short name, as printed.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Syntax => "syntax",
            Self::UnknownName => "unknown-name",
            Self::Duplicate => "duplicate",
            Self::Condition => "condition",
            Self::Units => "units",
            Self::NeverTrue => "never-true",
            Self::Range => "range",
            Self::Citation => "citation",
            Self::Source => "source",
            Self::Unused => "unused",
            Self::Conflict => "conflict",
            Self::Cycle => "cycle",
            Self::Example => "example",
            Self::Value => "value",
            Self::File => "file",
        }
    }
}
