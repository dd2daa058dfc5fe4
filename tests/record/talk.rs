//! The record in use: pools by a sentence, visits kept on a word, questions answered from the log.

use super::folder;
use crate::cli::{answered, brumal, ended};
use std::path::Path;

pub(super) fn logbook(test: &str) -> String {
    folder(test).join("log.sqlite").to_str().unwrap().to_owned()
}

fn at<'a>(time: &'a str, file: &'a str, rest: &[&'a str]) -> Vec<&'a str> {
    let mut arguments = vec!["--at", time, "--logbook", file];
    arguments.extend(rest);
    arguments
}

/// What it wrote with its own clock.
pub(super) fn said(time: &str, file: &str, rest: &[&str], input: &str) -> String {
    let output = crate::cli::program()
        .args(at(time, file, rest))
        .env("USER", "ida")
        .write_stdin(input)
        .output()
        .unwrap();
    let (out, err) =
        (String::from_utf8(output.stdout).unwrap(), String::from_utf8(output.stderr).unwrap());
    assert!(output.status.success(), "{rest:?}: {err}");
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

pub(super) const MONDAY: &str = "2026-01-12T10:00:00-05:00";
pub(super) const THURSDAY: &str = "2026-01-15T10:00:00-05:00";

pub(super) fn quarry(file: &str) {
    let told = "Quarry Lane 9, 18k gal plaster, salt system, heat pump, sand filter, spillover spa";
    said("2025-10-01T08:00:00-05:00", file, &["pool", "add", told], "");
}

#[test]
fn a_pool_is_taken_on_by_a_sentence_and_listed_as_the_contract_says() {
    let file = logbook("sentence");
    quarry(&file);
    let list: serde_json::Value = serde_json::from_str(&answered(
        &["--logbook", &file, "pool", "list", "--format", "json"],
        b"",
    ))
    .unwrap();
    assert_eq!(list["schema"], "brumal.pools/1");
    let facts = &list["pools"][0]["facts"];
    assert_eq!(list["pools"][0]["name"], "Quarry Lane 9");
    assert_eq!(facts["pool.surface"], "plaster");
    assert_eq!(facts["sanitizer.method"], "salt-cell");
    assert_eq!(facts["spa.attached"], true);
    // 18,000 US gallons of 3.785412 L (NIST SP 811, 2008, appendix B.8).
    assert!((facts["pool.volume"].as_f64().unwrap() - 68137.416).abs() < 0.01);
}

/// A pool's name is no wish, although it has the word of one.
#[test]
fn a_pool_called_lower_wants_nothing_lowered() {
    let file = logbook("lower");
    let told = "Glebe Farm Lower, 18k gal plaster, liquid chlorine";
    said("2025-10-01T08:00:00-05:00", &file, &["pool", "add", told], "");
    let reading = said(MONDAY, &file, &[], "glebe farm lower, ph 7.5, alk 70\n");
    assert!(!reading.contains("muriatic acid"), "{reading}");
    let wish = said(MONDAY, &file, &[], "glebe farm lower, ph 7.9, alk 70, lower the ph to 7.5\n");
    assert!(wish.contains("muriatic acid"), "{wish}");
}

#[test]
fn the_chat_offers_and_keeps_on_a_word_and_everything_else_keeps_nothing() {
    let file = logbook("offer");
    quarry(&file);
    let told = "quarry lane 9: ph 7.2 alk 90, added 2 lb of bicarb, brushed today\n";
    let offered = said(MONDAY, &file, &[], told);
    assert!(offered.contains("Say \"keep it\""), "{offered}");
    assert!(said(MONDAY, &file, &["ask", told.trim()], "").contains("pH 7.2"));
    assert!(said(MONDAY, &file, &["log", "show", "quarry"], "").contains("No visits"));
    let kept = said(MONDAY, &file, &[], &format!("{told}keep it\nkeep it\n"));
    assert!(
        kept.contains("Kept in the log of Quarry Lane 9")
            && kept.contains("Already kept in the log of Quarry Lane 9")
    );
    let shown = said(MONDAY, &file, &["log", "show", "quarry"], "");
    assert!(shown.contains("pH 7.2") && shown.contains("added 2 lb bicarbonate"), "{shown}");
    assert!(shown.contains("done: Brush") && shown.contains("ida"), "{shown}");
    said(THURSDAY, &file, &["ask", "--log", "quarry lane 9: ph 7.4"], "");
    assert!(said(THURSDAY, &file, &["log", "show", "quarry"], "").contains("pH 7.4"));
    let none = said(THURSDAY, &file, &["ask", "--no-log", "quarry lane 9: ph 7.4"], "");
    assert!(!none.contains("On file"), "{none}");
}

/// An emergency that was led through is a visit too: what was done and what was not stands in the log after "stop".
#[test]
fn what_was_done_of_the_steps_is_kept_after_they_are_stopped() {
    let file = logbook("steps");
    quarry(&file);
    let led =
        "quarry lane 9: pump died, breaker is fine, 19 out\nwalk me through it\ndone\nskip\nstop\n";
    let offered = said(MONDAY, &file, &[], led);
    assert!(offered.contains("Say \"keep it\""), "{offered}");
    assert!(said(MONDAY, &file, &["log", "show", "quarry"], "").contains("No visits"));
    let kept = said(MONDAY, &file, &[], &format!("{led}keep it\n"));
    assert!(kept.contains("Kept in the log of Quarry Lane 9"), "{kept}");
    let shown = said(MONDAY, &file, &["log", "show", "quarry"], "").to_lowercase();
    assert!(shown.contains("breaker"), "what was done: {shown}");
    assert!(shown.contains("not confirmed") || shown.contains("not done"), "{shown}");
    assert!(shown.contains("pump stopped"), "{shown}");
}

#[test]
fn what_was_taken_back_or_left_is_not_kept_and_leaving_it_is_said() {
    let file = logbook("taken-back");
    quarry(&file);
    said(MONDAY, &file, &["pool", "add", "Mill Race Lodge, 12k gal vinyl"], "");
    let kept = said(MONDAY, &file, &[], "quarry lane 9: alk 90\nph 7.2\nforget that\nkeep it\n");
    assert!(kept.contains("Kept in the log of Quarry Lane 9: total alkalinity 90 mg/L."), "{kept}");
    assert!(!said(MONDAY, &file, &["log", "show", "quarry"], "").contains("pH"));
    let left =
        said(MONDAY, &file, &[], "quarry lane 9: ph 7.2\nmill race lodge: ph 7.5\nkeep it\n");
    assert!(left.contains("Not kept for Quarry Lane 9: pH 7.2."), "{left}");
    assert!(left.contains("Kept in the log of Mill Race Lodge: pH 7.5."), "{left}");
}

/// What is told of pools that the log does not have never comes into the log of one that it has.
#[test]
fn readings_of_strangers_are_kept_in_no_log() {
    let file = logbook("strangers");
    quarry(&file);
    let talk = "quarry lane 9: fc 1\nabel pool: ph 7.2. bell pool: ph 7.8\nkeep it\nquarry lane 9: alk 90\nkeep it\n";
    let told = said(MONDAY, &file, &[], talk);
    assert!(told.contains("Not kept: the log has no pool \"bell\""), "{told}");
    assert!(told.contains("Kept in the log of Quarry Lane 9: total alkalinity 90"), "{told}");
    assert!(!said(MONDAY, &file, &["log", "show", "quarry"], "").contains("pH"));
}

#[test]
fn nothing_doubtful_is_kept() {
    let file = logbook("doubt");
    quarry(&file);
    said(MONDAY, &file, &["ask", "--log", "quarry lane 9: ph 74"], "");
    assert!(said(MONDAY, &file, &["log", "show", "quarry"], "").contains("No visits"));
    let (status, _, told) =
        ended(&at(MONDAY, &file, &["--pool", "quarry", "log", "add", "ph 74"])[2..], b"");
    assert_eq!(status, 2, "{told}");
    assert!(told.contains("doubtful"), "{told}");
    let kept = said(MONDAY, &file, &[], "quarry lane 9: ph 74\nyes\nkeep it\n");
    assert!(kept.contains("Kept in the log"), "{kept}");
    assert!(said(MONDAY, &file, &["log", "show", "quarry"], "").contains("pH 7.4"));
}

#[test]
fn fresh_readings_join_with_their_age_and_stale_ones_are_said_to_be_stale() {
    let file = logbook("age");
    quarry(&file);
    said(MONDAY, &file, &["--pool", "quarry", "log", "add", "ph 7.2 alk 90 fc 1 water 44"], "");
    let text = crate::cli::program()
        .args(at(THURSDAY, &file, &["ask", "quarry lane 9, ch 180", "--format", "json"]))
        .output()
        .unwrap();
    let answer: serde_json::Value = serde_json::from_slice(&text.stdout).unwrap();
    let from = |name: &str| {
        let facts = answer["facts"].as_array().unwrap();
        facts.iter().find(|fact| fact["name"] == name).map(|fact| fact["from"].clone())
    };
    assert_eq!(from("water.ph").unwrap(), "logbook");
    assert_eq!(from("pool.volume").unwrap(), "profile");
    assert_eq!(from("water.calcium_hardness").unwrap(), "message");
    assert_eq!(from("water.temperature"), None, "three days old, and good for one");
    let told = answer["replies"].to_string();
    assert!(told.contains("Too old to go by") && told.contains("44 °F (3 days old)"), "{told}");
}

#[test]
fn questions_are_answered_from_the_log() {
    let file = logbook("recall");
    quarry(&file);
    let told = "ph 7.2 alk 90, added 2 lb bicarb, backwashed today";
    said(MONDAY, &file, &["--pool", "quarry", "log", "add", told], "");
    let ask = |text: &str| said(THURSDAY, &file, &["ask", text], "");
    assert!(
        ask("what did I add last week at Quarry Lane 9?").contains("Mon 12 January 2026: 2 lb")
    );
    assert!(
        ask("when was the filter last cleaned at quarry lane 9?")
            .contains("12 January 2026, 3 days")
    );
    assert!(
        ask("what was the ph at Quarry Lane 9 last time?").contains("Mon 12 January 2026: pH 7.2")
    );
    let same = said(THURSDAY, &file, &["--pool", "quarry"], "same as last time\nkeep it\n");
    assert!(same.contains("As on 12 January 2026") && same.contains("Kept in the log"), "{same}");
    assert!(
        said(THURSDAY, &file, &["log", "show", "quarry", "--last", "1"], "").contains("15 Jan")
    );
}

#[test]
fn what_is_told_in_passing_is_kept_with_how_it_was_measured() {
    let file = logbook("passing");
    quarry(&file);
    let told = "at Quarry Lane 9: ph 7.2, fc 2 by strip, 14 psi on the gauge. photo pad-north.JPG\n\
                brushed, emptied the baskets, not vacuumed; tested the freeze sensor\n\
                1.2 in of rain since monday\nadded a quart of acid\nkeep it\n";
    let kept = said(MONDAY, &file, &[], told);
    assert!(!kept.contains("Not read"), "{kept}");
    let visits: serde_json::Value = serde_json::from_str(&said(
        MONDAY,
        &file,
        &["log", "show", "quarry", "--format", "json"],
        "",
    ))
    .unwrap();
    let visit = &visits["visits"][0];
    assert_eq!(visits["visits"].as_array().unwrap().len(), 1, "{visits}");
    let reading = |fact: &str| {
        let all = visit["readings"].as_array().unwrap();
        all.iter().find(|one| one["fact"] == fact).cloned().unwrap()
    };
    assert_eq!(reading("water.ph")["method"], "strip");
    assert_eq!(reading("filter.pressure")["method"], "gauge");
    // An inch is 25.4 mm (NIST SP 811, 2008, appendix B.8).
    assert!((reading("weather.rain_depth")["value"].as_f64().unwrap() - 30.48).abs() < 1e-9);
    assert_eq!(visit["tasks"], serde_json::json!(["baskets", "brush", "freeze-sensor-test"]));
    assert_eq!(visit["photos"], serde_json::json!(["pad-north.JPG"]));
    assert_eq!(visit["additions"][0]["percent"], 31.45);
    assert_eq!(visit["who"], "ida");
}

/// By hand: 1 quart is 0.946 L, and a half gallon 1.893 L (NIST SP 811, 2008, appendix B.8).
#[test]
fn the_log_adds_up_what_went_in_and_keeps_to_the_calendar() {
    let file = logbook("sums");
    quarry(&file);
    said(MONDAY, &file, &["pool", "add", "Mill Road 3, 20k gal vinyl, cartridge filter"], "");
    let add = |time: &str, text: &str| {
        said(time, &file, &["--pool", "mill road", "log", "add", text], "")
    };
    add("2025-12-30T10:00:00-05:00", "added a quart of acid");
    add("2026-01-05T10:00:00-05:00", "added a quart of acid, added 2 lb bicarb");
    let washed = add(MONDAY, "added half a gallon of acid, cleaned the filter");
    assert!(washed.contains("Take the cartridge out and wash it"), "{washed}");
    let ask = |text: &str| said(THURSDAY, &file, &["--units", "si", "ask", text], "");
    let month = ask("how much acid has Mill Road had this month?");
    assert!(month.contains("2.8 L muriatic acid of 31.45 %, 2 times"), "{month}");
    assert!(!month.contains("30 December"), "{month}");
    let week = ask("what did I add last week at Mill Road?");
    assert!(week.contains("Mon 5 to Sun 11 January 2026: Mon 5 January 2026: 1 quart"), "{week}");
    assert!(week.contains("Since then: Mon 12 January 2026"), "{week}");
    let cleaned = ask("when was the filter last cleaned at Mill Road?");
    assert!(cleaned.contains("Take the cartridge out") && cleaned.contains("3 days ago"));
    let wish = ask("mill road 3: how much acid do I need to add?");
    assert!(!wish.contains("From the log") && !wish.contains("FROM THE LOG"), "{wish}");
}

#[test]
fn a_question_about_another_pool_mixes_up_no_readings() {
    let file = logbook("mixed");
    quarry(&file);
    said(MONDAY, &file, &["pool", "add", "Mill Road 3, 20k gal vinyl"], "");
    let talk = "quarry lane 9: ph 7.9\nwhat did i add last week at mill road?\nalk 90\nkeep it\n\
                what did i add last week at mill road?\nfc 2\nkeep it\n";
    let told = said(MONDAY, &file, &[], talk);
    assert!(
        told.contains("Kept in the log of Quarry Lane 9: pH 7.9, total alkalinity 90"),
        "{told}"
    );
    assert!(told.contains("Kept in the log of Mill Road 3: free chlorine 2 mg/L."), "{told}");
    let (_, last) = told.rsplit_once("Pool Mill Road 3 Read free chlorine 2 mg/L").unwrap();
    assert!(!last.contains("pH 7.9"), "{last}");
}

#[test]
fn the_latest_visits_of_the_whole_round_are_shown_without_a_name() {
    let file = logbook("latest");
    quarry(&file);
    said(MONDAY, &file, &["pool", "add", "Mill Road 3, 20k gal vinyl"], "");
    said(MONDAY, &file, &["--pool", "quarry", "log", "add", "ph 7.2"], "");
    said(THURSDAY, &file, &["--pool", "mill rd", "log", "add", "ph 7.5"], "");
    let shown = said(THURSDAY, &file, &["log", "show", "--last", "5"], "");
    let (mill, quarry) = (shown.find("Mill Road 3 Thu"), shown.find("Quarry Lane 9 Mon"));
    assert!(mill.is_some() && mill < quarry, "{shown}");
}

#[test]
fn two_pools_that_fit_are_asked_about() {
    let file = logbook("which");
    quarry(&file);
    said(MONDAY, &file, &["pool", "add", "Quarry Lane 11, 12k gal vinyl"], "");
    let told = said(MONDAY, &file, &["ask", "quarry lane, ph 7.9"], "");
    assert!(told.contains("Which one is it: Quarry Lane 11, or Quarry Lane 9?"), "{told}");
    let (status, _, told) = ended(&["--logbook", &file, "pool", "show", "quarry"], b"");
    assert_eq!(status, 2);
    assert!(told.contains("fits 2 pools") && told.contains("`Quarry Lane 9`"), "{told}");
    let shown = said(MONDAY, &file, &["pool", "show", "qarry 11"], "");
    assert!(shown.contains("Quarry Lane 11"), "a slip of the finger: {shown}");
}

#[test]
fn a_table_of_another_making_is_shown_first_and_taken_in_whole() {
    let file = logbook("table");
    quarry(&file);
    let table = Path::new(&file).with_file_name("old.csv");
    std::fs::write(&table, "Date,Site,pH,Water temp (F),Free Cl,Remarks\n2026-01-02,Quarry Lane 9,7.4,41,1.5,ok\n01/05/2026,quarry lane 9,7.5,40,,\"snow, ice\"\n").unwrap();
    let table = table.to_str().unwrap();
    let map = ["--map", "Free Cl=water.free_chlorine"];
    let import = |more: &[&str]| {
        let mut rest = vec!["log", "import", table];
        rest.extend(map);
        rest.extend(more);
        said(MONDAY, &file, &rest, "")
    };
    let shown = import(&[]);
    assert!(
        shown.contains("Water temp (F) water.temperature") && shown.contains("2 records would"),
        "{shown}"
    );
    assert!(said(MONDAY, &file, &["log", "show", "quarry"], "").contains("No visits"));
    assert!(import(&["--yes"]).contains("2 visits"));
    assert!(import(&["--yes"]).contains("0 visits"), "known already");
    let log = said(MONDAY, &file, &["log", "show", "quarry"], "");
    assert!(log.contains("water temperature 41 °F") && log.contains("free chlorine 1.5"), "{log}");
    std::fs::write(
        table,
        "Date,Site,pH\n2026-01-06,Quarry Lane 9,7.4\n2026-01-07,Quarry Lane 9,74\n",
    )
    .unwrap();
    let output = brumal(&["--logbook", &file, "log", "import", table, "--yes"]).output().unwrap();
    assert_eq!(output.status.code(), Some(1));
    assert!(!said(THURSDAY, &file, &["log", "show", "quarry"], "").contains("6 Jan"));
}

#[test]
fn a_new_user_has_no_pools_and_that_is_no_mistake() {
    let home = folder("new-user");
    let said = |rest: &[&str]| {
        let output = crate::cli::program().args(rest).env("HOME", &home).output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{rest:?}");
        String::from_utf8(output.stdout).unwrap()
    };
    assert_eq!(
        said(&["pool", "list", "--format", "json"]),
        "{\"schema\":\"brumal.pools/1\",\"pools\":[]}\n"
    );
    assert!(said(&["due"]).contains("No pools in the log yet"));
    said(&["ask", "ph 7.2"]);
    assert_eq!(std::fs::read_dir(&home).unwrap().count(), 0, "looking makes no file");
}

/// What was read at one pool is never offered for the log of another, however its name is typed.
#[test]
fn a_part_of_a_name_calls_its_pool_and_a_stranger_is_asked_about() {
    let file = logbook("called");
    quarry(&file);
    for name in ["Glebe Farm (east)", "Glebe Farm (west)", "The Old Rectory", "Café Lumière"] {
        said(MONDAY, &file, &["pool", "add", &format!("{name}, 20k gal vinyl")], "");
    }
    let talk = "quarry: ph 7.8, added a pint and a half of acid\nkeep it\ncafe lumiere pH 7.6\nkeep it\n\
                old rectory: alk 60\nkeep it\nglebe farm ph 7.1\nkeep it\n\
                glebe farm west, alk 70\nkeep it\n";
    let told = said(MONDAY, &file, &[], talk);
    for kept in [
        "Quarry Lane 9: pH 7.8, added 1.5 pint muriatic acid.",
        "Café Lumière: pH 7.6.",
        "The Old Rectory: total alkalinity 60 mg/L.",
        "Glebe Farm (west): pH 7.1, total alkalinity 70 mg/L.",
    ] {
        assert!(told.contains(&format!("Kept in the log of {kept}")), "{kept}: {told}");
    }
    assert!(told.contains("Which one is it: Glebe Farm (east), or Glebe Farm (west)?"));
    assert!(told.contains("Not kept: say which pool it is"), "{told}");
    let strange = said(MONDAY, &file, &[], "quarry: ph 7.5\nkeep it\no'hares alk 80\n");
    assert!(strange.contains("The log knows no pool \"o'hares\""), "{strange}");
    let asked = said(THURSDAY, &file, &["ask", "when were we last at the rectory?"], "");
    assert!(asked.contains("Mon 12 January 2026 (ida): total alkalinity 60"), "{asked}");
    said(THURSDAY, &file, &["ask", "--log", "--pool", "quarry", "o'hares ph 7.2"], "");
    assert!(!said(THURSDAY, &file, &["log", "show", "quarry"], "").contains("pH 7.2"));
}

/// Somebody in danger asks: a log that cannot be opened, and that nobody named, keeps no answer back.
#[test]
fn an_answer_does_not_wait_for_a_damaged_log() {
    let home = folder("damaged-home");
    let data = home.join(".local/share/brumal");
    std::fs::create_dir_all(&data).unwrap();
    std::fs::write(data.join("log.sqlite"), "no log at all").unwrap();
    let run = |args: &[&str]| crate::cli::program().env("HOME", &home).args(args).output().unwrap();
    let answered = run(&["ask", "mixed acid and chlorine, there is a cloud"]);
    let told = String::from_utf8(answered.stderr).unwrap();
    assert!(answered.status.success() && !answered.stdout.is_empty(), "{told}");
    assert!(told.contains("answered without the log") && told.contains("rescue"), "{told}");
    assert_eq!(run(&["ask", "--log", "ph 7.4"]).status.code(), Some(1));
    assert_eq!(run(&["log", "show"]).status.code(), Some(1));
    assert_eq!(std::fs::read(data.join("log.sqlite")).unwrap(), b"no log at all");
}
