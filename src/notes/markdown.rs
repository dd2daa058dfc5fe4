//! One note: front matter between `+++` lines, then `##` sections that each end with a line of sources.

mod body;
mod front;

use crate::knowledge::Passage;
use crate::problem::{Code, Problem, SourceText, Span};
use serde::{Deserialize, Serialize};

/// How a source was checked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Mark {
    /// The text was seen.
    Read,
    /// Another party was seen quoting it.
    SecondHand,
    /// Not published: worked out here.
    Computed,
    /// Remembered, not seen.
    FromMemory,
    /// A habit of the trade without a published authority.
    CommonPractice,
}

impl Mark {
    /// Every mark.
    pub const ALL: [Self; 5] =
        [Self::Read, Self::SecondHand, Self::Computed, Self::FromMemory, Self::CommonPractice];

    /// The mark in words, as the files have it.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Read => "read",
            Self::SecondHand => "second-hand",
            Self::Computed => "computed",
            Self::FromMemory => "from memory",
            Self::CommonPractice => "common practice",
        }
    }
}

/// A source of a note.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Source {
    /// Its key inside the note.
    pub key: String,
    /// Body, document, year, section.
    pub text: String,
    /// How it was checked.
    pub mark: Mark,
}

impl Source {
    /// Its words as an answer has them: a document without a year is named without saying so.
    fn shown(&self) -> String {
        let known = self.text.split(", ").filter(|part| *part != "undated");
        known.collect::<Vec<_>>().join(", ")
    }
}

/// A section: the smallest thing that is cited and found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Section {
    /// Its name in a citation: the heading in lower case with dashes.
    pub name: String,
    /// Its heading.
    pub title: String,
    /// Its paragraphs, with a blank line between.
    pub text: String,
    /// Other words by which people ask for it; they help the search and are not shown.
    pub asked: Vec<String>,
    /// The keys of its sources, in the order given.
    pub sources: Vec<String>,
}

/// A note.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Note {
    /// Its name in a citation: the file's name.
    pub name: String,
    /// Its title.
    pub title: String,
    /// What it is about, in a sentence.
    pub summary: String,
    /// Its sources.
    pub sources: Vec<Source>,
    /// Its sections, in order.
    pub sections: Vec<Section>,
}

impl Note {
    /// One of its sections as a passage, with its sources in words.
    #[must_use]
    pub fn passage(&self, section: &Section) -> Passage {
        let sources: Vec<String> = section
            .sources
            .iter()
            .filter_map(|key| self.sources.iter().find(|source| source.key == *key))
            .map(|source| match source.mark {
                Mark::Read => source.shown(),
                mark => format!("{} ({})", source.shown(), mark.words()),
            })
            .collect();
        Passage {
            note: self.name.clone(),
            section: section.name.clone(),
            title: section.title.clone(),
            text: section.text.clone(),
            source: sources.join("; "),
        }
    }
}

/// Reads one note. `name` is the file's name without folder and ending.
pub(super) fn read_note(
    source: &SourceText,
    name: &str,
    problems: &mut Vec<Problem>,
) -> Option<Note> {
    let Some((front, body)) = split(&source.text) else {
        problems.push(
            Problem::error(
                Code::Syntax,
                Some(source.place(Span::new(0, 0))),
                "the note has no front matter",
            )
            .help("begin with a `+++` line, then title, summary and [sources], then `+++`"),
        );
        return None;
    };
    let front = front::read_front(source, front, problems);
    let sections = body::read_sections(source, body, &front.sources, problems);
    warn_of_unused(source, &front, &sections, problems);
    let (title, summary) = (front.title, front.summary);
    let sources = front.sources.into_iter().map(|(source, _)| source).collect();
    Some(Note { name: name.to_owned(), title, summary, sources, sections })
}

/// The spans of front matter and body.
fn split(text: &str) -> Option<(Span, Span)> {
    let start = text.find('\n')? + 1;
    if text.get(..start)?.trim_end() != "+++" {
        return None;
    }
    let mut at = start;
    for line in text.get(start..)?.split_inclusive('\n') {
        if line.trim_end() == "+++" {
            return Some((Span::new(start, at), Span::new(at + line.len(), text.len())));
        }
        at += line.len();
    }
    None
}

fn warn_of_unused(
    source: &SourceText,
    front: &front::Front,
    sections: &[Section],
    problems: &mut Vec<Problem>,
) {
    for (entry, span) in &front.sources {
        if !sections.iter().any(|section| section.sources.contains(&entry.key)) {
            problems.push(
                Problem::warning(
                    Code::Unused,
                    Some(source.place(*span)),
                    format!("no section names the source `{}`", entry.key),
                )
                .help("name it in a `Sources:` line or take it out"),
            );
        }
    }
}

/// The name of a section by its heading: lower case, dashes between words.
pub(super) fn slug(heading: &str) -> String {
    let words: Vec<String> = heading
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    words.join("-")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_heading_names_its_section() {
        assert_eq!(slug("First ten minutes"), "first-ten-minutes");
        assert_eq!(slug("  What 40 °F means? "), "what-40-f-means");
    }
}
