//! The knowledge that ships: nothing wrong with it, as large as promised, and no rule for nothing.

use brumal::facts::{RuleId, Value};
use brumal::knowledge::{Example, Knowledge};
use brumal::notes::Notes;
use brumal::session::{Base, Session, Settings, check_folder};
use std::path::Path;

fn folder() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/knowledge"))
}

#[test]
fn everything_is_in_order_and_every_example_holds() {
    let (problems, _) = check_folder(folder()).unwrap();
    let told: Vec<String> = problems.iter().map(ToString::to_string).collect();
    assert!(told.is_empty(), "{}", told.join("\n"));
}

#[test]
fn what_is_packed_is_what_the_folder_holds() {
    let (packed, read) = (Base::packed().unwrap(), Base::from_folder(folder()).unwrap());
    assert!(packed.knowledge() == read.knowledge());
}

/// The floors of the first edition.
#[test]
fn the_first_edition_covers_the_trade() {
    let base = Base::packed().unwrap();
    let sections: usize = base.notes.notes().iter().map(|note| note.sections.len()).sum();
    let knowledge = base.knowledge();
    let (rules, actions) = (knowledge.rules.len(), knowledge.actions.len());
    assert!(rules >= 150 && actions >= 100 && sections >= 60, "{rules} {actions} {sections}");
    assert!(knowledge.rules.iter().all(|rule| !rule.examples.is_empty()));
}

/// Whether what an example expects of actions, cautions and conclusions is there.
fn holds(base: &Base, example: &Example) -> bool {
    let mut session = Session::new(base, Settings::default());
    for (id, value) in &example.facts {
        session.give(*id, *value);
    }
    let at = brumal::clock::Moment::parse("2026-01-14T06:10:00-05:00").unwrap();
    let answer = session.turn(example.message.as_deref().unwrap_or(""), at);
    let called = |id: &str| answer.actions.iter().any(|action| action.id == id);
    example.calls.iter().all(|id| called(&id.id))
        && !example.not_calls.iter().any(|id| called(&id.id))
        && example.cautions.iter().all(|id| answer.cautions.iter().any(|c| c.id == id.id))
        && example.asks.is_none_or(|fact| answer.questions.iter().any(|q| q.fact == fact))
        && example
            .verdict
            .is_none_or(|word| answer.verdicts.first().map(|v| v.verdict) == Some(word))
        && example.concludes.iter().all(|(id, value)| {
            answer.facts.iter().any(|fact| {
                fact.id == *id
                    && match (fact.value, *value) {
                        (Value::Number(a), Value::Number(b)) => {
                            (a - b).abs() <= 0.005 * b.abs().max(1.0)
                        }
                        (a, b) => a == b,
                    }
            })
        })
}

/// A rule that calls, warns, concludes or gives a verdict has an example in which that is missed when the rule is taken
/// out; one that only finds something is missed by its finding, which `findings_reach_the_answer` holds.
#[test]
fn every_rule_earns_its_place() {
    let whole = Base::from_folder(folder()).unwrap();
    let mut idle = Vec::new();
    for (at, rule) in whole.knowledge().rules.iter().enumerate() {
        let does = !(rule.call.is_empty() && rule.cautions.is_empty() && rule.conclude.is_empty());
        if rule.finding.is_some() && !does && rule.verdict.is_none() {
            continue;
        }
        let mut without: Knowledge = whole.knowledge().clone();
        without.rules.remove(at);
        let calculators = brumal::figures::all(&without);
        let network = brumal::engine::Network::new(without, calculators).unwrap();
        let base = Base { network, notes: Notes::load(&[]).unwrap().value };
        if rule.examples.iter().all(|example| holds(&base, example)) {
            idle.push(rule.id.clone());
        }
    }
    assert!(idle.is_empty(), "no example misses these rules: {idle:?}");
}

/// Each rule that finds something fires in one of its examples, and its finding is in the answer.
#[test]
fn findings_reach_the_answer() {
    let base = Base::packed().unwrap();
    let at = brumal::clock::Moment::parse("2026-01-14T06:10:00-05:00").unwrap();
    for (number, rule) in base.knowledge().rules.iter().enumerate() {
        let id = RuleId(u16::try_from(number).unwrap());
        for example in
            rule.examples.iter().filter(|example| example.fires && rule.finding.is_some())
        {
            let mut session = Session::new(&base, Settings::default());
            for (id, value) in &example.facts {
                session.give(*id, *value);
            }
            let answer = session.turn(example.message.as_deref().unwrap_or(""), at);
            assert!(answer.fired.contains(&id), "{}", rule.id);
            let finding = answer.findings.iter().find(|finding| finding.id == rule.id);
            let text = &finding.unwrap_or_else(|| panic!("{} is not told", rule.id)).text;
            assert!(!text.contains('{') && !text.contains("unknown "), "{}: {text}", rule.id);
        }
    }
}

/// With the calculators at work too, facts told one after another come to the end of facts told at once.
#[test]
fn facts_one_by_one_end_as_facts_at_once() {
    use brumal::engine::State;
    use brumal::facts::Origin;
    let base = Base::from_folder(folder()).unwrap();
    let ends = |state: &State<'_>| {
        let known: Vec<_> = state.memory().known().map(|(id, value, _)| (id, value)).collect();
        (known, state.fired().collect::<Vec<_>>())
    };
    for rule in &base.knowledge().rules {
        for example in &rule.examples {
            let mut stepwise = State::new(&base.network);
            let mut at_once = State::new(&base.network);
            for (id, value) in &example.facts {
                stepwise.state(*id, *value, Origin::Message);
                assert!(stepwise.run(), "{}: comes to no rest", rule.id);
                at_once.state(*id, *value, Origin::Message);
            }
            assert!(stepwise.run() && at_once.run(), "{}: comes to no rest", rule.id);
            assert_eq!(ends(&stepwise), ends(&at_once), "{}", rule.id);
        }
    }
}
