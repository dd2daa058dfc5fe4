//! The chat on a terminal: keys, history, paste. Each test waits for the prompt before it types.

use super::{AT, PROGRAM, home};
use rexpect::session::{PtySession, spawn_command};
use std::path::Path;
use std::process::Command;

/// Opens the chat on a terminal.
fn open(home: &Path, term: &str, arguments: &[&str]) -> PtySession {
    let mut command = Command::new(PROGRAM);
    command.env_clear().env("HOME", home).env("TERM", term).env("COLUMNS", "80");
    command.args(["--at", AT]).args(arguments);
    let mut session = spawn_command(command, Some(20_000)).unwrap();
    session.exp_string("Ctrl-D leaves").unwrap();
    session.exp_string("~ ").unwrap();
    session
}

fn leave(mut session: PtySession) {
    session.send_control('d').unwrap();
    session.exp_eof().unwrap();
    let status = session.process().wait().unwrap();
    assert!(
        format!("{status:?}").contains("Exited") && format!("{status:?}").contains(", 0)"),
        "{status:?}"
    );
}

fn history(home: &Path) -> std::path::PathBuf {
    home.join(".local/state/brumal/history.txt")
}

#[test]
fn what_was_typed_comes_back_with_the_up_key_also_the_next_day() {
    let home = home("history");
    let mut session = open(&home, "xterm", &[]);
    session.send_line("ph 7.2 alk 90").unwrap();
    session.exp_string("90").unwrap();
    session.exp_string("\n").unwrap();
    session.exp_string("~ ").unwrap();
    leave(session);
    let kept = std::fs::read_to_string(history(&home)).unwrap();
    assert!(kept.contains("ph 7.2 alk 90"), "{kept}");
    let mode = std::os::unix::fs::MetadataExt::mode(&std::fs::metadata(history(&home)).unwrap());
    assert_eq!(mode & 0o077, 0, "only its owner may read what was typed: {mode:o}");
    let mut session = open(&home, "xterm", &[]);
    session.send("\u{1b}[A").unwrap();
    session.flush().unwrap();
    session.exp_string("ph 7.2 alk 90").unwrap();
    session.send_control('c').unwrap();
    session.exp_string("~ ").unwrap();
    leave(session);
}

#[test]
fn no_history_leaves_nothing_behind() {
    let home = home("no-history");
    let mut session = open(&home, "xterm", &["--no-history"]);
    session.send_line("ph 7.2").unwrap();
    session.exp_string("\n").unwrap();
    session.exp_string("~ ").unwrap();
    leave(session);
    assert!(!history(&home).exists());
}

#[test]
fn ctrl_c_clears_the_line_and_the_conversation_goes_on() {
    let home = home("ctrl-c");
    let mut session = open(&home, "xterm", &[]);
    session.send("half a mess").unwrap();
    session.flush().unwrap();
    session.exp_string("half a mess").unwrap();
    session.send_control('c').unwrap();
    session.exp_string("~ ").unwrap();
    session.send_line("ph 7.2").unwrap();
    session.exp_string("pH 7.2").unwrap();
    session.exp_string("~ ").unwrap();
    leave(session);
}

#[test]
fn a_paste_of_several_lines_is_one_message() {
    let home = home("paste");
    let mut session = open(&home, "xterm", &[]);
    session.send("\u{1b}[200~ph 7.2\ralk 90\rch 180\u{1b}[201~").unwrap();
    session.flush().unwrap();
    session.exp_string("ch 180").unwrap();
    session.send_line("").unwrap();
    session.exp_string("Read").unwrap();
    let read = session.exp_string("180").unwrap();
    assert!(read.contains("7.2") && read.contains("90"), "{read}");
    session.exp_string("~ ").unwrap();
    leave(session);
    assert_eq!(std::fs::read_to_string(history(&home)).unwrap().matches("alk 90").count(), 1);
}

#[test]
fn a_dumb_terminal_gets_plain_lines() {
    let home = home("dumb");
    let mut session = open(&home, "dumb", &["--no-history"]);
    session.send_line("ph 7.2").unwrap();
    let before = session.exp_string("~ ").unwrap();
    assert!(!before.contains('\u{1b}') && before.trim().len() > 10, "{before:?}");
    session.send_line("quit").unwrap();
    session.exp_eof().unwrap();
}

#[test]
fn a_drill_is_told_asked_answered_and_marked() {
    let home = home("drill");
    let mut command = Command::new(PROGRAM);
    command.env_clear().env("HOME", &home).env("TERM", "xterm").env("COLUMNS", "80");
    command.args(["--at", AT, "drill", "--case", "breaker-keeps-tripping", "--seed", "3"]);
    command.args(["--person", "Ines"]);
    let mut session = spawn_command(command, Some(40_000)).unwrap();
    session.exp_string("CASE 1").unwrap();
    session.exp_string("~ ").unwrap();
    session.send_line("what kind of heater is it?").unwrap();
    session.exp_string("Heater: ").unwrap();
    session.exp_string("~ ").unwrap();
    session.send_line("breakers off and they stay off; plugs out; valves shut").unwrap();
    session.exp_string("Noted.").unwrap();
    session.exp_string("~ ").unwrap();
    session.send_line("").unwrap();
    session.exp_string("RIGHT").unwrap();
    session.exp_string("MISSING").unwrap();
    session.exp_string("ONCE MORE").unwrap();
    session.exp_string("~ ").unwrap();
    session.send_line("I turn the pump on again").unwrap();
    session.exp_string("DANGEROUS").unwrap();
    session.exp_eof().unwrap();
}
