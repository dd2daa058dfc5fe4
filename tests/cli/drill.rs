//! `drill` as its users run it.

use super::{ended, home};
use serde_json::Value;
use std::path::Path;

fn log(test: &str) -> String {
    home(test).join("log.sqlite").to_str().unwrap().to_owned()
}

fn drill(arguments: &[&str], typed: &str) -> (i32, String, String) {
    let mut all = vec!["drill"];
    all.extend(arguments);
    ended(&all, typed.as_bytes())
}

#[test]
fn the_same_seed_tells_the_same_case_whatever_was_practised() {
    let log = log("drill-seed");
    let arguments = ["--seed", "7", "--logbook", &log, "--person", "Ines"];
    let (status, first, _) = drill(&arguments, "breakers off\n\nquit\n");
    assert_eq!(status, 0);
    let (_, second, _) = drill(&arguments, "breakers off\n\nquit\n");
    assert_eq!(first, second);
    let (_, other, _) = drill(&["--seed", "8", "--no-log"], "breakers off\n\nquit\n");
    assert_ne!(first, other);
}

#[test]
fn bad_input_is_refused_with_the_next_step() {
    for (arguments, told) in [
        (vec!["--topic", "pooow", "--no-log"], "no topic is called `pooow`"),
        (vec!["--topic", "powr", "--no-log"], "did you mean `power`?"),
        (vec!["--seed", "abc"], "invalid value 'abc'"),
        (vec!["--seed", "-1"], "-1"),
        (vec!["--minutes", "0"], "0"),
        (vec!["--level", "expert"], "expert"),
        (vec!["--case", "power-gon", "--no-log"], "did you mean `power-gone`?"),
        (vec!["--read", "pumps"], "no topic is called `pumps`"),
        (vec!["--topic", "antifreeze", "--level", "hard", "--case", "x", "--no-log"], "`x`"),
        (vec!["--out", "x.html"], "--progress"),
    ] {
        let (status, out, err) = drill(&arguments, "");
        assert_eq!((status, out.as_str()), (2, ""), "{arguments:?}");
        assert!(err.contains(told), "{arguments:?}: {err}");
    }
    let folder = home("drill-unreadable");
    let file = folder.join("log.sqlite");
    std::fs::write(&file, "this is no log").unwrap();
    let (status, out, err) = drill(&["--logbook", file.to_str().unwrap()], "breakers off\n\n");
    assert_eq!((status, out.as_str()), (1, ""), "{err}");
    assert!(err.contains("the log is damaged") && err.contains("rescue"), "{err}");
    assert_eq!(std::fs::read(&file).unwrap(), b"this is no log");
}

#[test]
fn a_dangerous_step_ends_the_case_with_the_reason_and_the_note() {
    let (status, out, _) = drill(
        &["--case", "pump-dead-at-dawn", "--seed", "2", "--no-log"],
        "turn off the breakers\nthen restart the pump\nopen the plugs\nquit\n",
    );
    assert_eq!(status, 0);
    assert!(out.contains("STOP: THAT IS DANGEROUS") && out.contains("brumal notes show"), "{out}");
    assert!(out.contains("Never start a pump that may hold ice"), "{out}");
}

#[test]
fn to_say_that_one_does_not_do_it_is_right() {
    let (_, out, _) = drill(
        &["--case", "pump-dead-at-dawn", "--seed", "2", "--no-log"],
        "turn off the breakers, don't start the pump\n\nquit\n",
    );
    assert!(!out.contains("DANGEROUS"), "{out}");
}

#[test]
fn what_was_practised_is_kept_shown_and_exported() {
    let log = log("drill-kept");
    let at = |at: &str, arguments: &[&str], typed: &str| {
        let mut all = vec!["drill", "--logbook", &log, "--person", "Ines", "--at", at];
        all.extend(arguments);
        let output = super::program().args(&all).write_stdin(typed.to_owned()).output().unwrap();
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        String::from_utf8(output.stdout).unwrap()
    };
    let right = "stop the pump at its breaker, stand clear and look for a shut valve\nopen the air relief to zero\n\nquit\n";
    at("2026-01-10T19:00:00Z", &["--case", "gauge-far-too-high", "--seed", "1"], right);
    at(
        "2026-01-11T19:00:00Z",
        &["--case", "gauge-far-too-high", "--seed", "2"],
        "nothing\n\nquit\n",
    );
    let shown: Value =
        serde_json::from_str(&at("2026-01-12T19:00:00Z", &["--progress", "--format", "json"], ""))
            .unwrap();
    let skills = shown["skills"].as_array().unwrap();
    let filter = skills.iter().find(|one| one["skill"] == "filter").unwrap();
    assert_eq!((&filter["goes"], &filter["standing"]), (&2.into(), &"due".into()), "{filter}");
    // The second go failed: whatever the curve says, nobody counts on the skill, and nothing says that it sits.
    assert_eq!((&filter["recall"], &filter["passed"]), (&0.0.into(), &1.into()), "{filter}");
    let told = at("2026-01-12T19:00:00Z", &["--progress"], "");
    assert!(told.contains("[..........] ") && told.contains("not passed, due now"), "{told}");
    let calls = shown["readiness"].as_array().unwrap();
    assert!(calls.iter().all(|call| call["share"] == 0.0), "{calls:?}");
    assert_eq!(calls.len(), 5);
    assert!(calls.iter().all(|call| call["ready"] == false));
    let folder = Path::new(&log).parent().unwrap().to_owned();
    for ending in ["html", "csv", "json"] {
        let file = folder.join(format!("ines.{ending}"));
        at("2026-01-12T19:00:00Z", &["--progress", "--out", file.to_str().unwrap()], "");
        let text = std::fs::read_to_string(&file).unwrap();
        assert!(text.contains("filter") || text.contains("gauge"), "{text}");
        assert!(!text.contains("http://") && !text.contains("<script"), "it needs nothing else");
    }
    let (status, _, err) = drill(&["--progress", "--logbook", &log, "--person", "Nobody"], "");
    assert!(status == 2 && err.contains("Ines"), "{err}");
}

