//! The contract's JSON, restated as types: what it names must be there, with these types.

use crate::cli::answered;
use serde::Deserialize;
use serde::de::DeserializeOwned;

/// A value of a fact: number, yes/no, word, list of words.
#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum Value {
    Number(f64),
    Flag(bool),
    Word(String),
    Words(Vec<String>),
}

/// A field that must be written, if only as null.
fn present<'de, D: serde::Deserializer<'de>, T: Deserialize<'de>>(
    from: D,
) -> Result<Option<T>, D::Error> {
    Option::<T>::deserialize(from)
}

#[derive(Debug, Deserialize)]
struct Reading {
    schema: String,
    facts: Vec<Read>,
    asks: Vec<String>,
    #[serde(deserialize_with = "present")]
    pool: Option<String>,
    unread: Vec<Unread>,
}

#[derive(Debug, Deserialize)]
struct Read {
    name: String,
    value: Value,
    given: String,
    #[serde(deserialize_with = "present")]
    span: Option<(usize, usize)>,
    supposed: bool,
    #[serde(deserialize_with = "present")]
    doubt: Option<String>,
}

#[derive(Debug, Deserialize)]
struct Unread {
    text: String,
    span: (usize, usize),
}

#[derive(Debug, Deserialize)]
struct Answer {
    schema: String,
    at: String,
    #[serde(deserialize_with = "present")]
    pool: Option<String>,
    facts: Vec<Held>,
    findings: Vec<Finding>,
    actions: Vec<Action>,
    cautions: Vec<Caution>,
    questions: Vec<Question>,
    figures: Vec<Figure>,
    passages: Vec<Passage>,
    unread: Vec<Unread>,
    // Beyond the floor of the contract:
    answered: bool,
    verdicts: Vec<Verdict>,
    done: Vec<Done>,
}

#[derive(Debug, Deserialize)]
struct Verdict {
    deed: String,
    verdict: String,
    text: String,
    rule: String,
    cites: Vec<String>,
}

#[derive(Debug, Deserialize)]
struct Done {
    id: String,
    text: String,
}

#[derive(Debug, Deserialize)]
struct Held {
    name: String,
    value: Value,
    from: From,
    #[serde(deserialize_with = "present")]
    rule: Option<String>,
}

#[derive(Debug, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "lowercase")]
enum From {
    Message,
    Logbook,
    Profile,
    Derived,
    Assumed,
}

#[derive(Debug, Deserialize, PartialEq, Eq, PartialOrd, Ord, Clone, Copy)]
#[serde(rename_all = "lowercase")]
enum Urgency {
    Now,
    Today,
    Week,
    Routine,
    Info,
}

#[derive(Debug, Deserialize)]
struct Finding {
    id: String,
    urgency: Urgency,
    text: String,
    rule: String,
    because: Vec<String>,
}

#[derive(Debug, Deserialize)]
struct Action {
    id: String,
    urgency: Urgency,
    order: usize,
    text: String,
    because: Vec<String>,
    cites: Vec<String>,
}

#[derive(Debug, Deserialize)]
struct Caution {
    id: String,
    text: String,
    cites: Vec<String>,
}

#[derive(Debug, Deserialize)]
struct Question {
    fact: String,
    text: String,
    why: String,
}

#[derive(Debug, Deserialize)]
struct Figure {
    name: String,
    value: f64,
    unit: String,
    text: String,
    method: String,
}

#[derive(Debug, Deserialize)]
struct Passage {
    note: String,
    section: String,
    text: String,
    source: String,
}

const MESSAGE: &str = "pump at the back pool died about 4, its 19 out and windy, breaker keeps \
    tripping, ice on the skimmer, ph 7.2-7.4, what if it drops to 9? zzgrx blorp";

fn read<T: DeserializeOwned>(arguments: &[&str]) -> T {
    let out = answered(arguments, b"");
    assert_eq!(out.lines().count(), 1, "one object, one line");
    serde_json::from_str(&out).unwrap_or_else(|error| panic!("{error}: {out}"))
}

