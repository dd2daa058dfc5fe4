//! Messages as people type them, and what a careful senior technician would answer: `tests/cases/answers/*.toml`.
//!
//! The expectations were written down before the program was asked. A case that is `open` is known to fail, and says
//! why; when it holds, the mark has to go.

use brumal::advice::Answer;
use brumal::clock::Moment;
use brumal::knowledge::Urgency;
use brumal::session::{Base, Session, Settings};
use serde::Deserialize;
use std::path::Path;

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Cases {
    case: Vec<Case>,
}

/// One message, and what its answer must hold.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct Case {
    message: String,
    /// The answer in a technician's words.
    expects: String,
    /// Why it is known to fail.
    open: Option<String>,
    /// The first action.
    first: Option<String>,
    /// Actions that must be there.
    must: Vec<String>,
    /// Of each list one action must be there.
    must_one: Vec<Vec<String>>,
    /// Actions that must not be there.
    never: Vec<String>,
    /// Actions that must not be for now or today.
    never_urgent: Vec<String>,
    /// Actions that stand in this order, all of them.
    order: Vec<String>,
    cautions: Vec<String>,
    cautions_one: Vec<Vec<String>>,
    /// Words that stand somewhere in the text.
    says: Vec<String>,
    /// Words that stand nowhere in it.
    never_says: Vec<String>,
    /// The word of the first verdict.
    verdict: Option<String>,
    /// Some verdict comes first.
    decides: bool,
    /// The fact that the question asks for.
    asks: Option<String>,
    /// Facts that it does not ask for.
    asks_not: Vec<String>,
    /// No question at all.
    no_question: bool,
    /// Sections that nothing in the answer cites.
    cites_not: Vec<String>,
    source: Option<String>,
}

fn cases() -> Vec<Case> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/answers");
    let mut files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|f| f.unwrap().path()).collect();
    files.sort();
    let read = |path: &std::path::PathBuf| {
        let text = std::fs::read_to_string(path).unwrap();
        toml::from_str::<Cases>(&text).unwrap_or_else(|why| panic!("{}: {why}", path.display()))
    };
    files.iter().flat_map(|path| read(path).case).collect()
}

fn wrong(case: &Case, answer: &Answer, text: &str) -> Vec<String> {
    let mut wrong = actions(case, answer);
    let cautioned = |id: &String| answer.cautions.iter().any(|one| one.id == *id);
    wrong.extend(
        case.cautions.iter().filter(|id| !cautioned(id)).map(|id| format!("no caution `{id}`")),
    );
    for list in case.cautions_one.iter().filter(|list| !list.iter().any(cautioned)) {
        wrong.push(format!("none of the cautions {list:?}"));
    }
    let verdict = answer.verdicts.first().map(|one| one.verdict.name());
    if case.verdict.is_some() && verdict != case.verdict.as_deref() {
        wrong.push(format!("the verdict is {verdict:?}, not {:?}", case.verdict));
    }
    if case.decides && verdict.is_none() {
        wrong.push("no verdict".to_owned());
    }
    let asked = answer.questions.first().map(|question| question.name.as_str());
    if case.asks.is_some() && asked != case.asks.as_deref() {
        wrong.push(format!("it asks for {asked:?}, not {:?}", case.asks));
    }
    if case.no_question && asked.is_some() {
        wrong.push(format!("it asks for {asked:?}"));
    }
    let silly = case.asks_not.iter().filter(|fact| asked == Some(fact.as_str()));
    wrong.extend(silly.map(|fact| format!("it asks for `{fact}`")));
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    let silent = case.says.iter().filter(|words| !text.contains(&words.to_lowercase()));
    wrong.extend(silent.map(|words| format!("it does not say \"{words}\"")));
    let spoken = case.never_says.iter().filter(|words| text.contains(&words.to_lowercase()));
    wrong.extend(spoken.map(|words| format!("it says \"{words}\"")));
    let cited = |section: &String| {
        let findings = answer.findings.iter().flat_map(|one| &one.cites);
        let actions = answer.actions.iter().flat_map(|one| &one.cites);
        let cautions = answer.cautions.iter().flat_map(|one| &one.cites);
        findings.chain(actions).chain(cautions).any(|cite| cite == section)
    };
    wrong.extend(case.cites_not.iter().filter(|s| cited(s)).map(|s| format!("it cites `{s}`")));
    wrong
}

