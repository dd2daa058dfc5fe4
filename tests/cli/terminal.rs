//! The chat on a terminal: keys, history, paste. Each test waits for the prompt before it types.

use super::{AT, PROGRAM, home};
use rexpect::session::{PtySession, spawn_command};
use std::path::Path;
use std::process::Command;

/// Opens the chat on a terminal.
fn open(home: &Path, term: &str, arguments: &[&str]) -> PtySession {
    let mut command = Command::new(PROGRAM);
    command.env_clear().env("HOME", home).env("TERM", term).env("COLUMNS", "80");
    command.args(["--at", AT, "--no-pages"]).args(arguments);
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
    home.join(".local/share/brumal/history.txt")
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

/// Types a message and gives back what was written up to the next prompt.
fn say(session: &mut PtySession, message: &str, until: &str) -> String {
    session.send_line(message).unwrap();
    let before = session.exp_string(until).unwrap();
    session.exp_string("~ ").unwrap();
    before
}

/// A whole emergency by the keyboard: steps, a word that interrupts, a correction, a what-if, Ctrl-C, the summary.
#[test]
fn an_emergency_is_led_through_step_by_step() {
    let home = home("emergency");
    let mut session = open(&home, "xterm", &["--no-history"]);
    say(&mut session, "pump died about 4, its 19 out and windy, breaker keeps tripping", "DO NOW");
    let first = say(&mut session, "next", "Switch off the breakers");
    assert!(first.contains("STEP 1 OF"), "{first}");
    say(&mut session, "done", "STEP 2 OF");
    say(&mut session, "done", "STEP 3 OF");
    say(&mut session, "cant find the plug", "lowest point");
    let long = say(&mut session, "how long have i got", "An estimate");
    assert!(long.contains("frozen"), "{long}");
    session.send("half a mess").unwrap();
    session.flush().unwrap();
    // With the first letter the hint goes, and the line is drawn anew.
    session.exp_string("alf a mess").unwrap();
    session.send_control('c').unwrap();
    session.exp_string("~ ").unwrap();
    say(&mut session, "sorry, 21 not 19", "21");
    say(&mut session, "where was i", "STEP 3 OF");
    say(&mut session, "what if it drops to 5?", "WHAT IF");
    say(&mut session, "done", "STEP 4 OF");
    let told = say(&mut session, "stop", "not done:");
    assert!(told.contains("WHAT WAS DONE") && told.contains("done: Switch off"), "{told}");
    leave(session);
}

#[test]
fn answers_to_the_open_question_are_offered_and_completed() {
    let home = home("hints");
    let mut session = open(&home, "xterm", &["--no-history"]);
    session.send_line("pump is off, 25 out").unwrap();
    session.exp_string("?  ").unwrap();
    session.exp_string("dunno)").unwrap();
    session.send("dun\t").unwrap();
    session.flush().unwrap();
    session.exp_string("dunno").unwrap();
    session.send_line("").unwrap();
    session.exp_string("All right, without it").unwrap();
    session.exp_string("~ ").unwrap();
    leave(session);
}

#[test]
fn a_screen_reader_gets_words_and_no_signs() {
    let home = home("plain");
    let mut session = open(&home, "xterm", &["--no-history", "--plain"]);
    session.send_line("pump is off, 25 out").unwrap();
    let text = session.exp_string("Question: ").unwrap();
    let answer = text.split_once("Do now:").expect("a heading in words").1;
    assert!(answer.contains("1. Switch off") && answer.contains("Caution: "), "{answer}");
    assert!(!answer.contains('\u{1b}') && !answer.contains('·'), "{answer:?}");
    assert!(!answer.contains('│') && !answer.contains('─'), "{answer:?}");
    session.exp_string("~ ").unwrap();
    leave(session);
}