#[test]
fn a_reading_has_what_the_contract_names() {
    let reading: Reading = read(&["read", "--format", "json", MESSAGE]);
    assert_eq!(reading.schema, "brumal.reading/1");
    assert!(reading.facts.len() >= 5 && !reading.asks.is_empty(), "{reading:#?}");
    for fact in &reading.facts {
        let (start, end) = fact.span.expect("a fact of a message stands somewhere in it");
        assert_eq!(
            MESSAGE.get(start..end),
            Some(fact.given.as_str()),
            "{}: spans count bytes",
            fact.name
        );
        assert!(fact.doubt.as_ref().is_none_or(|doubt| !doubt.is_empty()));
    }
    for unread in &reading.unread {
        assert_eq!(MESSAGE.get(unread.span.0..unread.span.1), Some(unread.text.as_str()));
    }
    assert!(reading.unread.iter().any(|words| words.text.contains("blorp")), "{reading:#?}");
    assert!(reading.facts.iter().any(|fact| fact.supposed), "{reading:#?}");
    assert!(reading.pool.is_none_or(|pool| !pool.is_empty()));
    // The kinds of values: number, yes/no, one of, several of.
    let value = |name: &str| reading.facts.iter().find(|f| f.name == name).map(|f| &f.value);
    assert!(
        matches!(value("air.temperature"), Some(Value::Number(n)) if (n - -7.222).abs() < 0.01)
    );
    assert!(matches!(value("pump.running"), Some(Value::Flag(false))));
    assert!(matches!(value("weather.kind"), Some(Value::Word(word)) if word == "windy"));
    assert!(matches!(value("ice.where"), Some(Value::Words(words)) if words == &["skimmer"]));
}

#[test]
fn an_answer_has_what_the_contract_names_and_every_line_can_be_traced() {
    let answer: Answer = read(&["ask", "--format", "json", MESSAGE]);
    assert_eq!(answer.schema, "brumal.answer/1");
    assert_eq!(answer.at, crate::cli::AT);
    assert!(!answer.actions.is_empty() && !answer.findings.is_empty(), "{answer:#?}");
    assert!(answer.pool.is_none_or(|pool| !pool.is_empty()));
    let known: Vec<&str> = answer.facts.iter().map(|fact| fact.name.as_str()).collect();
    for fact in &answer.facts {
        let _ = &fact.value;
        assert!(fact.from != From::Derived || fact.rule.is_some(), "{}: by which rule", fact.name);
    }
    for finding in &answer.findings {
        assert!(!finding.text.is_empty() && !finding.rule.is_empty() && !finding.id.is_empty());
        for name in &finding.because {
            assert!(known.contains(&name.as_str()), "{}: {name} is no fact here", finding.id);
        }
    }
    assert!(answer.findings.iter().map(|finding| finding.urgency).is_sorted(), "urgent first");
    let findings: Vec<&str> = answer.findings.iter().map(|finding| finding.id.as_str()).collect();
    for (at, action) in answer.actions.iter().enumerate() {
        assert_eq!(action.order, at + 1, "actions come in the order in which they are done");
        assert!(!action.text.is_empty() && !action.cites.is_empty(), "{}: cites a note", action.id);
        assert!(!action.because.is_empty(), "{}: because of something", action.id);
        for because in &action.because {
            let named = findings.contains(&because.as_str()) || known.contains(&because.as_str());
            assert!(named, "{}: {because} is neither finding nor fact", action.id);
        }
    }
    let urgencies: Vec<Urgency> = answer.actions.iter().map(|action| action.urgency).collect();
    assert!(urgencies.is_sorted(), "urgent first: {urgencies:?}");
    assert!(answer.questions.len() <= 1, "one question");
}

