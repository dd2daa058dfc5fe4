//! What a stretch of text is, and how that looks. Colour is never the only signal.

use crate::units::System;
use anstyle::{AnsiColor, Style};

/// How an answer is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct View {
    /// Columns of a line.
    pub width: usize,
    /// Whether colour may be used.
    pub colour: bool,
    /// US or SI.
    pub units: System,
    /// For a screen reader: whole lines, nothing said by place, signs in words.
    pub plain: bool,
}

/// What a stretch of text is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// Running text.
    Plain,
    /// A heading.
    Heading,
    /// A heading over what cannot wait.
    Pressing,
    /// A heading over what has to be done today.
    Soon,
    /// The mark of a caution.
    Caution,
    /// A question to the reader.
    Question,
    /// Citations and other asides.
    Aside,
    /// Words that stand out in running text.
    Strong,
}

impl Role {
    /// How it looks.
    pub(super) const fn style(self) -> Style {
        let plain = Style::new();
        match self {
            Self::Plain => plain,
            Self::Heading | Self::Strong => plain.bold(),
            Self::Pressing => AnsiColor::Red.on_default().bold(),
            Self::Soon | Self::Caution => AnsiColor::Yellow.on_default().bold(),
            Self::Question => AnsiColor::Cyan.on_default().bold(),
            Self::Aside => plain.dimmed(),
        }
    }
}
