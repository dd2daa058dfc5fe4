//! Opening: makes a new file, migrates an older one after a copy, refuses a newer, a damaged, a foreign one.

use super::super::fault::{damaged, told};
use super::super::schema::{APPLICATION, CURRENT, STEPS};
use super::Sqlite;
use super::backup::copy_to;
use crate::problem::{Code, Problem};
use rusqlite::{Connection, OpenFlags, Transaction, TransactionBehavior};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// A writer waits so long for another one.
const PATIENCE: Duration = Duration::from_secs(10);

/// Up to this size the whole file is checked whenever it is opened; a larger one by its outline only, so that a
/// question at the pad need not wait. `backup` and `rescue` look at all of it.
const CHECKED_WHOLE: u64 = 1 << 20;

/// What every SQLite file begins with (sqlite.org, "Database File Format", section 1.3).
const MAGIC: &[u8] = b"SQLite format 3\0";

impl Sqlite {
    /// A record that is gone when it is dropped, for trials.
    ///
    /// # Errors
    /// The storage's.
    pub fn in_memory() -> Result<Self, Problem> {
        let connection = Connection::open_in_memory().map_err(|error| told(&error))?;
        let store = Self { connection };
        store.set_up()?;
        store.migrate(None)?;
        Ok(store)
    }

    /// Opens a record to read from it and write to it; makes the file if it is not there.
    ///
    /// # Errors
    /// A problem if the file is damaged, foreign, newer than this program, or cannot be written.
    pub fn open(path: &Path) -> Result<Self, Problem> {
        make_private(path)?;
        check_outline(path)?;
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection = Connection::open_with_flags(path, flags).map_err(|error| told(&error))?;
        let store = Self { connection };
        store.set_up()?;
        store.refuse_foreign(path)?;
        store.journal()?;
        store.migrate(Some(path))?;
        store.check(path)?;
        Ok(store)
    }

    /// Opens a record that is there already, to read from it. Works in a folder that cannot be written too.
    ///
    /// # Errors
    /// As [`Sqlite::open`], and if there is no such file.
    pub fn open_to_read(path: &Path) -> Result<Self, Problem> {
        if !path.exists() {
            let message = format!("there is no log at `{}`", path.display());
            return Err(Problem::error(Code::File, None, message)
                .help("`brumal pool add` begins one, `brumal demo --logbook FILE` fills one"));
        }
        check_outline(path)?;
        let writable = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        if let Ok(connection) = Connection::open_with_flags(path, writable) {
            let store = Self { connection };
            if store.set_up().and_then(|()| store.version()).is_ok() {
                store.refuse_foreign(path)?;
                store.migrate(Some(path))?;
                store.check(path)?;
                return Ok(store);
            }
        }
        Self::open_unwritable(path)
    }

    /// A file in a folder that cannot be written: SQLite then needs to be told that nobody else writes either.
    fn open_unwritable(path: &Path) -> Result<Self, Problem> {
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY
            | OpenFlags::SQLITE_OPEN_URI
            | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let name = path.to_string_lossy();
        let quoted = name.replace('%', "%25").replace('?', "%3f").replace('#', "%23");
        let uri = format!("file:{quoted}?immutable=1");
        let connection = Connection::open_with_flags(uri, flags).map_err(|error| told(&error))?;
        let store = Self { connection };
        store.set_up()?;
        store.refuse_foreign(path)?;
        if store.version()? < CURRENT {
            let message = "the log is of an older form, and its folder cannot be written";
            return Err(Problem::error(Code::File, None, message)
                .help("copy it to a folder of your own and give it with `--logbook FILE`"));
        }
        store.check(path)?;
        Ok(store)
    }

    fn set_up(&self) -> Result<(), Problem> {
        let connection = &self.connection;
        let set = || -> Result<(), rusqlite::Error> {
            connection.busy_timeout(PATIENCE)?;
            connection.pragma_update(None, "foreign_keys", true)?;
            connection.pragma_update(None, "trusted_schema", false)?;
            connection.pragma_update(None, "synchronous", "FULL")
        };
        set().map_err(|error| told(&error))
    }

