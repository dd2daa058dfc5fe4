//! The program as its users run it: arguments in, bytes and exit status out.

mod ask;
mod chat;
mod dose;
mod drill;
mod new_fact;
mod night;
mod notes;
mod practice;
#[cfg(unix)]
mod resize;
mod rules;
mod season;
mod setup;
mod stream;
#[cfg(unix)]
mod terminal;

use assert_cmd::Command;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// The moment that tests answer by.
pub(crate) const AT: &str = "2026-01-14T06:40:00-05:00";

/// The program.
pub(crate) const PROGRAM: &str = env!("CARGO_BIN_EXE_brumal");

/// An empty home for one test.
pub(crate) fn home(test: &str) -> PathBuf {
    let home = Path::new(env!("CARGO_TARGET_TMPDIR")).join("home").join(test);
    if home.exists() {
        std::fs::remove_dir_all(&home).unwrap();
    }
    std::fs::create_dir_all(&home).unwrap();
    home
}

/// The program with a fixed width and nothing of the surrounding environment.
pub(crate) fn program() -> Command {
    let mut command = Command::new(PROGRAM);
    command.env_clear().env("COLUMNS", "80").env("HOME", env!("CARGO_TARGET_TMPDIR"));
    command.timeout(Duration::from_secs(60));
    command
}

/// The program with a fixed clock too.
pub(crate) fn brumal(arguments: &[&str]) -> Command {
    let mut command = program();
    command.args(["--at", AT]).args(arguments);
    command
}

/// What it wrote to standard output; it must have ended in 0 and said nothing else.
pub(crate) fn answered(arguments: &[&str], input: &[u8]) -> String {
    let output = brumal(arguments).write_stdin(input).output().unwrap();
    let told = String::from_utf8(output.stderr).unwrap();
    assert_eq!((output.status.code(), told.as_str()), (Some(0), ""), "{arguments:?}");
    String::from_utf8(output.stdout).unwrap()
}

/// The exit status, standard output and standard error.
pub(crate) fn ended(arguments: &[&str], input: &[u8]) -> (i32, String, String) {
    let output = brumal(arguments).write_stdin(input).output().unwrap();
    let status = output.status.code().expect("ended by itself, not by a signal");
    (status, String::from_utf8(output.stdout).unwrap(), String::from_utf8(output.stderr).unwrap())
}
