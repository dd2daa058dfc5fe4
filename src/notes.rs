//! The reference notes: short sections with their sources, cited as `note#section` and found by words.
//!
//! [`Notes::load`] reads Markdown texts and reports every problem; [`Notes::pack`] makes the bytes that are
//! shipped inside the program (notes and search index), and [`Notes::open`] opens them without building
//! anything. [`Notes::search`] answers a question with the best passages, or with nothing.

mod index;
mod lookup;
mod markdown;
mod pack;
mod said;
mod search;

pub use markdown::{Mark, Note, Section, Source};
pub use search::{Found, Synonyms};

use crate::knowledge::{NoteRef, Passage};
use crate::problem::{Checked, Problem, SourceText};
use index::Words;
use lookup::Lookup;
use said::Said;
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::OnceLock;

/// The file of the pack that holds what the sections say.
const SAID: &str = "said";

/// All the notes, and the index over their sections.
#[derive(Debug)]
pub struct Notes {
    notes: Vec<Note>,
    lookup: Lookup,
    words: Words,
    /// What the sections say, as it was packed.
    packed: Option<&'static [u8]>,
    /// The same, read when the first question comes.
    said: OnceLock<Said>,
}

impl Notes {
    /// Reads the notes among the texts of a knowledge folder (`notes/*.md`, `lookup.toml`) and indexes them in
    /// memory. What cannot be read is left out and reported.
    ///
    /// # Errors
    /// A problem if the index cannot be built.
    pub fn load(texts: &[SourceText]) -> Result<Checked<Self>, Problem> {
        let Checked { value: notes, mut problems } = read(texts);
        let lookup = Lookup::read(texts, &mut problems);
        let words = Words::build(&notes, &lookup)?;
        let value = Self { notes, lookup, words, packed: None, said: OnceLock::new() };
        Ok(Checked { value, problems })
    }

    /// The bytes to ship: notes and index. The same notes give the same bytes.
    ///
    /// # Errors
    /// A problem if the index cannot be built or packed.
    pub fn pack(texts: &[SourceText]) -> Result<Checked<Vec<u8>>, Problem> {
        let Checked { value: notes, mut problems } = read(texts);
        let lookup = Lookup::read(texts, &mut problems);
        let mut files = index::files(&notes, &lookup)?;
        let said = Said::of(&notes, &lookup, &Words::build(&notes, &lookup)?);
        files.push((SAID.to_owned(), said.pack()?));
        let value = pack::pack(&notes, &lookup, files)?;
        Ok(Checked { value, problems })
    }

    /// Opens packed notes. Nothing is copied out of the index and nothing is built.
    ///
    /// # Errors
    /// A problem if the bytes are not a pack of this version.
    pub fn open(packed: &'static [u8]) -> Result<Self, Problem> {
        let (notes, lookup, directory) = pack::unpack(packed)?;
        let packed = directory.file(Path::new(SAID));
        let words = Words::open(directory, &lookup)?;
        Ok(Self { notes, lookup, words, packed, said: OnceLock::new() })
    }

    /// What the sections say.
    fn said(&self) -> &Said {
        let read = || Said::of(&self.notes, &self.lookup, &self.words);
        self.said.get_or_init(|| self.packed.and_then(Said::unpack).unwrap_or_else(read))
    }

    /// Every note, sorted by name.
    #[must_use]
    pub fn notes(&self) -> &[Note] {
        &self.notes
    }

    /// One note by its name.
    #[must_use]
    pub fn note(&self, name: &str) -> Option<&Note> {
        self.notes.iter().find(|note| note.name == name)
    }

    /// Every `note#section` that can be cited.
    #[must_use]
    pub fn section_names(&self) -> BTreeSet<String> {
        section_names(&self.notes)
    }

    /// What a citation leads to.
    #[must_use]
    pub fn passage(&self, to: &NoteRef) -> Option<Passage> {
        let note = self.note(to.note())?;
        let section = note.sections.iter().find(|section| section.name == to.section())?;
        Some(note.passage(section))
    }

    /// The sections of all notes in order: what the index numbers.
    fn at(&self, ordinal: usize) -> Option<(&Note, &Section)> {
        self.notes
            .iter()
            .flat_map(|note| note.sections.iter().map(move |section| (note, section)))
            .nth(ordinal)
    }
}

/// The notes among the texts of a knowledge folder, without an index: for checking citations.
#[must_use]
pub fn read(texts: &[SourceText]) -> Checked<Vec<Note>> {
    let mut problems = Vec::new();
    let mut notes = Vec::new();
    for source in texts {
        let Some(name) =
            source.name.strip_prefix("notes/").and_then(|file| file.strip_suffix(".md"))
        else {
            continue;
        };
        notes.extend(markdown::read_note(source, name, &mut problems));
    }
    notes.sort_by(|a: &Note, b: &Note| a.name.cmp(&b.name));
    Checked { value: notes, problems }
}

/// Every `note#section` name of some notes.
#[must_use]
pub fn section_names(notes: &[Note]) -> BTreeSet<String> {
    notes
        .iter()
        .flat_map(|note| note.sections.iter().map(move |s| format!("{}#{}", note.name, s.name)))
        .collect()
}
