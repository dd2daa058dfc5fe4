//! The numbers that decide – thresholds of rules, bands, strengths, limits of plans – against the published facts of
//! `reference/README_facts.md`, and a source beside each; what nobody has published is marked as habit.

use brumal::knowledge::{Knowledge, Rule, read_folder};
use brumal::problem::SourceText;
use brumal::units::{convert, find_unit, parse_quantity};
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use std::path::Path;

/// Words by which a source says that no body has published the number.
const UNPUBLISHED: [&str; 6] =
    ["common practice", "from memory", "computed", "by definition", "physics", "mass balance"];

/// Files beside the rules and ranges that hold numbers.
const NUMBERED: [&str; 5] =
    ["dosing.toml", "products.toml", "equipment.toml", "tasks.toml", "winter.toml"];

#[derive(Debug, serde::Deserialize)]
struct Threshold {
    id: String,
    fact: String,
    value: String,
    body: String,
    rules: String,
}

#[derive(Debug, serde::Deserialize)]
struct Number {
    id: String,
    file: String,
    entry: String,
    key: String,
    value: String,
    body: String,
}

fn folder() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

pub(crate) fn texts() -> Vec<SourceText> {
    read_folder(&folder().join("knowledge")).unwrap()
}

pub(crate) fn table<T: DeserializeOwned>(name: &str) -> Vec<T> {
    let file = folder().join("tests/reference").join(name);
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_path(file).unwrap();
    reader.deserialize().map(Result::unwrap).collect()
}

/// Whether two quantities are the same, in whatever units they are written.
fn same(one: &str, other: &str) -> bool {
    let (Ok((a, from)), Ok((b, to))) = (parse_quantity(one), parse_quantity(other)) else {
        return false;
    };
    convert(a, from, to).is_some_and(|a| (a - b).abs() <= 1e-4 * b.abs().max(1.0))
}

/// The plain comparisons of a rule with a number: the fact, and the number as written.
fn thresholds(rule: &Rule) -> Vec<(String, String)> {
    let parts = rule.said.iter().flat_map(|said| said.split(" and ").flat_map(|s| s.split(" or ")));
    parts.filter_map(comparison).collect()
}

fn comparison(part: &str) -> Option<(String, String)> {
    let part = part.trim().trim_start_matches("not ").trim_matches(['(', ')', ' ']);
    let at = part.find(['<', '>'])?;
    let (fact, number) = part.split_at(at);
    let number = number.trim_start_matches(['<', '>', '=']).trim();
    parse_quantity(number).ok()?;
    Some((fact.trim().to_owned(), number.to_owned()))
}

/// The values that the table holds each fact of each rule to, and the bodies to be named.
type Held = BTreeMap<(String, String), Vec<(String, String)>>;

fn held() -> Held {
    let mut held = Held::new();
    for row in table::<Threshold>("published_thresholds.csv") {
        for rule in row.rules.split(' ') {
            let values = held.entry((rule.to_owned(), row.fact.clone())).or_default();
            values.push((row.value.clone(), format!("{} {}", row.id, row.body)));
        }
    }
    held
}

/// Where the rules differ from the table.
fn differing(knowledge: &Knowledge) -> Vec<String> {
    let mut wrong = Vec::new();
    for ((id, fact), rows) in held() {
        let Some(rule) = knowledge.rules.iter().find(|rule| rule.id == id) else {
            wrong.push(format!("no rule is called {id}"));
            continue;
        };
        let written = thresholds(rule);
        let written: Vec<_> = written.iter().filter(|(of, _)| *of == fact).collect();
        for (value, body) in &rows {
            if !written.iter().any(|(_, number)| same(number, value)) {
                wrong.push(format!("{id}: {fact} is nowhere compared with {value} ({body})"));
            }
            let body = body.split_once(' ').unwrap().1;
            if !rule.source.to_lowercase().contains(&body.to_lowercase()) {
                wrong.push(format!("{id}: the source does not name {body} for {fact} {value}"));
            }
        }
        for (_, number) in written {
            if !rows.iter().any(|(value, _)| same(number, value)) {
                wrong.push(format!("{id}: {fact} {number} is not in the table"));
            }
        }
    }
    wrong
}

