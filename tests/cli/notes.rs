//! `notes`: search, show and list the reference notes, and what it says to bad input.

use super::{answered, ended};
use serde_json::Value;

fn json(arguments: &[&str]) -> Value {
    let text = answered(&[arguments, &["--format", "json"]].concat(), b"");
    assert_eq!(text.lines().count(), 1, "one object a line");
    serde_json::from_str(&text).unwrap()
}

#[test]
fn a_search_gives_the_passage_with_its_source() {
    let text = answered(
        &["notes", "search", "why", "do", "salt", "cells", "quit", "in", "the", "cold"],
        b"",
    );
    let first = text.lines().next().unwrap();
    assert_eq!(first.trim(), "-  Why they stop in the cold [salt-cells#why-they-stop-in-the-cold]");
    assert!(text.contains("Source: Pool trade, salt cells in winter"), "{text}");
    assert!(!text.contains("undated"), "{text}");
    let found = json(&["notes", "search", "why do salt cells quit in the cold"]);
    assert_eq!(found["schema"], "brumal.notes/1");
    let best = &found["passages"][0];
    assert_eq!(best["note"], "salt-cells");
    assert_eq!(best["section"], "why-they-stop-in-the-cold");
    for key in ["title", "text", "source"] {
        assert!(best[key].as_str().is_some_and(|text| !text.is_empty()), "{key}");
    }
}

#[test]
fn outside_the_field_it_has_nothing() {
    let text = answered(&["notes", "search", "who", "painted", "the", "Mona", "Lisa"], b"");
    assert_eq!(text.trim(), "The notes have nothing on that.");
    assert_eq!(
        json(&["notes", "search", "who painted the Mona Lisa"])["passages"],
        serde_json::json!([])
    );
}

#[test]
fn a_note_or_one_section_is_shown() {
    let whole = json(&["notes", "show", "pump-failure"]);
    let sections = whole["passages"].as_array().unwrap();
    assert!(
        sections.len() >= 5 && sections.iter().all(|section| section["note"] == "pump-failure")
    );
    let one = json(&["notes", "show", "pump-failure#first-ten-minutes"]);
    assert_eq!(one["passages"].as_array().unwrap().len(), 1);
    let text = answered(&["notes", "show", "pump-failure#first-ten-minutes"], b"");
    assert!(text.contains("switch off the breakers"), "{text}");
}

#[test]
fn the_list_names_every_section_and_each_can_be_shown() {
    let text = answered(&["notes", "list"], b"");
    let all = json(&["notes", "list"]);
    let all = all["passages"].as_array().unwrap();
    assert!(all.len() >= 60, "{} sections", all.len());
    for passage in all {
        let name = format!(
            "{}#{}",
            passage["note"].as_str().unwrap(),
            passage["section"].as_str().unwrap()
        );
        assert!(text.contains(&name), "{name}");
        assert!(!passage["source"].as_str().unwrap().is_empty(), "{name} has no source");
    }
}

#[test]
fn bad_input_gets_a_plain_error_or_nothing() {
    for (arguments, status, told) in [
        (&["notes", "show", "pump-failur"][..], 1, "`pump-failure`"),
        (&["notes", "show", "pump-failure#frist-ten-minutes"], 1, "first-ten-minutes"),
        (&["notes", "show", ""], 1, "no note or section"),
        (&["notes", "show", "../../etc/passwd"], 1, "no note or section"),
        (&["notes", "search", ""], 1, "no word to search for"),
        (&["notes", "search", " \t?!"], 1, "no word to search for"),
        (&["notes", "search"], 2, "WORDS"),
        (&["notes"], 2, "Usage"),
        (&["notes", "sarch", "ice"], 2, "search"),
    ] {
        let (code, out, err) = ended(arguments, b"");
        assert_eq!(code, status, "{arguments:?}: {err}");
        assert!(err.contains(told), "{arguments:?}: {err}");
        assert!(out.is_empty(), "{arguments:?}: {out}");
        assert!(!err.contains("panicked"), "{err}");
    }
}

#[test]
fn control_characters_and_long_questions_do_no_harm() {
    let (code, _, err) = ended(&["notes", "show", "ice\u{1b}[31m\u{7}"], b"");
    assert_eq!(code, 1);
    assert!(!err.contains('\u{1b}') && !err.contains('\u{7}'), "{err:?}");
    let text = answered(&["notes", "search", "salt cell\u{1b}[2J cold"], b"");
    assert!(text.contains("salt-cells#") && !text.contains('\u{1b}'), "{text:?}");
    let long = "salt cells quit in the cold ".repeat(400);
    assert!(long.len() > 10_000);
    assert!(answered(&["notes", "search", &long], b"").contains("[salt-cells#"));
    let noise = "\u{fe0f}\u{202e}é".repeat(3000);
    answered(&["notes", "search", &noise], b"");
}
