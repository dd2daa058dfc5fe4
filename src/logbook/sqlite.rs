//! The record in one SQLite file: WAL, full durability, foreign keys, readable by its owner alone.

mod amend;
mod backup;
mod dates;
mod keep;
mod open;
mod pools;
mod practice;
mod rescue;
mod rows;
mod transfer;
mod visits;

pub use rescue::{Rescued, rescue};

use super::fault::told;
use crate::problem::Problem;
use rusqlite::{Connection, Transaction, TransactionBehavior};

/// A record in an SQLite file, or in memory.
#[derive(Debug)]
pub struct Sqlite {
    connection: Connection,
}

impl Sqlite {
    /// Runs a change that is kept whole or not at all, and is on the disk when this returns.
    fn change<T>(
        &self,
        change: impl FnOnce(&Transaction<'_>) -> Result<T, Problem>,
    ) -> Result<T, Problem> {
        let begun = Transaction::new_unchecked(&self.connection, TransactionBehavior::Immediate);
        let transaction = begun.map_err(|error| told(&error))?;
        let value = change(&transaction)?;
        transaction.commit().map_err(|error| told(&error))?;
        Ok(value)
    }

    /// Runs reads that all see one state.
    fn look<T>(
        &self,
        look: impl FnOnce(&Connection) -> Result<T, rusqlite::Error>,
    ) -> Result<T, Problem> {
        look(&self.connection).map_err(|error| told(&error))
    }
}
