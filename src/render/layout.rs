//! A sheet of lines: wrapped to the width, indented, painted, and cleaned on the way out.

use super::clean::clean;
use super::style::{Role, View};
use crate::knowledge::capital;
use std::io::{self, Write};
use textwrap::core::{Fragment, Word, break_words};
use textwrap::wrap_algorithms::wrap_first_fit;

/// A word with its role.
#[derive(Debug)]
struct Painted<'a> {
    word: Word<'a>,
    role: Role,
}

impl Fragment for Painted<'_> {
    fn width(&self) -> f64 {
        self.word.width()
    }
    fn whitespace_width(&self) -> f64 {
        self.word.whitespace_width()
    }
    fn penalty_width(&self) -> f64 {
        self.word.penalty_width()
    }
}

/// Lines being written.
pub struct Sheet<'w> {
    out: &'w mut dyn Write,
    view: View,
    /// Whether a blank line is due before the next one.
    gap: bool,
    begun: bool,
}

impl std::fmt::Debug for Sheet<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Sheet").field("view", &self.view).finish_non_exhaustive()
    }
}

impl<'w> Sheet<'w> {
    /// An empty sheet.
    pub fn new(out: &'w mut dyn Write, view: View) -> Self {
        Self { out, view, gap: false, begun: false }
    }

    /// How it is written.
    #[must_use]
    pub const fn view(&self) -> View {
        self.view
    }

    /// Leaves a blank line before whatever comes next, if anything came before.
    pub const fn gap(&mut self) {
        self.gap = true;
    }

    /// Writes a heading, with a blank line before it.
    ///
    /// # Errors
    /// The writer's.
    pub fn heading(&mut self, role: Role, text: &str) -> io::Result<()> {
        self.gap();
        if self.view.plain {
            return self.paragraph("", &[(role, &format!("{}:", spoken_heading(text)))]);
        }
        self.paragraph("", &[(role, text)])
    }

    /// Writes a paragraph: the first line begins with `mark`, the others are indented by as much.
    /// Line feeds inside the text begin a new line.
    ///
    /// # Errors
    /// The writer's.
    pub fn paragraph(&mut self, mark: &str, parts: &[(Role, &str)]) -> io::Result<()> {
        self.marked((Role::Plain, mark), parts)
    }

    /// Writes a paragraph whose mark has a role of its own.
    ///
    /// # Errors
    /// The writer's.
    pub fn marked(&mut self, mark: (Role, &str), parts: &[(Role, &str)]) -> io::Result<()> {
        let lead = clean(mark.1).replace('\n', " ");
        if self.view.plain {
            return self.spoken(&lead, parts);
        }
        let indent = textwrap::core::display_width(&lead);
        let mut first = true;
        for line in lines(parts) {
            let width = self.view.width.saturating_sub(indent).max(16);
            for row in wrap(&line, width) {
                self.begin()?;
                if first {
                    self.paint(mark.0, &lead)?;
                } else if !row.is_empty() {
                    write!(self.out, "{:indent$}", "")?;
                }
                first = false;
                for (role, text) in row {
                    self.paint(role, &text)?;
                }
                writeln!(self.out)?;
            }
        }
        Ok(())
    }

    /// A paragraph for a screen reader: one line, its mark in words, nothing told by place.
    fn spoken(&mut self, lead: &str, parts: &[(Role, &str)]) -> io::Result<()> {
        let mut lead = spoken_mark(lead);
        for line in lines(parts) {
            let text: String = line.into_iter().map(|(_, text)| text).collect();
            let text = text.replace('\u{a0}', " ").replace(" · ", "; ");
            self.begin()?;
            writeln!(self.out, "{}{}", std::mem::take(&mut lead), text.trim())?;
        }
        Ok(())
    }

    fn begin(&mut self) -> io::Result<()> {
        if self.gap && self.begun {
            writeln!(self.out)?;
        }
        self.gap = false;
        self.begun = true;
        Ok(())
    }

    fn paint(&mut self, role: Role, text: &str) -> io::Result<()> {
        let style = role.style();
        if self.view.colour && role != Role::Plain && !text.trim().is_empty() {
            write!(self.out, "{style}{text}{style:#}")
        } else {
            self.out.write_all(text.as_bytes())
        }
    }
}

/// What a mark at the beginning of a paragraph says.
fn spoken_mark(lead: &str) -> String {
    match lead.trim() {
        "" | "-" => String::new(),
        "!" => "Caution: ".to_owned(),
        "?" => "Question: ".to_owned(),
        number if number.ends_with('.') => format!("{number} "),
        label => format!("{label}: "),
    }
}

