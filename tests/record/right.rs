//! Visits put right afterwards, told in pieces and in passing.

use super::talk::{MONDAY, THURSDAY, logbook, quarry, said};

#[test]
fn what_was_kept_is_put_right_and_the_old_value_stays() {
    let file = logbook("right");
    quarry(&file);
    let told = "quarry lane 9: ph 7.2 alk 90\nkeep it\nsorry, ph was 7.6 not 7.2\nkeep it\n";
    let kept = said(MONDAY, &file, &[], told);
    assert!(kept.contains("Kept in the log of Quarry Lane 9: pH 7.6 instead of 7.2."), "{kept}");
    // Another conversation of the same day, at once.
    said(
        "2026-01-12T15:00:00-05:00",
        &file,
        &["ask", "--log", "quarry lane 9: alk was 80, not 90"],
        "",
    );
    // A second reading without such words is a second reading.
    said("2026-01-12T16:00:00-05:00", &file, &["ask", "--log", "quarry lane 9: alk 100"], "");
    let shown = said(THURSDAY, &file, &["log", "show", "quarry"], "");
    assert!(shown.contains("corrected 2026-01-12 by ida, it said: pH 7.2; sorry, ph was 7.6"));
    assert!(shown.contains("it said: total alkalinity 90 mg/L; quarry lane 9: alk was 80"));
    assert!(shown.contains("pH 7.6, total alkalinity 80 mg/L"), "{shown}");
    assert_eq!(shown.matches("quarry-lane-9.2026").count(), 2, "{shown}");
}

/// By hand: 12 US fluid ounces are 354.88 mL, 21 are 621.04 mL (NIST SP 811, 2008, appendix B.8).
#[test]
fn what_went_in_is_put_right_the_day_after() {
    let file = logbook("right-added");
    quarry(&file);
    let told = "quarry lane 9: ph 7.8, added 21 oz of acid, brushed\nkeep it\n";
    said(MONDAY, &file, &[], told);
    let tuesday = "2026-01-13T10:00:00-05:00";
    let told = "quarry lane 9: correct: it was 12 oz not 21 of acid yesterday\nkeep it\n\
                sorry, i didn't brush yesterday\nkeep it\n";
    let kept = said(tuesday, &file, &[], told);
    assert!(kept.contains("12 fl oz muriatic acid of 31.45 % instead of 21 fl oz"), "{kept}");
    let shown = said(tuesday, &file, &["log", "show", "quarry", "--format", "json"], "");
    let shown: serde_json::Value = serde_json::from_str(&shown).unwrap();
    let visit = &shown["visits"][0];
    assert_eq!(shown["visits"].as_array().unwrap().len(), 1);
    assert_eq!(visit["additions"].as_array().unwrap().len(), 1);
    assert!((visit["additions"][0]["amount"].as_f64().unwrap() - 0.354_88).abs() < 1e-5);
    assert_eq!(visit["tasks"].as_array().unwrap().len(), 0);
    let (acid, brush) = (&visit["corrections"][0], &visit["corrections"][1]);
    assert!((acid["old"].as_f64().unwrap() - 0.621_04).abs() < 1e-5);
    assert_eq!((&acid["part"], &acid["who"]), (&"addition".into(), &"ida".into()));
    assert!(acid["at"].as_str().unwrap().starts_with("2026-01-13"));
    assert!(acid["why"].as_str().unwrap().contains("12 oz not 21"));
    assert_eq!((&brush["part"], &brush["old"]), (&"task".into(), &"done".into()));
    // What the log does not have is not put right in it: it is something new.
    let other = "quarry lane 9: it was 3 lb not 5 of bicarb\n";
    assert!(!said(tuesday, &file, &[], other).contains("instead of"));
}

/// What is told of one visit in several messages is one visit; a second test after a dose is another one.
#[test]
fn one_visit_told_in_pieces_is_one_visit() {
    let file = logbook("pieces");
    quarry(&file);
    let told = "quarry lane 9: ph 7.8\nkeep it\nadded a pint of acid\nkeep it\nbrushed\nkeep it\n\
                ph 7.8\nkeep it\n";
    let kept = said(MONDAY, &file, &[], told);
    assert!(kept.contains("Already in the log of Quarry Lane 9: pH 7.8."), "{kept}");
    let visits = |when: &str| {
        let shown = said(when, &file, &["log", "show", "quarry", "--format", "json"], "");
        let shown: serde_json::Value = serde_json::from_str(&shown).unwrap();
        shown["visits"].as_array().unwrap().clone()
    };
    let first = visits(MONDAY);
    assert_eq!(first.len(), 1);
    assert_eq!(first[0]["additions"].as_array().unwrap().len(), 1);
    assert_eq!(first[0]["tasks"], serde_json::json!(["brush"]));
    said(MONDAY, &file, &["ask", "--log", "quarry lane 9: ph 7.5"], "");
    assert_eq!(visits(MONDAY).len(), 2, "the test after the dose stands by itself");
    said(THURSDAY, &file, &["ask", "--log", "quarry lane 9: skimmed"], "");
    assert_eq!(visits(THURSDAY).len(), 3, "another day is another visit");
}

/// A pool is called by one word of its name, a test whose readings are there was done, and a day is named by its name.
#[test]
fn what_a_technician_says_in_passing_needs_no_form() {
    let file = logbook("passing");
    quarry(&file);
    let told = "O'Hare's, 15k fiberglass salt, purple slide, 16 in of coping";
    let added = said("2025-10-01T08:00:00-05:00", &file, &["pool", "add", told], "");
    assert!(added.contains("pool volume 15,000 gal") && added.contains("sanitizer salt cell"));
    assert!(added.contains("Not read: purple"), "{added}");
    said(MONDAY, &file, &["ask", "--log", "o'hares ph 7.6 fc 0.8 water 41"], "");
    said(MONDAY, &file, &["ask", "--log", "quarry ph 7.2 fc 1"], "");
    let due = said(MONDAY, &file, &["due", "--format", "json"], "");
    let due: serde_json::Value = serde_json::from_str(&due).unwrap();
    let tested = |pool: &str| {
        let pools = due["pools"].as_array().unwrap();
        let items =
            pools.iter().find(|one| one["pool"] == pool).unwrap()["due"].as_array().unwrap();
        items.iter().find(|item| item["task"] == "test").is_none_or(|item| item["last"].is_string())
    };
    assert!(tested("O'Hare's"), "pH, chlorine and temperature are the test");
    assert!(!tested("Quarry Lane 9"), "no temperature was read there");
    let was = said(THURSDAY, &file, &["ask", "what was the ph at o'hares on monday?"], "");
    assert!(was.contains("Mon 12 January 2026: pH 7.6 (ida)."), "{was}");
    let none = said(THURSDAY, &file, &["ask", "what was the ph at o'hares on wednesday?"], "");
    assert!(none.contains("nothing of that for wednesday (Wed 14 January 2026)"), "{none}");
}

/// What went in before the plan was asked for may be part of it.
#[test]
fn a_dose_is_not_told_as_if_nothing_had_gone_in() {
    let file = logbook("already");
    quarry(&file);
    let told = "quarry lane 9: alk 60, ph 7.0, threw in 5 lbs of baking soda";
    let answer = said(MONDAY, &file, &["ask", told], "");
    assert!(answer.contains("DOSE 5 lbs sodium bicarbonate went in already."), "{answer}");
    let without = said(MONDAY, &file, &["ask", "quarry lane 9: alk 60, ph 7.0"], "");
    assert!(!without.contains("went in already"));
}