fn actions(case: &Case, answer: &Answer) -> Vec<String> {
    let mut wrong = Vec::new();
    let place = |id: &String| answer.actions.iter().position(|action| action.id == *id);
    let first = answer.actions.first().map(|action| action.id.as_str());
    if case.first.is_some() && first != case.first.as_deref() {
        wrong.push(format!("{first:?} comes first, not {:?}", case.first));
    }
    let missing = case.must.iter().chain(&case.order).filter(|id| place(id).is_none());
    wrong.extend(missing.map(|id| format!("`{id}` is missing")));
    for list in case.must_one.iter().filter(|list| !list.iter().any(|id| place(id).is_some())) {
        wrong.push(format!("none of {list:?}"));
    }
    let unwanted = case.never.iter().filter(|id| place(id).is_some());
    wrong.extend(unwanted.map(|id| format!("`{id}` is called")));
    if !case.order.is_sorted_by_key(place) {
        wrong.push(format!("the order is not {:?}", case.order));
    }
    let pressing = |id: &&String| {
        answer.actions.iter().any(|one| one.id == **id && one.urgency <= Urgency::Today)
    };
    wrong.extend(case.never_urgent.iter().filter(pressing).map(|id| format!("`{id}` is pressing")));
    wrong
}

fn text(answer: &Answer, base: &Base) -> String {
    let view = brumal::render::View {
        width: 60,
        colour: false,
        units: brumal::units::System::Us,
        plain: false,
    };
    let mut out = Vec::new();
    brumal::render::answer_text(&mut out, answer, &base.knowledge().vocabulary, view).unwrap();
    String::from_utf8(out).unwrap()
}

#[test]
fn answers_are_what_a_careful_technician_would_say() {
    let base = Base::packed().unwrap();
    let at = Moment::parse("2026-01-14T06:40:00-05:00").unwrap();
    let mut told = Vec::new();
    let cases = cases();
    assert!(cases.len() >= 90, "only {} cases were found", cases.len());
    for case in &cases {
        assert!(!case.expects.is_empty(), "{}: no expectation in words", case.message);
        let answer = Session::new(&base, Settings::default()).turn(&case.message, at);
        let wrong = wrong(case, &answer, &text(&answer, &base));
        match (&case.open, wrong.is_empty()) {
            (None, false) => told.push(format!("{}\n    {}", case.message, wrong.join("\n    "))),
            (Some(_), true) => told.push(format!("{}: holds; it is open no more", case.message)),
            _ => {}
        }
    }
    assert!(told.is_empty(), "{} of {}:\n{}", told.len(), cases.len(), told.join("\n"));
}

/// Every id that a case names is one: a misspelt `never` could not fail.
#[test]
fn the_cases_name_what_exists() {
    let base = Base::packed().unwrap();
    let knowledge = base.knowledge();
    for case in cases() {
        let lists = case.must_one.iter().flatten();
        let more = case.must.iter().chain(&case.never).chain(&case.never_urgent).chain(&case.order);
        for id in lists.chain(more).chain(&case.first) {
            assert!(knowledge.action(id).is_some(), "{}: no action `{id}`", case.message);
        }
        for id in case.cautions.iter().chain(case.cautions_one.iter().flatten()) {
            assert!(knowledge.caution(id).is_some(), "{}: no caution `{id}`", case.message);
        }
        for fact in case.asks_not.iter().chain(&case.asks) {
            let known = knowledge.vocabulary.find(fact).is_some();
            assert!(known, "{}: no fact `{fact}`", case.message);
        }
        assert!(case.source.as_deref() != Some(""), "{}: an empty source", case.message);
    }
}
