//! How an answer looks: what comes first, what stands beside what. The expectation is written by hand.

use brumal::advice::{
    Advised, Answer, AnswerAction, AnswerCaution, AnswerFact, AnswerQuestion, AnswerVerdict,
    Figure, Finding, Telling, Unread,
};
use brumal::clock::Moment;
use brumal::facts::{Fact, Origin, Value};
use brumal::knowledge::{Knowledge, Passage, Urgency, Verdict, Who};
use brumal::problem::{SourceText, Span};
use brumal::render::{View, answer_text};
use brumal::units::System;

fn knowledge() -> Knowledge {
    let text = include_str!("../knowledge/vocabulary.toml").to_owned();
    Knowledge::load(&[SourceText { name: "vocabulary.toml".to_owned(), text }]).value
}

fn empty() -> Answer {
    Answer::empty(Moment::parse("2026-01-14T06:40:00-05:00").unwrap())
}

fn action(order: usize, urgency: Urgency, text: &str) -> AnswerAction {
    AnswerAction {
        id: format!("step-{order}"),
        urgency,
        order,
        text: text.to_owned(),
        because: vec!["rule".to_owned()],
        cites: vec!["pump-failure#first-ten-minutes".to_owned()],
        who: Who::Anyone,
        wait_h: None,
        tools: Vec::new(),
        cautions: Vec::new(),
    }
}

fn written(answer: &Answer, knowledge: &Knowledge, units: System) -> String {
    let mut out = Vec::new();
    let view = View { width: 60, colour: false, units, plain: false };
    answer_text(&mut out, answer, &knowledge.vocabulary, view).unwrap();
    String::from_utf8(out).unwrap()
}

fn two_steps() -> Vec<AnswerAction> {
    let mut breakers =
        action(1, Urgency::Now, "Switch off the breakers of the pump and the heater.");
    breakers.cautions = vec!["wet-ground".to_owned()];
    let mut wiring = action(2, Urgency::Today, "Have the motor and its wiring tested.");
    wiring.who = Who::Electrician;
    wiring.wait_h = Some(0.5);
    wiring.cautions = vec!["wet-ground".to_owned()];
    vec![breakers, wiring]
}

fn cold_morning(knowledge: &Knowledge) -> Answer {
    let words = &knowledge.vocabulary;
    let fact = |name: &str, value: Value, given: &str| {
        Fact::stated(words.find(name).unwrap(), value, given, Origin::Message)
    };
    let supposed = Fact { supposed: true, ..fact("air.temperature", Value::Number(-10.0), "14") };
    let impossible = Fact {
        doubt: Some("no pH test can show 72".to_owned()),
        likely: Some(Value::Number(7.2)),
        ..fact("water.ph", Value::Number(72.0), "pH 72")
    };
    Answer {
        pool: Some("Quarry Lane 9".to_owned()),
        read: vec![
            fact("pump.running", Value::Flag(false), "pump died"),
            fact("air.temperature", Value::Number(-7.0), "19 out"),
            supposed,
            impossible,
        ],
        facts: vec![AnswerFact {
            id: words.find("pool.surface").unwrap(),
            value: Value::Choice(0),
            origin: Origin::Assumed,
            rule: None,
            shown: "plaster".to_owned(),
        }],
        findings: vec![Finding {
            id: "stopped".to_owned(),
            urgency: Urgency::Now,
            text: "Standing water in the pipework is cooling.".to_owned(),
            rule: "stopped".to_owned(),
            because: vec!["figure.pipe_cool_time".to_owned()],
            cites: vec!["pump-failure#why-it-freezes".to_owned()],
            source: "common practice".to_owned(),
        }],
        actions: two_steps(),
        cautions: vec![AnswerCaution {
            id: "wet-ground".to_owned(),
            text: "Never stand in water while you touch a panel.".to_owned(),
            cites: Vec::new(),
            in_verdict: false,
        }],
        questions: vec![AnswerQuestion {
            fact: words.find("heater.kind").unwrap(),
            name: "heater.kind".to_owned(),
            text: "Is there a heater?".to_owned(),
            why: "it freezes early".to_owned(),
        }],
        figures: vec![Figure {
            name: "pipe_cool_time".to_owned(),
            value: 2.0,
            low: Some(1.4),
            high: Some(2.7),
            unit: "h".to_owned(),
            text: "Still water in the exposed pipe reaches freezing in about 2 h.".to_owned(),
            method: "enthalpy".to_owned(),
        }],
        unread: vec![Unread { text: "blorp".to_owned(), span: Span::new(30, 35) }],
        ..empty()
    }
}