/// Capitals are spelled out by some readers: "DO NOW" becomes "Do now".
fn spoken_heading(text: &str) -> String {
    capital(&text.to_lowercase())
}

/// The parts of each line, cleaned.
fn lines(parts: &[(Role, &str)]) -> Vec<Vec<(Role, String)>> {
    let mut lines = vec![Vec::new()];
    for (role, text) in parts {
        for (at, piece) in clean(text).split('\n').enumerate() {
            if at > 0 {
                lines.push(Vec::new());
            }
            if let Some(line) = lines.last_mut() {
                line.push((*role, piece.to_owned()));
            }
        }
    }
    lines
}

/// One line as the rows it fills.
fn wrap(line: &[(Role, String)], width: usize) -> Vec<Vec<(Role, String)>> {
    let mut words = Vec::new();
    for (role, text) in line {
        let found = textwrap::WordSeparator::AsciiSpace.find_words(text);
        let broken = break_words(found, width);
        words.extend(broken.into_iter().map(|word| Painted { word, role: *role }));
    }
    let columns = f64::from(u16::try_from(width).unwrap_or(u16::MAX));
    wrap_first_fit(&words, &[columns]).into_iter().map(row).collect()
}

/// The words of a row, joined where they have the same role; without the last one's space.
fn row(words: &[Painted<'_>]) -> Vec<(Role, String)> {
    let mut row: Vec<(Role, String)> = Vec::new();
    for (at, painted) in words.iter().enumerate() {
        // A no-break space has done its work by now.
        let mut text = painted.word.word.replace('\u{a0}', " ");
        if at + 1 < words.len() {
            text.push_str(painted.word.whitespace);
        }
        match row.last_mut() {
            Some((role, before)) if *role == painted.role => before.push_str(&text),
            _ => row.push((painted.role, text)),
        }
    }
    row
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::System;

    fn written(width: usize, mark: &str, parts: &[(Role, &str)]) -> String {
        let mut out = Vec::new();
        let view = View { width, colour: false, units: System::Us, plain: false };
        Sheet::new(&mut out, view).paragraph(mark, parts).unwrap();
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn lines_hang_under_their_mark() {
        let text = written(24, " 1. ", &[(Role::Plain, "Switch off the breakers of the pump.")]);
        assert_eq!(text, " 1. Switch off the\n    breakers of the\n    pump.\n");
    }

    #[test]
    fn a_screen_reader_gets_whole_lines_and_marks_in_words() {
        let mut out = Vec::new();
        let view = View { width: 20, colour: false, units: System::Us, plain: true };
        let mut sheet = Sheet::new(&mut out, view);
        sheet.heading(Role::Pressing, "DO NOW").unwrap();
        sheet.paragraph(" 1. ", &[(Role::Plain, "Switch off the breakers of the pump.")]).unwrap();
        sheet.marked((Role::Caution, "    ! "), &[(Role::Plain, "Stand dry.")]).unwrap();
        sheet.marked((Role::Aside, "Read     "), &[(Role::Plain, "pH 7.2 · water 44 °F")]).unwrap();
        let text = String::from_utf8(out).unwrap();
        let wanted = "Do now:\n1. Switch off the breakers of the pump.\nCaution: Stand dry.\nRead: pH 7.2; water 44 °F\n";
        assert_eq!(text, wanted);
    }

    #[test]
    fn long_words_are_broken_and_lines_never_too_wide() {
        let text = written(20, "- ", &[(Role::Plain, "abcdefghijklmnopqrstuvwxyz0123456789")]);
        assert!(text.lines().all(|line| line.len() <= 20), "{text}");
        assert_eq!(text.replace(['\n', ' ', '-'], ""), "abcdefghijklmnopqrstuvwxyz0123456789");
    }

    #[test]
    fn colour_wraps_words_and_nothing_else() {
        let mut out = Vec::new();
        let view = View { width: 60, colour: true, units: System::Us, plain: false };
        let mut sheet = Sheet::new(&mut out, view);
        sheet.paragraph("", &[(Role::Plain, "say "), (Role::Strong, "no\u{1b}[2J")]).unwrap();
        let text = String::from_utf8(out).unwrap();
        assert_eq!(text, "say \u{1b}[1mno[2J\u{1b}[0m\n");
    }
}