    fn journal(&self) -> Result<(), Problem> {
        let set = self.connection.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(()));
        set.map_err(|error| told(&error))
    }

    fn number(&self, pragma: &str) -> Result<i64, Problem> {
        let got = self.connection.pragma_query_value(None, pragma, |row| row.get(0));
        got.map_err(|error| told(&error))
    }

    fn version(&self) -> Result<i64, Problem> {
        self.number("user_version")
    }

    fn refuse_foreign(&self, path: &Path) -> Result<(), Problem> {
        let version = self.version()?;
        let application = self.number("application_id")?;
        let tables: i64 = self
            .connection
            .query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))
            .map_err(|error| told(&error))?;
        if tables > 0 && application != APPLICATION {
            let message = format!("`{}` is a database of another program", path.display());
            return Err(Problem::error(Code::File, None, message)
                .help("it was not touched; give another file with `--logbook FILE`"));
        }
        if version > CURRENT {
            let message = format!(
                "`{}` was written by a newer brumal (form {version}; this one knows up to {CURRENT})",
                path.display()
            );
            return Err(Problem::error(Code::File, None, message).help(
                "it was not touched; use the newer brumal, or another file with `--logbook FILE`",
            ));
        }
        Ok(())
    }

    /// Brings the tables up to date; what was in an older file is copied beside it first.
    fn migrate(&self, path: Option<&Path>) -> Result<(), Problem> {
        let version = self.version()?;
        if version >= CURRENT {
            return Ok(());
        }
        if let (Some(path), true) = (path, version > 0) {
            let copy = copy_name(path, version);
            if !copy.exists() {
                copy_to(&self.connection, &copy)?;
            }
        }
        let begun = Transaction::new_unchecked(&self.connection, TransactionBehavior::Immediate);
        let transaction = begun.map_err(|error| told(&error))?;
        // Another process may have been quicker.
        let version = self.version()?;
        let done = usize::try_from(version).unwrap_or(0);
        let run = || -> Result<(), rusqlite::Error> {
            for step in STEPS.iter().skip(done) {
                transaction.execute_batch(step)?;
            }
            transaction.pragma_update(None, "application_id", APPLICATION)?;
            transaction.pragma_update(None, "user_version", CURRENT.max(version))
        };
        run().map_err(|error| told(&error))?;
        transaction.commit().map_err(|error| told(&error))
    }

    fn check(&self, path: &Path) -> Result<(), Problem> {
        let size = std::fs::metadata(path).map(|meta| meta.len()).unwrap_or(0);
        if size <= CHECKED_WHOLE { self.check_whole() } else { Ok(()) }
    }

    /// Looks at every page.
    ///
    /// # Errors
    /// A problem if one is damaged.
    pub fn check_whole(&self) -> Result<(), Problem> {
        let got =
            self.connection.query_row("PRAGMA quick_check(1)", [], |row| row.get::<_, String>(0));
        match got.map_err(|error| told(&error))?.as_str() {
            "ok" => Ok(()),
            what => Err(damaged(Some(what))),
        }
    }
}

/// The name of a file beside this one.
fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(ending);
    path.with_file_name(name)
}

/// Where the copy of an older file stays.
fn copy_name(path: &Path, version: i64) -> PathBuf {
    beside(path, &format!(".form-{version}"))
}

/// Makes the file for its owner alone, if it is not there.
pub(super) fn make_private(path: &Path) -> Result<(), Problem> {
    let mut options = std::fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        options.mode(0o600);
    }
    match options.open(path) {
        Ok(_) => Ok(()),
        Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => Ok(()),
        // Some systems say first that the folder cannot be written.
        Err(_) if path.exists() => Ok(()),
        Err(error) => {
            let message = format!("`{}` cannot be made: {error}", path.display());
            Err(Problem::error(Code::File, None, message)
                .help("give a file in a folder of your own with `--logbook FILE`"))
        }
    }
}

/// What can be seen without reading it all: that it is a database, and that none of its pages is cut off.
fn check_outline(path: &Path) -> Result<(), Problem> {
    let unreadable = |error: std::io::Error| {
        Problem::error(Code::File, None, format!("`{}` cannot be read: {error}", path.display()))
            .help("look whether it is yours and is a file")
    };
    let mut file = std::fs::File::open(path).map_err(unreadable)?;
    let size = file.metadata().map_err(unreadable)?.len();
    if size == 0 {
        return Ok(());
    }
    let mut header = Vec::new();
    file.by_ref().take(32).read_to_end(&mut header).map_err(unreadable)?;
    if !header.starts_with(MAGIC) {
        return Err(damaged(Some("its beginning is not that of a log")));
    }
    let number = |at: std::ops::Range<usize>| {
        let bytes = header.get(at).unwrap_or_default();
        bytes.iter().fold(0_u64, |sum, byte| sum * 256 + u64::from(*byte))
    };
    let page = match number(16..18) {
        1 => 65536,
        page => page,
    };
    // With a log of writes beside it, pages may still be on their way.
    if size < page * number(28..32) && !beside(path, "-wal").exists() {
        return Err(damaged(Some("it is shorter than it was")));
    }
    Ok(())
}
