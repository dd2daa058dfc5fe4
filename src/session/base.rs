//! What every conversation stands on: the compiled rule base and the notes, loaded once.

use crate::engine::Network;
use crate::figures;
use crate::knowledge::{Knowledge, read_folder};
use crate::language::PoolNames;
use crate::problem::{Problem, Severity};
use crate::units::System;
use std::path::Path;

/// The knowledge and what is made of it, shared by all conversations.
#[derive(Debug)]
pub struct Base {
    /// The rules and calculators, compiled.
    pub network: Network,
}

/// How answers are given.
#[derive(Debug, Clone, Default)]
pub struct Settings {
    /// Units of the answers, and the habit by which bare temperatures are read.
    pub units: System,
    /// Names of the pools that are known.
    pub pools: Option<PoolNames>,
}

impl Base {
    /// The knowledge in a folder.
    ///
    /// # Errors
    /// Every problem of the folder, if one of them is an error.
    pub fn from_folder(folder: &Path) -> Result<Self, Vec<Problem>> {
        let texts = read_folder(folder)?;
        let loaded = Knowledge::load(&texts);
        let problems = loaded.problems;
        if problems.iter().any(|problem| problem.severity == Severity::Error) {
            return Err(problems);
        }
        let calculators = figures::all(&loaded.value);
        Ok(Self { network: Network::new(loaded.value, calculators)? })
    }

    /// The knowledge.
    #[must_use]
    pub const fn knowledge(&self) -> &Knowledge {
        self.network.knowledge()
    }
}
