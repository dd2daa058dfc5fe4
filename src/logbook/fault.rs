//! What the storage says, in words of the trade: what happened to the record, and what to do.

use crate::problem::{Code, Problem};
use rusqlite::ErrorCode;

/// The problem behind an error of the storage.
pub(super) fn told(error: &rusqlite::Error) -> Problem {
    let problem = |message: &str, help: &str| {
        Problem::error(Code::File, None, message.to_owned()).help(help.to_owned())
    };
    match error.sqlite_error_code() {
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => problem(
            "another program is writing to the log",
            "nothing was kept; try again in a moment",
        ),
        Some(ErrorCode::DiskFull) => problem(
            "the disk is full",
            "nothing of this was kept, and what the log held is intact; make room and try again",
        ),
        Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => problem(
            "the log cannot be written: its file or folder is read-only",
            "nothing was kept; give another file with `--logbook FILE`",
        ),
        Some(ErrorCode::CannotOpen) => problem(
            "the log cannot be opened to write: its folder is read-only or gone",
            "nothing was kept; give another file with `--logbook FILE`",
        ),
        Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => damaged(None),
        Some(ErrorCode::SystemIoFailure) => {
            Problem::error(Code::File, None, format!("the log's disk failed: {error}"))
                .help("nothing of this was kept; look at the disk")
        }
        _ => Problem::error(Code::File, None, format!("the log refused that: {error}")),
    }
}

/// The file is damaged.
pub(super) fn damaged(what: Option<&str>) -> Problem {
    let message = match what {
        Some(what) => format!("the log is damaged: {what}"),
        None => "the log is damaged, or is no log at all".to_owned(),
    };
    Problem::error(Code::File, None, message).help(
        "it was not touched; `brumal log rescue NEW-FILE` saves what can be read into a new one",
    )
}

/// Something that is not there.
pub(super) fn missing(what: &str, name: &str) -> Problem {
    Problem::error(Code::UnknownName, None, format!("the log has no {what} `{name}`"))
}
