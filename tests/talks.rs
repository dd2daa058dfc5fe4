//! Whole conversations, with expectations stated before the program was run on them (`tests/cases/talks`).

mod flips;

use brumal::advice::{Answer, Telling};
use brumal::clock::Moment;
use brumal::knowledge::Vocabulary;
use brumal::language::PoolNames;
use brumal::session::{Base, Session, Settings};
use serde::Deserialize;
use std::collections::BTreeMap;

const AT: &str = "2026-01-14T06:40:00-05:00";

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Cases {
    talk: Vec<Talk>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Talk {
    title: String,
    #[serde(default)]
    pools: Vec<String>,
    turn: Vec<Turn>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct Turn {
    says: String,
    holds: BTreeMap<String, String>,
    lacks: Vec<String>,
    first: Option<String>,
    step: Option<String>,
    no_step: bool,
    asks: Option<String>,
    asks_not_again: bool,
    /// This turn says that the question before it cannot be answered.
    refuses: bool,
    tells: Vec<String>,
    hides: Vec<String>,
    shows: Vec<String>,
    shows_nothing: bool,
    does: Vec<String>,
    does_not: Vec<String>,
    pool: Option<String>,
}

fn cases() -> Vec<Talk> {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/cases/talks");
    let mut paths: Vec<_> =
        std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    let read = |path: &std::path::PathBuf| {
        let text = std::fs::read_to_string(path).unwrap();
        toml::from_str::<Cases>(&text)
            .unwrap_or_else(|why| panic!("{}: {why}", path.display()))
            .talk
    };
    paths.iter().flat_map(read).collect()
}

/// Everything that an answer says in words.
fn words(answer: &Answer) -> String {
    let mut text = String::new();
    for reply in &answer.replies {
        text.push_str(&reply.lines.join("\n"));
        text.push('\n');
    }
    for verdict in &answer.verdicts {
        text.push_str(&format!("{:?} {}\n", verdict.verdict, verdict.text));
    }
    text.to_lowercase()
}

/// The facts of a working memory are in the answers that hold it; replies alone carry none.
fn holds(answer: &Answer, vocabulary: &Vocabulary, name: &str, wanted: &str) -> Option<String> {
    let def = vocabulary.def(name).unwrap_or_else(|| panic!("no fact is called {name}"));
    let value = def.parse(wanted).unwrap();
    let Some(fact) = answer.facts.iter().find(|fact| vocabulary.name(fact.id) == name) else {
        return Some(format!("{name} is not known, and should be {wanted}"));
    };
    let same = match (fact.value.number(), value.number()) {
        (Some(a), Some(b)) => (a - b).abs() < 0.006 * (1.0 + b.abs()),
        _ => fact.value == value,
    };
    (!same).then(|| format!("{name} is {}, and should be {wanted}", fact.shown))
}

fn faults(turn: &Turn, answer: &Answer, asked: &[String], vocabulary: &Vocabulary) -> Vec<String> {
    let mut faults = Vec::new();
    for (name, wanted) in &turn.holds {
        faults.extend(holds(answer, vocabulary, name, wanted));
    }
    let known = |name: &String| answer.facts.iter().any(|f| vocabulary.name(f.id) == name);
    faults.extend(turn.lacks.iter().filter(|name| known(name)).map(|n| format!("{n} is known")));
    let first = answer.actions.first().map(|one| one.id.clone());
    if turn.first.is_some() && first != turn.first {
        faults.push(format!("first is {first:?}, not {:?}", turn.first));
    }
    let step = answer.step.as_ref().map(|step| step.action.id.clone());
    if (turn.step.is_some() || turn.no_step) && step != turn.step {
        faults.push(format!("the step is {step:?}, not {:?}", turn.step));
    }
    let question = answer.questions.first().map(|one| one.name.clone());
    if turn.asks.is_some() && question != turn.asks {
        faults.push(format!("asks {question:?}, not {:?}", turn.asks));
    }
    if turn.asks_not_again && question.as_ref().is_some_and(|one| asked.contains(one)) {
        faults.push(format!("asks for {question:?} again"));
    }
    let said = words(answer);
    let missing = turn.tells.iter().filter(|one| !said.contains(&one.to_lowercase()));
    faults.extend(missing.map(|one| format!("does not say \"{one}\": {said}")));
    let there = turn.hides.iter().filter(|one| said.contains(&one.to_lowercase()));
    faults.extend(there.map(|one| format!("says \"{one}\": {said}")));
    let shows = |one: &&String| {
        answer.passages.iter().any(|p| format!("{}#{}", p.note, p.section) == **one)
    };
    let unseen = turn.shows.iter().filter(|one| !shows(one) || !answer.looked_up);
    faults.extend(unseen.map(|one| format!("does not answer with {one}")));
    if turn.shows_nothing && answer.looked_up {
        faults.push(format!("answers with {:?}", answer.passages.first().map(|p| &p.title)));
    }
    let does = |id: &String| answer.actions.iter().any(|one| one.id == *id);
    faults.extend(turn.does.iter().filter(|id| !does(id)).map(|id| format!("does not call {id}")));
    faults.extend(turn.does_not.iter().filter(|id| does(id)).map(|id| format!("calls {id}")));
    if turn.pool.is_some() && answer.pool != turn.pool {
        faults.push(format!("the pool is {:?}, not {:?}", answer.pool, turn.pool));
    }
    faults
}

#[test]
fn conversations_go_as_a_technician_expects() {
    let base = Base::packed().unwrap();
    let at = Moment::parse(AT).unwrap();
    let vocabulary = &base.knowledge().vocabulary;
    let mut wrong = Vec::new();
    let talks = cases();
    assert!(talks.len() >= 10, "at least ten conversations");
    for talk in &talks {
        let names = talk.pools.iter().map(String::as_str);
        let settings = Settings { pools: Some(PoolNames::new(names)), ..Settings::default() };
        let mut session = Session::new(&base, settings);
        let (mut refused, mut open): (Vec<String>, Vec<String>) = Default::default();
        for (n, turn) in talk.turn.iter().enumerate() {
            if turn.refuses {
                refused.append(&mut open);
            }
            let answer = session
                .turn(&turn.says, at.plus_hours(0.05 * f64::from(u32::try_from(n).unwrap())));
            for fault in faults(turn, &answer, &refused, vocabulary) {
                wrong.push(format!("{}, turn {} `{}`: {fault}", talk.title, n + 1, turn.says));
            }
            open = answer.questions.iter().map(|one| one.name.clone()).collect();
            let whole = answer.telling == Telling::Whole;
            assert!(!whole || answer.step.is_none(), "a step stands alone");
        }
    }
    assert!(wrong.is_empty(), "{} faults:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn the_same_conversation_is_the_same_twice() {
    let base = Base::packed().unwrap();
    let at = Moment::parse(AT).unwrap();
    let run = |talk: &Talk| -> Vec<Answer> {
        let mut session = Session::new(&base, Settings::default());
        talk.turn.iter().map(|turn| session.turn(&turn.says, at)).collect()
    };
    for talk in cases().iter().take(3) {
        assert_eq!(run(talk), run(talk), "{}", talk.title);
    }
}