/// Thresholds that are neither in the table nor marked as published by nobody.
fn unfounded(knowledge: &Knowledge) -> Vec<String> {
    let held = held();
    let mut wrong = Vec::new();
    for rule in &knowledge.rules {
        let marked = UNPUBLISHED.iter().any(|mark| rule.source.to_lowercase().contains(mark));
        for (fact, number) in thresholds(rule) {
            if !marked && !held.contains_key(&(rule.id.clone(), fact.clone())) {
                wrong.push(format!("{}: {fact} {number} ({})", rule.id, rule.source));
            }
        }
    }
    wrong
}

/// One table of a TOML file: its header, what it holds, and the comments and sources beside it.
struct Entry {
    header: String,
    name: String,
    table: toml::Table,
    beside: String,
}

/// The tables of a file; a comment before the first of several tables of one header speaks for all of them.
fn entries(text: &str) -> Vec<Entry> {
    let lines: Vec<&str> = text.lines().collect();
    let is_header = |line: &str| line.starts_with('[') && line.contains(']') && !line.contains(',');
    let heads: Vec<usize> = (0..lines.len()).filter(|at| is_header(lines[*at])).collect();
    // The comments and blank lines right above a header belong to it.
    let begins = |head: usize| {
        let above = lines[..head].iter().rev();
        head - above.take_while(|line| line.is_empty() || line.starts_with('#')).count()
    };
    let (mut entries, mut header, mut heading) = (Vec::new(), "", String::new());
    for (n, head) in heads.iter().enumerate() {
        let name = lines[*head].split(']').next().unwrap().trim_start_matches('[');
        if name != header {
            (header, heading) = (name, String::new());
        }
        heading.push_str(&lines[begins(*head)..*head].join(" "));
        let end = heads.get(n + 1).map_or(lines.len(), |next| begins(*next));
        entries.push(entry(header, &lines[*head..end].join("\n"), &heading));
    }
    entries
}

fn entry(header: &str, chunk: &str, heading: &str) -> Entry {
    let whole: toml::Table = toml::from_str(chunk).unwrap();
    let mut value = toml::Value::Table(whole);
    for key in header.split('.') {
        value = value.get(key).cloned().unwrap();
        if let Some(first) = value.as_array().and_then(|all| all.first()) {
            value = first.clone();
        }
    }
    let table = value.as_table().cloned().unwrap();
    let name = ["id", "fact", "name"].iter().find_map(|key| table.get(*key)?.as_str());
    let name = name.unwrap_or_default().to_owned();
    let mut beside = heading.to_owned();
    beside.extend(chunk.lines().filter_map(|line| line.split_once("# ")).map(|(_, said)| said));
    for (key, value) in &table {
        if key.ends_with("source") || ["also", "residential", "public"].contains(&key.as_str()) {
            beside.push_str(&value.to_string());
        }
    }
    Entry { header: header.to_owned(), name, table, beside }
}

/// Whether a value of a table is the one printed; a key that ends in `_c` is in degrees Celsius.
fn is_printed(key: &str, value: &toml::Value, printed: &str) -> bool {
    let number = |number: f64| {
        if !key.ends_with("_c") {
            return same(&number.to_string(), printed);
        }
        let (printed, from) = parse_quantity(printed).unwrap();
        let printed_c = convert(printed, from, find_unit("°C").unwrap()).unwrap();
        (number - printed_c).abs() <= 0.05 // written to a tenth
    };
    match value {
        toml::Value::Float(float) => number(*float),
        toml::Value::Integer(whole) => number(whole.to_string().parse().unwrap()),
        toml::Value::String(text) => same(text, printed),
        toml::Value::Array(all) => all.iter().any(|value| is_printed(key, value, printed)),
        _ => false,
    }
}

