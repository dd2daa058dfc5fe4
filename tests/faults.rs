//! Faults seeded into a copy of the knowledge: each is told with its file, its line, what is wrong and a hint.

use brumal::knowledge::{Knowledge, read_folder};
use brumal::problem::{Problem, SourceText};
use brumal::session::check_texts;
use serde::Deserialize;
use std::path::Path;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Faults {
    fault: Vec<Fault>,
}

/// One fault and what is said of it.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct Fault {
    what: String,
    /// The file that is changed; without one a rule is added.
    file: Option<String>,
    add: String,
    replace: String,
    with: String,
    /// The id of the added rule.
    id: Option<String>,
    when: Option<Vec<String>>,
    derived: String,
    rule: Option<String>,
    source: Option<String>,
    cites: Option<String>,
    /// Without a finding of its own.
    bare: bool,
    examples: Option<bool>,
    /// Whether the examples have to be run to see it.
    run: bool,
    code: String,
    at: String,
    message: String,
    help: String,
}

impl Fault {
    /// The text of an added rule: sound but for the fault.
    fn added(&self) -> String {
        let when = self.when.clone().unwrap_or_else(|| vec!["air.temperature <= 32 °F".to_owned()]);
        let mut text = self.derived.clone();
        let id = self.id.as_deref().unwrap_or("zz-fault");
        text.push_str(&format!("[[rule]]\nid = \"{id}\"\ntitle = \"A fault\"\n"));
        text.push_str(&format!("when = {when:?}\n"));
        match self.source.as_deref().unwrap_or("common practice") {
            "" => {}
            source => text.push_str(&format!("source = \"{source}\"\n")),
        }
        match self.cites.as_deref().unwrap_or("ice#keep-off") {
            "" => {}
            cites => text.push_str(&format!("cites = [\"{cites}\"]\n")),
        }
        let rule = self.rule.as_deref().unwrap_or("");
        let acts = ["finding", "call", "caution", "conclude", "ask"];
        if !self.bare && !acts.iter().any(|key| rule.trim_start().starts_with(key)) {
            text.push_str("caution = [\"no-flame\"]\n");
        }
        text.push_str(rule);
        text.push('\n');
        if self.examples != Some(false) && !rule.contains("[[rule.example]]") {
            text.push_str("\n[[rule.example]]\nfacts = { \"air.temperature\" = \"20 °F\" }\n");
        }
        text
    }

    fn seed(&self, sound: &[SourceText]) -> Vec<SourceText> {
        let mut texts = sound.to_vec();
        let name = self.file.as_deref().unwrap_or("rules/zz-fault.toml");
        match texts.iter_mut().find(|text| text.name == name) {
            Some(text) if self.replace.is_empty() => text.text.push_str(&self.add),
            Some(text) => {
                assert!(text.text.contains(&self.replace), "{}: nothing to replace", self.what);
                text.text = text.text.replacen(&self.replace, &self.with, 1);
            }
            None => {
                let text = if self.file.is_some() { self.add.clone() } else { self.added() };
                texts.push(SourceText { name: name.to_owned(), text });
            }
        }
        texts
    }
}

/// The static half of the check; the examples are run only where the fault needs it.
fn problems(texts: &[SourceText], run: bool) -> Vec<Problem> {
    if run {
        return check_texts(texts).unwrap_or_else(|problems| problems);
    }
    let loaded = Knowledge::load(texts);
    let mut problems = loaded.problems;
    let notes = brumal::notes::read(texts);
    let sections = brumal::notes::section_names(&notes.value);
    problems.extend(loaded.value.check(Some(&sections)));
    problems.extend(notes.problems);
    problems
}

fn line<'t>(texts: &'t [SourceText], problem: &Problem) -> Option<&'t str> {
    let place = problem.place.as_ref()?;
    let text = texts.iter().find(|text| text.name == place.file)?;
    text.text.lines().nth(place.line.checked_sub(1)?)
}

/// The faults of which not all is told, with what is told instead.
fn missed(faults: &[Fault], sound: &[SourceText]) -> Vec<String> {
    let mut missed = Vec::new();
    for fault in faults {
        let texts = fault.seed(sound);
        let found = problems(&texts, fault.run);
        if found.iter().any(|problem| tells(fault, problem, &texts)) {
            continue;
        }
        let told = found.iter().map(|p| format!("[{}] {p} {:?}", p.code.name(), line(&texts, p)));
        missed.push(format!("{}\n      {}", fault.what, told.collect::<Vec<_>>().join("\n      ")));
    }
    missed
}

fn tells(fault: &Fault, problem: &Problem, texts: &[SourceText]) -> bool {
    problem.code.name() == fault.code
        && problem.message.contains(&fault.message)
        && line(texts, problem).is_some_and(|line| line.contains(&fault.at))
        && problem
            .help
            .as_deref()
            .is_some_and(|help| help.contains(&fault.help) && !help.trim().is_empty())
}

#[test]
fn each_fault_is_told_with_file_line_words_and_hint() {
    let sound = read_folder(Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/knowledge"))).unwrap();
    let cases = include_str!("cases/problems/knowledge/faults.toml");
    let faults = toml::from_str::<Faults>(cases).unwrap().fault;
    assert!(faults.len() >= 40, "only {} faults", faults.len());
    let (one, two) = faults.split_at(faults.len() / 2);
    let missed: Vec<String> = std::thread::scope(|scope| {
        let halves = [one, two].map(|half| scope.spawn(|| missed(half, &sound)));
        halves.into_iter().flat_map(|half| half.join().unwrap()).collect()
    });
    assert!(missed.is_empty(), "{} of {}:\n{}", missed.len(), faults.len(), missed.join("\n"));
}
