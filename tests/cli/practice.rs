//! Whose standards apply: sources that disagree, for a pool at a house and for a public one.

use super::{answered, ended};
use serde_json::Value;

fn json(arguments: &[&str], input: &[u8]) -> Value {
    let arguments = [arguments, &["--format", "json", "--no-log"]].concat();
    serde_json::from_str(&answered(&arguments, input)).unwrap()
}

fn actions(answer: &Value) -> Vec<&str> {
    let actions = answer["actions"].as_array().unwrap();
    actions.iter().map(|action| action["id"].as_str().unwrap()).collect()
}

const STABILIZED: &str = "fc 1.2 cya 40 water 45F ph 7.5";

/// New South Wales, Public Health Regulation 2012, Schedule 1, clause 4: 3.0 mg/L outdoors with cyanuric acid, public
/// pools. Winter habit at a house: 1 mg/L (common practice). One water, two answers.
#[test]
fn the_same_water_passes_at_a_house_and_fails_in_public() {
    let house = json(&["ask", STABILIZED], b"");
    assert!(!actions(&house).contains(&"raise-free-chlorine"), "{:?}", actions(&house));
    assert_eq!(house, json(&["ask", STABILIZED], b""));
    let residential = json(&["ask", STABILIZED, "--practice", "residential"], b"");
    assert_eq!(actions(&house), actions(&residential));
    let public = json(&["ask", STABILIZED, "--practice", "public"], b"");
    assert!(actions(&public).contains(&"raise-free-chlorine"), "{:?}", actions(&public));
    let text = public["findings"].to_string();
    assert!(
        text.contains("New South Wales") && text.contains("3.0") && text.contains("code decides")
    );
    let aim =
        public["facts"].as_array().unwrap().iter().find(|fact| fact["name"] == "chlorine.aim");
    assert_eq!(aim.unwrap()["value"], 4.0);
}

#[test]
fn a_target_lays_the_sources_side_by_side_and_says_which_applies() {
    for (practice, first, last) in [
        (None, "For a residential pool, as this is taken to be:", "For a public pool:"),
        (Some("residential"), "For a residential pool, which this is:", "For a public pool:"),
        (Some("public"), "For a public pool, which this is:", "For a residential pool:"),
    ] {
        let mut arguments = vec!["ask", "what should free chlorine be?"];
        arguments.extend(practice.iter().flat_map(|practice| ["--practice", practice]));
        let answer = json(&arguments, b"");
        let lines: Vec<&str> = answer["replies"][0]["lines"]
            .as_array()
            .unwrap()
            .iter()
            .map(|line| line.as_str().unwrap())
            .collect();
        let at = |head: &str| lines.iter().position(|line| *line == head).unwrap_or(usize::MAX);
        assert!(at(first) < at(last) && at(last) < lines.len(), "{practice:?}: {lines:#?}");
        for body in ["CDC", "New South Wales", "Montana", "Anchorage", "common practice"] {
            assert!(lines.iter().any(|line| line.contains(body)), "{body}: {lines:#?}");
        }
    }
}

#[test]
fn ph_alkalinity_and_cyanuric_acid_name_both_sides_too() {
    for question in ["what should pH be?", "what should alkalinity be?", "what should cya be?"] {
        let text = json(&["ask", question], b"")["replies"].to_string();
        assert!(
            text.contains("For a residential pool") && text.contains("For a public pool:"),
            "{text}"
        );
    }
}

#[test]
fn the_chat_the_stream_and_a_fact_decide_it_as_well() {
    let said = format!("it is a public pool\n{STABILIZED}\n");
    let chat = answered(&["--no-log"], said.as_bytes());
    assert!(chat.contains("A public pool is held to its health code"), "{chat}");
    let line = format!("{{\"id\": \"a\", \"text\": \"{STABILIZED}\"}}\n");
    let answer = |arguments: &[&str]| answered(arguments, line.as_bytes());
    assert!(
        answer(&["stream", "--practice", "public"])
            .contains("public-chlorine-under-stabilized-minimum")
    );
    assert!(!answer(&["stream"]).contains("public-chlorine-under-stabilized-minimum"));
    let fact = json(&["ask", STABILIZED, "--fact", "pool.use=public"], b"");
    assert!(actions(&fact).contains(&"raise-free-chlorine"));
    let (code, _, err) = ended(&["ask", "ph 7.2", "--practice", "commercial"], b"");
    assert_eq!(code, 2);
    assert!(err.contains("residential") && err.contains("public"), "{err}");
}
