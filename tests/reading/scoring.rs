//! The scorer of readings.

use brumal::facts::Value;
use brumal::knowledge::{Kind, Knowledge};
use brumal::language::{ReadingContext, read};
use brumal::problem::SourceText;
use brumal::units::count;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::path::{Path, PathBuf};

/// One annotated message.
pub struct Line {
    id: String,
    /// The message.
    pub text: String,
    facts: Items,
    supposed: Items,
    asks: BTreeSet<String>,
    absent: Vec<String>,
    optional: Items,
    optional_supposed: Items,
    asks_optional: BTreeSet<String>,
    tags: Vec<String>,
}

type Items = Vec<(String, serde_json::Value)>;

/// Counts of what was right, wrong and missed.
#[derive(Default, Clone, Copy)]
pub struct Score {
    pub lines: usize,
    right: usize,
    /// Facts that nobody said.
    pub wrong: usize,
    missed: usize,
    asks_right: usize,
    asks_wrong: usize,
    asks_missed: usize,
    whole: usize,
    /// Facts that a careless reader would take.
    pub absent: usize,
}

impl Score {
    fn add(&mut self, other: Self) {
        self.lines += other.lines;
        self.right += other.right;
        self.wrong += other.wrong;
        self.missed += other.missed;
        self.asks_right += other.asks_right;
        self.asks_wrong += other.asks_wrong;
        self.asks_missed += other.asks_missed;
        self.whole += other.whole;
        self.absent += other.absent;
    }

    /// Of facts and suppositions.
    pub fn f1(&self) -> f64 {
        f1(self.right, self.wrong, self.missed)
    }

    /// Of facts, suppositions and asks together.
    fn f1_all(&self) -> f64 {
        f1(
            self.right + self.asks_right,
            self.wrong + self.asks_wrong,
            self.missed + self.asks_missed,
        )
    }
}

fn f1(right: usize, wrong: usize, missed: usize) -> f64 {
    let all = 2 * right + wrong + missed;
    if all == 0 { 1.0 } else { 2.0 * count(right) / count(all) }
}

impl fmt::Display for Score {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{:>4} lines  F1 {:.3}  with asks {:.3}  whole {:>3.0} %  (right {} wrong {} missed {}, absent {})",
            self.lines,
            self.f1(),
            self.f1_all(),
            100.0 * count(self.whole) / count(self.lines.max(1)),
            self.right,
            self.wrong,
            self.missed,
            self.absent,
        )
    }
}

/// The scores of a set.
pub struct Total {
    pub whole: Score,
    pub by_tag: BTreeMap<String, Score>,
    pub misses: Vec<String>,
}

impl fmt::Display for Total {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.whole.fmt(f)
    }
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// The words of the knowledge: vocabulary and lexicon.
pub fn load() -> Knowledge {
    Knowledge::load(&texts()).value
}

/// What is wrong with the words of the knowledge.
pub fn problems() -> Vec<String> {
    Knowledge::load(&texts()).problems.iter().map(ToString::to_string).collect()
}

fn texts() -> Vec<SourceText> {
    let mut texts = Vec::new();
    let mut add = |path: &Path, name: String| {
        texts.push(SourceText { name, text: std::fs::read_to_string(path).unwrap() });
    };
    add(&root().join("knowledge/vocabulary.toml"), "vocabulary.toml".to_owned());
    let mut files: Vec<_> = std::fs::read_dir(root().join("knowledge/lexicon"))
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    files.sort();
    for path in files {
        add(&path, format!("lexicon/{}", path.file_name().unwrap().to_str().unwrap()));
    }
    texts
}

/// The lines of a set.
pub fn lines(file: &str) -> Vec<Line> {
    let text = std::fs::read_to_string(root().join("tests/messages").join(file)).unwrap();
    text.lines().filter(|line| !line.trim().is_empty()).map(line).collect()
}

fn line(text: &str) -> Line {
    let json: serde_json::Value =
        serde_json::from_str(text).unwrap_or_else(|e| panic!("{e}: {text}"));
    let items = |key: &str| {
        let mut items = Items::new();
        for (name, value) in json.get(key).and_then(|v| v.as_object()).into_iter().flatten() {
            match value.as_array() {
                Some(list) => items.extend(list.iter().map(|v| (name.clone(), v.clone()))),
                None => items.push((name.clone(), value.clone())),
            }
        }
        items
    };
    let names = |key: &str| -> Vec<String> {
        json.get(key)
            .and_then(|v| v.as_array())
            .into_iter()
            .flatten()
            .map(|v| v.as_str().unwrap().to_owned())
            .collect()
    };
    Line {
        id: json["id"].as_str().unwrap().to_owned(),
        text: json["text"].as_str().unwrap().to_owned(),
        facts: items("facts"),
        supposed: items("supposed"),
        asks: names("asks").into_iter().collect(),
        absent: names("absent"),
        optional: items("optional"),
        optional_supposed: items("optional_supposed"),
        asks_optional: names("asks_optional").into_iter().collect(),
        tags: names("tags"),
    }
}

