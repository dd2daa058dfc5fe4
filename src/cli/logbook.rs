//! Where the record lies, and how it is opened.

use super::args::Common;
use super::exit::Failure;
use super::surroundings::{Surroundings, environment, private_folder};
use crate::logbook::{Found, PoolRecord, Sqlite, Store, find_pool};
use crate::problem::{Code, Problem};
use crate::render::clean;
use etcetera::BaseStrategy;
use std::path::{Path, PathBuf};

/// What keeps the record. Another kind of store would be named here, and nowhere else.
pub(super) type Log = Sqlite;

/// A record that is gone in the end, to try an import with.
pub(super) fn trial() -> Result<Log, Failure> {
    Log::in_memory().map_err(Failure::told)
}

/// The file: that of `--logbook`, or the one in the user's folder for data.
pub(super) fn file(common: &Common) -> Option<PathBuf> {
    common.logbook.clone().or_else(|| {
        let folders = etcetera::choose_base_strategy().ok()?;
        Some(folders.data_dir().join("brumal").join("log.sqlite"))
    })
}

fn named(common: &Common) -> Result<PathBuf, Failure> {
    file(common).ok_or_else(|| {
        let problem = Problem::error(Code::File, None, "no folder for data is known here");
        Failure::told(problem.help("name the log with `--logbook FILE`"))
    })
}

fn refuse_no_log(common: &Common) -> Result<(), Failure> {
    if !common.no_log {
        return Ok(());
    }
    let problem = Problem::error(Code::Value, None, "`--no-log` leaves nothing to work on here");
    Err(Failure::usage(problem.help("leave `--no-log` out")))
}

/// Opens the record to write into it; makes it if it is not there.
pub(super) fn to_write(common: &Common) -> Result<Log, Failure> {
    refuse_no_log(common)?;
    let file = named(common)?;
    if file == Path::new(":memory:") {
        return Log::in_memory().map_err(Failure::told);
    }
    if common.logbook.is_none()
        && let Some(folder) = file.parent()
    {
        private_folder(folder)?;
    }
    Log::open(&file).map_err(Failure::told)
}

/// Opens the record to read from it.
pub(super) fn to_read(common: &Common) -> Result<Log, Failure> {
    refuse_no_log(common)?;
    let file = named(common)?;
    // Nobody has kept anything yet: that is an empty record, and no mistake.
    let none_yet = common.logbook.is_none() && !file.exists();
    if none_yet || file == Path::new(":memory:") {
        return Log::in_memory().map_err(Failure::told);
    }
    Log::open_to_read(&file).map_err(Failure::told)
}

/// The record for a conversation: to write with `--log`, to read if there is one, none with `--no-log`.
pub(super) fn for_talk(common: &Common, offers: bool) -> Result<Option<Log>, Failure> {
    if common.no_log {
        return Ok(None);
    }
    if common.log {
        return to_write(common).map(Some);
    }
    let there = common.logbook.is_some() || file(common).is_some_and(|file| file.exists());
    if !there {
        return Ok(None);
    }
    if !offers {
        return to_read(common).map(Some);
    }
    // A log that cannot be written can still be read.
    to_write(common).or_else(|_| to_read(common)).map(Some)
}

/// The record for an answer that must not wait for it: a log that nobody named and that cannot be opened is told, and
/// the answer goes without it.
pub(super) fn for_answer(
    common: &Common,
    offers: bool,
    around: &Surroundings,
) -> Result<Option<Log>, Failure> {
    match for_talk(common, offers) {
        Err(Failure::Told(problem)) if common.logbook.is_none() && !common.log => {
            let help = problem.help.map(|help| format!("; {help}")).unwrap_or_default();
            let message = format!("answered without the log: {}{help}", problem.message);
            around.note(&clean(&message));
            Ok(None)
        }
        opened => opened,
    }
}

/// Who keeps things: `--by`, or the user of this machine.
pub(super) fn who(by: Option<&String>) -> String {
    by.cloned().or_else(|| environment("USER")).unwrap_or_default()
}

/// The one pool that a name means.
pub(super) fn pool_called(store: &dyn Store, name: &str) -> Result<PoolRecord, Failure> {
    let pools = store.pools().map_err(Failure::told)?;
    let problem = match find_pool(&pools, name) {
        Found::One(pool) => return Ok(pool.clone()),
        Found::Several(several) => {
            let names: Vec<String> =
                several.iter().map(|pool| format!("`{}`", pool.name)).collect();
            let message = format!("`{name}` fits {} pools", names.len());
            Problem::error(Code::UnknownName, None, message)
                .help(format!("say which one: {}", names.join(", ")))
        }
        Found::None(near) => {
            let problem =
                Problem::error(Code::UnknownName, None, format!("the log has no pool `{name}`"));
            match near {
                Some(near) => problem.help(format!("did you mean `{}`?", near.name)),
                None => problem.help("`brumal pool list` names them, `brumal pool add` adds one"),
            }
        }
    };
    Err(Failure::usage(problem))
}
