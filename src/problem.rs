//! What can be wrong with a file or a wish, and how it is told: code, place, message, label, help.
//!
//! A message starts in lower case, has no full stop, sets the user's words in backticks, and leaves the
//! next step to `help`.

mod code;
mod place;
mod suggest;

pub use code::Code;
pub use place::{Place, SourceText, Span};
pub use suggest::nearest;

use serde::{Deserialize, Serialize};

/// How bad a problem is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Severity {
    /// It cannot be used so.
    Error,
    /// It works, and probably not as meant.
    Warning,
}

/// One thing that is wrong, at one place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Which kind of problem.
    pub code: Code,
    /// How bad.
    pub severity: Severity,
    /// Where, if it is in a file.
    pub place: Option<Place>,
    /// What is wrong, in one line.
    pub message: String,
    /// What the underlined words are.
    pub label: Option<String>,
    /// What to do next.
    pub help: Option<String>,
}

impl Problem {
    /// An error at a place.
    #[must_use]
    pub fn error(code: Code, place: Option<Place>, message: impl Into<String>) -> Self {
        Self {
            code,
            severity: Severity::Error,
            place,
            message: message.into(),
            label: None,
            help: None,
        }
    }

    /// A warning at a place.
    #[must_use]
    pub fn warning(code: Code, place: Option<Place>, message: impl Into<String>) -> Self {
        Self { severity: Severity::Warning, ..Self::error(code, place, message) }
    }

    /// Adds what to do next.
    #[must_use]
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    /// With a hint of its kind, if it has none of its own.
    #[must_use]
    pub fn hinted(self) -> Self {
        let hint = self.code.hint();
        if self.help.is_some() { self } else { self.help(hint) }
    }

    /// Adds what the underlined words are.
    #[must_use]
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = Some(label.into());
        self
    }

    /// Adds "did you mean …" when a known name is near the one that was written.
    #[must_use]
    pub fn did_you_mean<'a>(self, written: &str, known: impl IntoIterator<Item = &'a str>) -> Self {
        match nearest(written, known) {
            Some(near) => self.help(format!("did you mean `{near}`?")),
            None => self,
        }
    }
}

impl std::fmt::Display for Problem {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if let Some(place) = &self.place {
            write!(f, "{place}: ")?;
        }
        write!(f, "{}", self.message)?;
        if let Some(help) = &self.help {
            write!(f, " ({help})")?;
        }
        Ok(())
    }
}

impl std::error::Error for Problem {}

/// A value together with everything that was found wrong on the way to it.
#[derive(Debug, Clone)]
pub struct Checked<T> {
    /// What could be made of the input.
    pub value: T,
    /// What was wrong with it, in order of place.
    pub problems: Vec<Problem>,
}

impl<T> Checked<T> {
    /// The value, if nothing worse than a warning was found.
    ///
    /// # Errors
    /// All the problems, if one of them is an error.
    pub fn ok(self) -> Result<T, Vec<Problem>> {
        if self.problems.iter().any(|p| p.severity == Severity::Error) {
            Err(self.problems)
        } else {
            Ok(self.value)
        }
    }
}
