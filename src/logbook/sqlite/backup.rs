//! Copies of a record that is in use.

use super::super::fault::{damaged, told};
use super::Sqlite;
use super::open::make_private;
use crate::problem::{Code, Problem};
use rusqlite::Connection;
use rusqlite::backup::Backup;
use std::path::Path;
use std::time::Duration;

/// Copies a database page by page into a new file, and looks at the copy.
pub(super) fn copy_to(from: &Connection, to: &Path) -> Result<(), Problem> {
    if to.exists() {
        let message = format!("`{}` is there already", to.display());
        return Err(Problem::error(Code::File, None, message)
            .help("a copy never overwrites a file: give another name"));
    }
    make_private(to)?;
    let copied = || -> Result<String, rusqlite::Error> {
        let mut copy = Connection::open(to)?;
        Backup::new(from, &mut copy)?.run_to_completion(1000, Duration::from_millis(1), None)?;
        // A copy is one file, without the log of writes that the source may have.
        copy.pragma_update_and_check(None, "journal_mode", "DELETE", |_| Ok(()))?;
        copy.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))
    };
    let failed = match copied() {
        Ok(found) if found == "ok" => return Ok(()),
        Ok(found) => damaged(Some(&found)),
        Err(error) => told(&error),
    };
    // Half a copy is worse than none.
    let _ = std::fs::remove_file(to);
    Err(failed)
}

impl Sqlite {
    /// Writes a copy into a new file.
    pub(super) fn copy(&self, to: &Path) -> Result<(), Problem> {
        copy_to(&self.connection, to)
    }
}
