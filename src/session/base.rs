//! What every conversation stands on: the compiled rule base and the notes, loaded once.

use crate::engine::Network;
use crate::figures;
use crate::knowledge::{Knowledge, read_folder};
use crate::language::PoolNames;
use crate::notes::Notes;
use crate::problem::{Code, Problem, Severity, SourceText};
use crate::units::System;
use std::path::Path;

/// The knowledge that was checked and packed when the program was built.
static KNOWLEDGE: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/knowledge.pack"));
/// The notes with their index, packed when the program was built.
static NOTES: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/notes.pack"));

/// The knowledge and what is made of it, shared by all conversations.
#[derive(Debug)]
pub struct Base {
    /// The rules and calculators, compiled.
    pub network: Network,
    /// The reference notes.
    pub notes: Notes,
}

/// How answers are given.
#[derive(Debug, Clone, Default)]
pub struct Settings {
    /// Units of the answers, and the habit by which bare temperatures are read.
    pub units: System,
    /// Names of the pools that are known.
    pub pools: Option<PoolNames>,
    /// Plans are computed only where a message asks for one; otherwise whatever a report calls for is computed too.
    pub plans_when_asked: bool,
}

impl Base {
    /// The knowledge inside the program.
    ///
    /// # Errors
    /// A problem if what was packed cannot be opened, which is a fault of the build.
    pub fn packed() -> Result<Self, Vec<Problem>> {
        let knowledge: Knowledge = postcard::from_bytes(KNOWLEDGE).map_err(|why| {
            vec![Problem::error(
                Code::File,
                None,
                format!("the packed knowledge cannot be opened: {why}"),
            )]
        })?;
        let notes = Notes::open(NOTES).map_err(|problem| vec![problem])?;
        let calculators = figures::all(&knowledge);
        Ok(Self { network: Network::new(knowledge, calculators)?, notes })
    }

    /// The knowledge in a folder.
    ///
    /// # Errors
    /// Every problem of the folder, if one of them is an error.
    pub fn from_folder(folder: &Path) -> Result<Self, Vec<Problem>> {
        Self::from_texts(&read_folder(folder)?)
    }

    /// The knowledge in some texts.
    ///
    /// # Errors
    /// Every problem of the texts, if one of them is an error.
    pub fn from_texts(texts: &[SourceText]) -> Result<Self, Vec<Problem>> {
        let loaded = Knowledge::load(texts);
        let notes = Notes::load(texts).map_err(|problem| vec![problem])?;
        let mut problems = loaded.problems;
        problems.extend(notes.problems);
        if problems.iter().any(|problem| problem.severity == Severity::Error) {
            return Err(problems);
        }
        let calculators = figures::all(&loaded.value);
        Ok(Self { network: Network::new(loaded.value, calculators)?, notes: notes.value })
    }

    /// The knowledge.
    #[must_use]
    pub const fn knowledge(&self) -> &Knowledge {
        self.network.knowledge()
    }
}