/// What the program read of a message: stated and supposed facts, one item a value.
fn readings(text: &str, knowledge: &Knowledge) -> (Items, Items, BTreeSet<String>) {
    let reading = read(text, &ReadingContext::default(), knowledge);
    let (mut stated, mut supposed) = (Items::new(), Items::new());
    for fact in &reading.facts {
        let span = fact.span.unwrap();
        assert_eq!(text.get(span.start..span.end), Some(fact.given.as_str()), "span in {text:?}");
        let def = knowledge.vocabulary.get(fact.id).unwrap();
        let into = if fact.supposed { &mut supposed } else { &mut stated };
        let mut push = |value| into.push((def.name.clone(), value));
        match (&def.kind, fact.value) {
            (Kind::Number { .. }, Value::Number(n)) => push(serde_json::json!(n)),
            (_, Value::Flag(flag)) => push(serde_json::json!(flag)),
            (_, value) => {
                for n in value.choices().unwrap().iter() {
                    push(serde_json::json!(def.values()[n]));
                }
            }
        }
    }
    (stated, supposed, reading.asks.iter().map(|ask| ask.name().to_owned()).collect())
}

fn same(gold: &serde_json::Value, got: &serde_json::Value) -> bool {
    match (gold.as_f64(), got.as_f64()) {
        (Some(gold), Some(got)) => (gold - got).abs() <= (0.015 * gold.abs()).max(0.06),
        _ => gold.is_null() || gold == got,
    }
}

fn has(items: &Items, name: &str, value: &serde_json::Value) -> bool {
    items.iter().any(|(other, gold)| other == name && same(gold, value))
}

fn compare(
    gold: &Items,
    optional: &Items,
    got: &Items,
    miss: &mut String,
) -> (usize, usize, usize) {
    let (mut right, mut wrong, mut missed) = (0, 0, 0);
    for (name, value) in gold {
        if got.iter().any(|(other, read)| other == name && same(value, read)) {
            right += 1;
        } else {
            missed += 1;
            miss.push_str(&format!("  −{name}={value}"));
        }
    }
    for (name, value) in got {
        if !has(gold, name, value) && !has(optional, name, value) {
            wrong += 1;
            miss.push_str(&format!("  +{name}={value}"));
        }
    }
    (right, wrong, missed)
}

/// Scores a set.
pub fn score(lines: &[Line], knowledge: &Knowledge) -> Total {
    let mut total = Total { whole: Score::default(), by_tag: BTreeMap::new(), misses: Vec::new() };
    for line in lines {
        let (stated, supposed, asks) = readings(&line.text, knowledge);
        let mut miss = String::new();
        let facts = compare(&line.facts, &line.optional, &stated, &mut miss);
        let mut optional = line.optional_supposed.clone();
        optional.extend(line.optional.iter().cloned());
        let ifs = compare(&line.supposed, &optional, &supposed, &mut miss);
        let allowed: BTreeSet<_> = line.asks.union(&line.asks_optional).cloned().collect();
        let extra: Vec<_> = asks.difference(&allowed).collect();
        let lacking: Vec<_> = line.asks.difference(&asks).collect();
        if !(extra.is_empty() && lacking.is_empty()) {
            miss.push_str(&format!("  asks −{lacking:?} +{extra:?}"));
        }
        let absent = line.absent.iter().filter(|name| stated.iter().any(|(n, _)| n == *name));
        let absent = absent.count();
        if absent > 0 {
            miss.push_str("  ABSENT");
        }
        let one = Score {
            lines: 1,
            right: facts.0 + ifs.0,
            wrong: facts.1 + ifs.1,
            missed: facts.2 + ifs.2,
            asks_right: line.asks.intersection(&asks).count(),
            asks_wrong: extra.len(),
            asks_missed: lacking.len(),
            whole: usize::from(miss.is_empty()),
            absent,
        };
        total.whole.add(one);
        for tag in &line.tags {
            total.by_tag.entry(tag.clone()).or_default().add(one);
        }
        if !miss.is_empty() {
            total.misses.push(format!("{} {:?}{miss}", line.id, line.text));
        }
    }
    total
}
