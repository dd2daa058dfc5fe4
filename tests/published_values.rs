//! The knowledge against the values that bodies have printed, and a source beside every number.

use crate::published_numbers::{table, texts};
use brumal::knowledge::{Bringer, Knowledge, Range};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
struct Printed {
    id: String,
    fact: String,
    body: String,
    printed: String,
    document: String,
}

/// The clauses of a range that name sources.
fn clauses(range: &Range) -> Vec<&str> {
    let said = range.also.iter().chain(range.by_use.iter().flatten());
    let all = said.map(String::as_str).chain([range.source.as_str()]);
    all.flat_map(|text| text.split("; ")).collect()
}

/// What the table says that the knowledge does not.
fn missing(knowledge: &Knowledge) -> Vec<String> {
    let mut missing = Vec::new();
    for row in table::<Printed>("published_values.csv") {
        let fact = knowledge.vocabulary.find(&row.fact).unwrap();
        let ranges = knowledge.ranges.iter().filter(|range| range.fact == fact);
        let text: Vec<String> = ranges.map(|range| clauses(range).join("; ")).collect();
        if !text.iter().any(|text| text.contains(&row.body) && text.contains(&row.printed)) {
            missing.push(format!("{} {}: {} ({})", row.id, row.fact, row.printed, row.document));
        }
    }
    missing
}

#[test]
fn published_values_stand_in_the_knowledge_as_printed() {
    assert!(table::<Printed>("published_values.csv").len() >= 25);
    let none: Vec<String> = Vec::new();
    assert_eq!(missing(&Knowledge::load(&texts()).value), none);
}

/// A wrong number is found: the test of the test.
#[test]
fn a_wrong_number_is_missed() {
    let mut texts = texts();
    let file = texts.iter_mut().find(|text| text.name == "ranges/sanitizer.toml").unwrap();
    file.text = file.text.replace("3.0 mg/L with cyanuric acid", "2.0 mg/L with cyanuric acid");
    let found = missing(&Knowledge::load(&texts).value);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].starts_with("A1 water.free_chlorine"), "{found:?}");
}

#[test]
fn every_range_and_rule_names_a_source() {
    let knowledge = Knowledge::load(&texts()).value;
    for range in &knowledge.ranges {
        assert!(!range.source.trim().is_empty(), "{}", range.place);
    }
    for rule in &knowledge.rules {
        assert!(!rule.source.trim().is_empty(), "rule {}", rule.id);
    }
}

/// Every fact that people bring can be asked for, is bounded if it is a number, and has words.
#[test]
fn every_fact_that_people_bring_is_whole() {
    let knowledge = Knowledge::load(&texts()).value;
    for (_, def) in knowledge.vocabulary.iter().filter(|(_, def)| def.bringer == Bringer::People) {
        if def.name.starts_with("asked.") {
            continue; // what somebody means to do: read from the question, never asked for
        }
        assert!(!def.title.is_empty() && !def.ask.is_empty(), "{}", def.name);
        if def.unit().is_some() {
            let ((low, high), (least, most)) = (def.plausible.unwrap(), def.possible.unwrap());
            assert!(least <= low && low < high && high <= most, "{}", def.name);
        }
        let words = &def.words;
        let named = !(words.label.is_empty() && words.says.is_empty() && words.done.is_empty());
        assert!(named || !words.about.is_empty() || words.during.is_some(), "{}", def.name);
    }
}