#[test]
fn citations_figures_and_questions_are_whole() {
    let answer: Answer = read(&["ask", "--format", "json", MESSAGE]);
    let notes = concat!(env!("CARGO_MANIFEST_DIR"), "/knowledge/notes");
    assert!(!answer.figures.is_empty() && !answer.cautions.is_empty(), "{answer:#?}");
    let action_cites = answer.actions.iter().flat_map(|action| &action.cites);
    for cite in action_cites.chain(answer.cautions.iter().flat_map(|caution| &caution.cites)) {
        let (note, section) = cite.split_once('#').expect("note#section");
        let text = std::fs::read_to_string(format!("{notes}/{note}.md")).expect(cite);
        let headings = text.lines().filter_map(|line| line.strip_prefix("## "));
        let named = headings.map(|heading| heading.trim().to_lowercase().replace(' ', "-"));
        assert!(named.into_iter().any(|name| name == section), "{cite}: no such section");
    }
    assert!(
        answer.cautions.iter().all(|caution| !caution.id.is_empty() && !caution.text.is_empty())
    );
    for question in &answer.questions {
        assert!(
            question.fact.contains('.') && !question.text.is_empty() && !question.why.is_empty()
        );
    }
    for figure in &answer.figures {
        assert!(figure.value.is_finite() && !figure.name.is_empty() && !figure.text.is_empty());
        assert!(!figure.method.is_empty(), "{}: how it was computed", figure.name);
        let _ = &figure.unit;
    }
    let explained: Answer =
        read(&["ask", "--format", "json", "why do salt cells quit in the cold?"]);
    assert!(!explained.passages.is_empty(), "{explained:#?}");
    for passage in explained.passages.iter().chain(&answer.passages) {
        for part in [&passage.note, &passage.section, &passage.text, &passage.source] {
            assert!(!part.is_empty(), "{passage:?}");
        }
    }
    assert!(answer.unread.iter().any(|words| words.text.contains("blorp")), "{:?}", answer.unread);
}

/// The names of figures in the contract, by a message that calls for them.
#[test]
fn the_figures_that_programs_rely_on_carry_their_units() {
    let water = "ph 7.2 alk 90 ch 180 cya 20 fc .5 tds 500, water 44 F, plaster";
    let cold = "pump stopped, 19 F out, wind 10 mph, water 40 F, exposed 1.5 in pipe, pool 400 sq ft, \
        skim ice";
    let mut units = std::collections::BTreeMap::new();
    for message in [water, cold] {
        let answer: Answer = read(&["ask", "--format", "json", message]);
        units.extend(answer.figures.into_iter().map(|figure| (figure.name, figure.unit)));
    }
    for (name, unit) in [
        ("saturation_index", ""),
        ("carbonate_alkalinity", "mg/L"),
        ("hypochlorous_acid", "mg/L"),
        ("pipe_cool_time", "h"),
        ("pipe_freeze_time", "h"),
    ] {
        assert_eq!(units.get(name).map(String::as_str), Some(unit), "{name}: {units:?}");
    }
}

/// "May I …?" is answered by a word of its own, traced like a finding.
#[test]
fn a_question_for_leave_carries_its_verdict() {
    let answer: Answer = read(&["ask", "--format", "json", "can we walk on the ice, 20F"]);
    let [verdict] = answer.verdicts.as_slice() else { panic!("{answer:#?}") };
    assert_eq!((verdict.deed.as_str(), verdict.verdict.as_str()), ("walk-on-ice", "no"));
    assert!(!verdict.text.is_empty() && !verdict.cites.is_empty(), "{verdict:?}");
    assert!(answer.findings.iter().any(|finding| finding.rule == verdict.rule), "{answer:#?}");
    assert!(answer.answered);
    let report: Answer = read(&["ask", "--format", "json", "ice on the pool, 20F"]);
    assert!(report.verdicts.is_empty(), "a report asks no leave: {report:#?}");
}

#[test]
fn what_is_done_already_is_no_action() {
    let answer: Answer =
        read(&["ask", "--format", "json", "breakers are off, its 20F and the pump is down"]);
    assert!(answer.done.iter().any(|done| done.id == "switch-off-breakers"), "{answer:#?}");
    assert!(answer.done.iter().all(|done| !done.id.is_empty()));
    assert!(answer.done.iter().any(|done| done.text.contains("off")), "{answer:#?}");
    assert!(!answer.actions.iter().any(|action| action.id == "switch-off-breakers"));
}

/// A question that neither rules nor notes answer says so to programs too; the program still answered: status 0.
#[test]
fn a_question_beyond_the_field_says_so() {
    for (message, answered) in [
        ("who won the world cup in 1998?", false),
        ("why is the sky blue", false),
        ("why do salt cells quit in the cold?", true),
        ("can we walk on the ice", true),
        ("pump stopped, 19 out", true),
    ] {
        let answer: Answer = read(&["ask", "--format", "json", message]);
        assert_eq!(answer.answered, answered, "{message}");
        assert!(answered || (answer.passages.is_empty() && answer.actions.is_empty()), "{message}");
    }
}