#[test]
fn practice_comes_out_of_the_log_and_goes_in_again() {
    let one = log("drill-out");
    let two = log("drill-in");
    drill(
        &["--case", "power-gone", "--seed", "5", "--logbook", &one, "--person", "=Bo"],
        "off\n\nquit\n",
    );
    for (ending, arguments) in [("jsonl", &["--no-log"][..0]), ("csv", &["--csv"][..])] {
        let file = format!("{one}.{ending}");
        let (status, out, err) =
            ended(&[&["log", "export", "--logbook", &one], arguments].concat(), b"");
        assert_eq!(status, 0, "{err}");
        std::fs::write(&file, out).unwrap();
        let (status, _, err) = ended(&["log", "import", &file, "--yes", "--logbook", &two], b"");
        assert_eq!(status, 0, "{err}");
    }
    let progress = ["drill", "--progress", "--person", "=Bo", "--format", "json", "--logbook"];
    let told = |log: &str| ended(&[&progress[..], &[log]].concat(), b"").1;
    assert_eq!(told(&one), told(&two));
    assert!(told(&two).contains("\"goes\":1"), "{}", told(&two));
}

#[test]
fn programs_get_one_object_a_line() {
    let (status, out, _) = drill(
        &["--case", "acid-for-ph", "--seed", "4", "--no-log", "--format", "json"],
        "what is the volume?\n2 gal of muriatic acid\n\nquit\n",
    );
    assert_eq!(status, 0);
    let events: Vec<Value> = out.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert!(events.iter().all(|event| event["schema"] == "brumal.drill/1"));
    let names: Vec<&str> = events.iter().map(|event| event["event"].as_str().unwrap()).collect();
    assert_eq!(names.get(..4).unwrap(), ["case", "heard", "heard", "marks"]);
    assert_eq!(events[3]["amounts"][0]["right"], false, "{out}");
}

#[test]
fn a_path_reads_in_an_order_that_builds_with_three_checks() {
    let (status, out, _) = drill(&["--read", "ice"], "breakers off\nnothing\ncut the power\n");
    assert_eq!(status, 0);
    assert_eq!(out.matches("CHECK").count(), 3, "{out}");
    assert!(out.find("ice#surface-ice") < out.find("ice#ice-in-equipment"), "{out}");
    let (_, json, _) = drill(&["--read", "decision", "--format", "json"], "");
    let path: Value = serde_json::from_str(&json).unwrap();
    assert!(path["minutes"].as_u64().unwrap() <= 11, "{path}");
    assert_eq!(path["checks"].as_array().unwrap().len(), 3);
}

#[test]
fn a_log_of_nobody_offers_what_is_new_in_an_order_that_builds() {
    let log = log("drill-new");
    let (status, out, _) =
        drill(&["--logbook", &log, "--person", "Ines", "--format", "json"], "quit\n");
    assert_eq!(status, 0);
    let case: Value = serde_json::from_str(out.lines().next().unwrap()).unwrap();
    assert_eq!((&case["skill"], &case["level"]), (&"people-first".into(), &"basic".into()));
}

#[test]
fn who_is_at_a_loss_is_told_how_to_go_on_and_a_skipped_case_does_not_come_again() {
    let log = log("drill-at-a-loss");
    let arguments = ["--at", "2026-01-14T19:30:00-05:00", "--logbook", &log, "--person", "Bo"];
    let (status, told, _) = drill(&arguments, "idk\nskip\nquit\n");
    assert_eq!(status, 0);
    assert!(told.contains("No deed was heard in that."), "{told}");
    assert!(!told.contains("Noted."), "{told}");
    let case = |head: &str| {
        let from = told.find(head).unwrap_or_else(|| panic!("{head}: {told}"));
        told.get(from..).unwrap().lines().nth(1).unwrap().to_owned()
    };
    assert_ne!(case("CASE 1"), case("CASE 2"));
}
