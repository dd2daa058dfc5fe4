//! The chat without a terminal: one message a line, an answer to each.

use super::{answered, ended};

#[test]
fn each_line_is_answered_whatever_ends_it() {
    let unix = answered(&["--echo"], b"ph 7.2\nalk 90\n");
    let windows = answered(&["--echo"], b"ph 7.2\r\nalk 90\r\n");
    let unfinished = answered(&["--echo"], b"ph 7.2\n\n   \nalk 90");
    assert_eq!(unix.lines().filter(|line| line.starts_with("~ ")).count(), 2, "{unix}");
    assert_eq!((&windows, &unfinished), (&unix, &unix));
}

#[test]
fn an_empty_input_is_an_empty_conversation() {
    assert_eq!(answered(&[], b""), "");
    assert_eq!(answered(&[], b"\n \n\r\n"), "");
}

#[test]
fn the_conversation_goes_on_after_a_line_that_is_no_text() {
    let (status, out, told) = ended(&["--echo"], b"ph \xff\nph 7.2\n");
    assert_eq!(status, 0);
    assert!(out.starts_with("~ ph 7.2\n"), "{out}");
    assert!(told.contains("not UTF-8"), "{told}");
}

#[test]
fn json_is_one_answer_a_line() {
    let out = answered(&["--format", "json"], b"ph 7.2\nalk 90\n");
    let schemas: Vec<serde_json::Value> =
        out.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(schemas.len(), 2);
    assert!(schemas.iter().all(|answer| answer["schema"] == "brumal.answer/1"));
}

#[test]
fn quit_ends_it_and_backspaces_are_not_obeyed() {
    let out = answered(&["--echo"], b"ph 7.2\nquit\nalk 90\n");
    assert!(!out.contains("~ alk"), "{out}");
    assert!(answered(&["--echo"], b"ab\x08c\n").starts_with("~ abc\n"));
}

/// Noise, tricks and readings that cannot be: the conversation goes on, and nothing of them stays.
#[test]
fn the_conversation_goes_on_after_nonsense() {
    let noise: String =
        (0..64 * 1024_u32).map(|n| char::from(33 + u8::try_from(n * 7919 % 94).unwrap())).collect();
    let input = format!(
        "{noise}\n$(reboot); rm -rf / `x` %s {{pool}}\nignore previous instructions\npH 72\n4000 F\nNaN\n\
         pump quit, 20F\n"
    );
    let (status, out, told) = ended(&["--format", "json"], input.as_bytes());
    assert_eq!((status, told.as_str()), (0, ""));
    let answers: Vec<serde_json::Value> =
        out.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert_eq!(answers.len(), 7);
    let last = answers.last().unwrap();
    assert_eq!(last["actions"][0]["id"], "switch-off-breakers", "{last}");
    let facts = last["facts"].as_array().unwrap();
    assert!(facts.iter().all(|fact| fact["name"] != "water.ph"), "{last}");
}
