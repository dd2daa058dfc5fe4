//! What every conversation stands on: the knowledge and the notes, loaded once.

use crate::knowledge::{Knowledge, read_folder};
use crate::problem::{Problem, Severity};
use crate::units::System;
use std::path::Path;

/// The knowledge and what is made of it, shared by all conversations.
#[derive(Debug)]
pub struct Base {
    /// The knowledge.
    pub knowledge: Knowledge,
}

/// How answers are given.
#[derive(Debug, Clone, Default)]
pub struct Settings {
    /// Units of the answers, and the habit by which bare temperatures are read.
    pub units: System,
}

impl Base {
    /// The knowledge in a folder.
    ///
    /// # Errors
    /// Every problem of the folder, if one of them is an error.
    pub fn from_folder(folder: &Path) -> Result<Self, Vec<Problem>> {
        let loaded = Knowledge::load(&read_folder(folder)?);
        if loaded.problems.iter().any(|problem| problem.severity == Severity::Error) {
            return Err(loaded.problems);
        }
        Ok(Self { knowledge: loaded.value })
    }
}