/// Where the other numbers differ from the table.
fn misprinted(texts: &[SourceText]) -> Vec<String> {
    let mut wrong = Vec::new();
    for row in table::<Number>("published_numbers.csv") {
        let text = texts.iter().find(|text| text.name == row.file).unwrap();
        let (header, name) = row.entry.split_once(':').unwrap_or((&row.entry, ""));
        let all = entries(&text.text);
        let mut named = all.iter().filter(|entry| {
            let of_body = entry.beside.to_lowercase().contains(&row.body.to_lowercase());
            entry.header == header && (name.is_empty() || entry.name == name) && of_body
        });
        let right = |entry: &Entry| {
            entry.table.get(&row.key).is_some_and(|value| is_printed(&row.key, value, &row.value))
        };
        if !named.next().is_some_and(right) || !named.all(right) {
            let Number { id, entry, key, value, body, .. } = row;
            wrong.push(format!("{id} {entry}: {key} is not {value} with {body} beside it"));
        }
    }
    wrong
}

fn has_number(value: &toml::Value) -> bool {
    match value {
        toml::Value::Float(_) | toml::Value::Integer(_) => true,
        toml::Value::String(text) => {
            parse_quantity(text).is_ok_and(|_| text.contains(char::is_whitespace))
        }
        toml::Value::Array(all) => all.iter().any(has_number),
        _ => false,
    }
}

#[test]
fn thresholds_of_rules_are_those_published() {
    assert!(held().len() >= 80, "{}", held().len());
    let none: Vec<String> = Vec::new();
    assert_eq!(differing(&Knowledge::load(&texts()).value), none);
}

#[test]
fn a_threshold_that_nobody_has_published_says_so() {
    let none: Vec<String> = Vec::new();
    assert_eq!(unfounded(&Knowledge::load(&texts()).value), none);
}

#[test]
fn numbers_of_the_other_tables_are_those_published() {
    let none: Vec<String> = Vec::new();
    assert_eq!(misprinted(&texts()), none);
}

/// Each table with a number has a source, or a comment that says whence it is.
#[test]
fn every_table_of_numbers_has_its_source_beside_it() {
    let bodies = ["ASTM", "ASME", "calendar", "DOE", "ASHRAE"];
    let mut bare = Vec::new();
    for text in texts().iter().filter(|text| NUMBERED.contains(&text.name.as_str())) {
        for entry in entries(&text.text) {
            let said = entry.beside.to_lowercase();
            let founded = entry.table.keys().any(|key| key.ends_with("source"))
                || UNPUBLISHED.iter().any(|mark| said.contains(mark))
                || bodies.iter().any(|body| entry.beside.contains(body));
            if !founded && entry.table.values().any(has_number) {
                bare.push(format!("{} [{}] {}", text.name, entry.header, entry.name));
            }
        }
    }
    assert_eq!(bare, Vec::<String>::new());
}

/// Wrong numbers and lost sources are found: the test of the tests.
#[test]
fn a_seeded_wrong_number_is_found() {
    let seeded = |file: &str, from: &str, to: &str| {
        let mut texts = texts();
        let text = texts.iter_mut().find(|text| text.name == file).unwrap();
        assert!(text.text.contains(from), "{file}: {from}");
        text.text = text.text.replacen(from, to, 1);
        let knowledge = Knowledge::load(&texts).value;
        [differing(&knowledge), unfounded(&knowledge), misprinted(&texts)].concat()
    };
    for (file, from, to, told) in [
        ("rules/heat-pump.toml", "air.temperature < 50 °F", "air.temperature < 55 °F", "50 °F"),
        ("rules/heat-pump.toml", "US DOE", "somebody", "does not name US DOE"),
        ("rules/practice.toml", "> 0.2 mg/L", "> 0.3 mg/L", "0.2 mg/L"),
        ("ranges/balance.toml", "low = \"7.2\"", "low = \"7.1\"", "A9 range:water.ph"),
        ("products.toml", "31.45 %", "30.45 %", "D5 product:muriatic-acid"),
        ("equipment.toml", "action_c = 4.4444", "action_c = 3.3333", "I1 night: action_c"),
        ("dosing.toml", "breakpoint_ratio = 10", "breakpoint_ratio = 8", "D19 plan"),
    ] {
        let found = seeded(file, from, to);
        assert!(found.iter().any(|line| line.contains(told)), "{file} {to}: {found:?}");
    }
    // The same temperature in the other unit is no mistake.
    let none: Vec<String> = Vec::new();
    assert_eq!(seeded("rules/heat-pump.toml", "< 50 °F", "< 10 °C"), none);
}