#[test]
fn what_was_read_then_what_to_do_then_care_then_why_then_one_question() {
    let knowledge = knowledge();
    let expected = "\
Pool     Quarry Lane 9
Read     pump stopped · air temperature 19 °F
Suppose  air temperature 14 °F
Assumed  surface plaster
Not read “blorp”
?  “pH 72”: no pH test can show 72. Did you mean pH 7.2?

DO NOW
 1. Switch off the breakers of the pump and the heater.
    ! Never stand in water while you touch a panel.

TODAY
 2. Have the motor and its wiring tested.
    (licensed electrician) Then wait 30 min.

WHY
 -  Standing water in the pipework is cooling.
    [pump-failure#why-it-freezes]
 -  How: [pump-failure#first-ten-minutes]

BY THE NUMBERS
 -  Still water in the exposed pipe reaches freezing in
    about 2 h.

?  Is there a heater? (it freezes early)
";
    assert_eq!(written(&cold_morning(&knowledge), &knowledge, System::Us), expected);
}

#[test]
fn direct_replies_come_before_advice() {
    let knowledge = knowledge();
    let reply = Advised {
        heading: "target".to_owned(),
        lines: vec!["Alkalinity: 80 to 120 mg/L.".to_owned()],
        cites: vec!["alkalinity#target".to_owned()],
    };
    let answer = Answer {
        replies: vec![reply],
        actions: vec![action(1, Urgency::Week, "Test again.")],
        ..empty()
    };
    let text = written(&answer, &knowledge, System::Us);
    let (target, week) = (text.find("TARGET").unwrap(), text.find("THIS WEEK").unwrap());
    assert!(target < week && text.contains("[alkalinity#target]"), "{text}");
}

#[test]
fn an_answer_in_si_shows_celsius() {
    let knowledge = knowledge();
    let text = written(&cold_morning(&knowledge), &knowledge, System::Si);
    assert!(text.contains("air temperature −7 °C") && !text.contains("°F"), "{text}");
}

#[test]
fn an_answer_without_anything_says_what_to_try() {
    let text = written(&empty(), &knowledge(), System::Us);
    assert!(text.contains("found nothing about a pool"), "{text}");
}

/// A conversation does not tell the same steps again when somebody only asks; what cannot wait it does.
#[test]
fn a_reply_is_not_buried_under_what_was_told_before() {
    let knowledge = knowledge();
    let earlier = |urgency: Urgency| Answer {
        facts: vec![AnswerFact {
            id: knowledge.vocabulary.find("pump.running").unwrap(),
            value: Value::Flag(false),
            origin: Origin::Earlier,
            rule: None,
            shown: "pump stopped".to_owned(),
        }],
        replies: vec![Advised {
            heading: "target".to_owned(),
            lines: vec!["80 to 120 mg/L.".to_owned()],
            cites: Vec::new(),
        }],
        telling: Telling::Reply,
        actions: vec![AnswerAction {
            cautions: vec!["dry".to_owned()],
            ..action(1, urgency, "Switch off the breakers.")
        }],
        cautions: vec![AnswerCaution {
            id: "dry".to_owned(),
            text: "Stand dry.".to_owned(),
            cites: Vec::new(),
            in_verdict: false,
        }],
        ..empty()
    };
    let calm = written(&earlier(Urgency::Today), &knowledge, System::Us);
    assert!(calm.contains("still stand") && !calm.contains("Switch off"), "{calm}");
    let pressing = written(&earlier(Urgency::Now), &knowledge, System::Us);
    let place = |words: &str| pressing.find(words).expect(words);
    assert!(place("80 to 120") < place("Switch off") && place("Switch off") < place("Stand dry"));
}

/// A caution stands beside the first step that it goes with; what goes with no step comes after; what only says a
/// verdict again is left out.
#[test]
fn cautions_stand_beside_their_step() {
    let knowledge = knowledge();
    let caution = |id: &str, text: &str, in_verdict: bool| AnswerCaution {
        id: id.to_owned(),
        text: text.to_owned(),
        cites: Vec::new(),
        in_verdict,
    };
    let answer = Answer {
        actions: two_steps(),
        cautions: vec![
            caution("wet-ground", "Stand dry.", false),
            caution("ice", "Never start it with ice.", false),
            caution("again", "Nobody on the ice.", true),
        ],
        ..empty()
    };
    let text = written(&answer, &knowledge, System::Us);
    let place = |words: &str| text.find(words).expect(words);
    assert!(place("Switch off") < place("Stand dry") && place("Stand dry") < place("TODAY"));
    assert!(place("Have the motor") < place("TAKE CARE"), "{text}");
    assert!(place("TAKE CARE") < place("Never start it with ice"), "{text}");
    assert_eq!(text.matches("Stand dry").count(), 1, "{text}");
    assert!(!text.contains("Nobody on the ice"), "{text}");
}

#[test]
fn a_verdict_comes_before_the_steps() {
    let verdict = AnswerVerdict {
        deed: "start-pump".to_owned(),
        verdict: Verdict::NotYet,
        text: "first look for ice.".to_owned(),
        rule: "may-i".to_owned(),
        cites: vec!["ice#keep-off".to_owned()],
    };
    let answer = Answer { verdicts: vec![verdict], actions: two_steps(), ..empty() };
    let text = written(&answer, &knowledge(), System::Us);
    let place = |words: &str| text.find(words).expect(words);
    assert!(place("NOT YET: first look for ice. [ice#keep-off]") < place("DO NOW"), "{text}");
}

/// What can wait is counted beside what cannot, and told whole when it is asked for or stands alone.
#[test]
fn what_can_wait_is_counted() {
    let knowledge = knowledge();
    let later: Vec<AnswerAction> =
        (2..6).map(|n| action(n, Urgency::Routine, &format!("Routine {n}."))).collect();
    let mut actions = vec![action(1, Urgency::Today, "Top up.")];
    actions.extend(later.clone());
    let answer = Answer { actions, ..empty() };
    let text = written(&answer, &knowledge, System::Us);
    assert!(text.contains("and 4 for the next visit") && !text.contains("Routine 3"), "{text}");
    let whole = written(&Answer { whole: true, ..answer }, &knowledge, System::Us);
    assert!(whole.contains("Routine 3") && whole.contains("Routine 5"), "{whole}");
    let alone = written(&Answer { actions: later, ..empty() }, &knowledge, System::Us);
    assert!(alone.contains("Routine 5"), "{alone}");
}

/// Passages that answer a question are shown once, not again as support.
#[test]
fn passages_are_shown_once() {
    let passage = Passage {
        note: "salt-cells".to_owned(),
        section: "in-the-cold".to_owned(),
        title: "In the cold".to_owned(),
        text: "Cold water carries less current.".to_owned(),
        source: "trade".to_owned(),
    };
    let answer = Answer { asks: vec!["explain".to_owned()], passages: vec![passage], ..empty() };
    let text = written(&answer, &knowledge(), System::Us);
    assert_eq!(text.matches("Cold water carries").count(), 1, "{text}");
}
