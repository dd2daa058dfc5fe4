//! Places in texts: spans of bytes, lines and columns.

use serde::{Deserialize, Serialize};

/// A stretch of a text, in UTF-8 bytes.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
pub struct Span {
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl Span {
    /// A span from `start` up to and without `end`.
    #[must_use]
    pub const fn new(start: usize, end: usize) -> Self {
        Self { start, end }
    }

    /// The smallest span that holds both.
    #[must_use]
    pub fn join(self, other: Self) -> Self {
        Self { start: self.start.min(other.start), end: self.end.max(other.end) }
    }

    /// The words at this place; empty if the span does not fit the text.
    #[must_use]
    pub fn of(self, text: &str) -> &str {
        text.get(self.start..self.end).unwrap_or("")
    }
}

impl From<std::ops::Range<usize>> for Span {
    fn from(range: std::ops::Range<usize>) -> Self {
        Self { start: range.start, end: range.end }
    }
}

/// A named text, such as a file of the knowledge.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SourceText {
    /// Its path inside the knowledge folder.
    pub name: String,
    /// What it holds.
    pub text: String,
}

impl SourceText {
    /// The place of a span of this text.
    #[must_use]
    pub fn place(&self, span: Span) -> Place {
        let before = self.text.get(..span.start).unwrap_or(&self.text);
        let line = before.matches('\n').count() + 1;
        let start_of_line = before.rfind('\n').map_or(0, |at| at + 1);
        let column = before.get(start_of_line..).unwrap_or("").chars().count() + 1;
        Place { file: self.name.clone(), line, column, span }
    }
}

/// Where in a file something stands.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Place {
    /// The file.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// The bytes.
    pub span: Span,
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{}:{}", self.file, self.line, self.column)
    }
}
