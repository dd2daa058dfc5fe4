//! Whatever a message, a pool's name or a note holds, what is written stays readable and harmless.

use brumal::advice::{
    Advised, Answer, AnswerAction, AnswerCaution, AnswerQuestion, AnswerStep, AnswerVerdict,
    DoneAction, Finding, Telling, Unread,
};
use brumal::clock::Moment;
use brumal::facts::{Bounds, Fact, FactId, Origin, Value};
use brumal::knowledge::{Knowledge, Passage, Urgency, Verdict, Vocabulary, Who};
use brumal::problem::{Code, Place, Problem, SourceText, Span};
use brumal::render::{
    View, answer_json, answer_text, clean, problems_text, reading_json, reading_text,
};
use brumal::units::System;
use proptest::prelude::*;
use std::sync::LazyLock;

static KNOWLEDGE: LazyLock<Knowledge> = LazyLock::new(|| {
    let text = include_str!("../knowledge/vocabulary.toml").to_owned();
    Knowledge::load(&[SourceText { name: "vocabulary.toml".to_owned(), text }]).value
});

fn words() -> &'static Vocabulary {
    &KNOWLEDGE.vocabulary
}

fn verdict(said: &str, all: &[String]) -> AnswerVerdict {
    let said = said.to_owned();
    AnswerVerdict {
        deed: said.clone(),
        verdict: Verdict::NotYet,
        text: said.clone(),
        rule: said,
        cites: all.to_vec(),
    }
}

/// An answer that says `text` in every place where words may stand.
fn saying(text: &str) -> Answer {
    let said = text.to_owned();
    let all = vec![said.clone()];
    let mut fact = Fact::stated(FactId(0), Value::Number(7.0), said.clone(), Origin::Message);
    fact.bounds = Some(Bounds { low: Some(6.0), high: Some(8.0) });
    let doubted = Fact { doubt: Some(said.clone()), ..fact.clone() };
    Answer {
        pool: Some(said.clone()),
        message: said.clone(),
        read: vec![fact, doubted],
        asks: all.clone(),
        findings: vec![Finding {
            id: said.clone(),
            urgency: Urgency::Now,
            text: said.clone(),
            rule: said.clone(),
            because: all.clone(),
            cites: all.clone(),
            source: said.clone(),
        }],
        actions: vec![AnswerAction {
            id: said.clone(),
            urgency: Urgency::Now,
            order: 1,
            text: said.clone(),
            because: all.clone(),
            cites: all.clone(),
            who: Who::Electrician,
            wait_h: Some(0.5),
            tools: all.clone(),
            cautions: all.clone(),
        }],
        cautions: vec![AnswerCaution {
            id: said.clone(),
            text: said.clone(),
            cites: all.clone(),
            in_verdict: false,
        }],
        questions: vec![AnswerQuestion {
            fact: FactId(0),
            name: said.clone(),
            text: said.clone(),
            why: said.clone(),
        }],
        passages: vec![Passage {
            note: said.clone(),
            section: said.clone(),
            title: said.clone(),
            text: said.clone(),
            source: said.clone(),
        }],
        replies: vec![Advised { heading: said.clone(), lines: all.clone(), cites: all.clone() }],
        plans: vec![Advised { heading: said.clone(), lines: all.clone(), cites: all.clone() }],
        unread: vec![Unread { text: said.clone(), span: Span::new(0, 1) }],
        verdicts: vec![verdict(&said, &all)],
        done: vec![DoneAction { id: said.clone(), text: said.clone() }],
        whole: true,
        ..Answer::empty(Moment::parse("2026-01-14T06:40:00-05:00").unwrap())
    }
}

/// The same while somebody is led through the steps.
fn stepping(text: &str) -> Answer {
    let answer = saying(text);
    let step = answer.actions.first().map(|action| AnswerStep {
        action: action.clone(),
        cautions: vec![text.to_owned()],
        of: 2,
        ended: None,
    });
    Answer { step, telling: Telling::Step, ..answer }
}

/// What can move the cursor, clear the screen, reorder or hide text: C0 and C1 controls, bidirectional
/// embeddings, overrides, isolates and marks (Unicode Standard Annex #9), zero-width and tag characters.
fn is_dangerous(c: char) -> bool {
    (c.is_control() && c != '\n')
        || matches!(c, '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}')
        || matches!(c, '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{e0000}'..='\u{e0fff}')
}

/// Text with more dangerous characters than chance would bring.
fn anything() -> impl Strategy<Value = String> {
    let risky = prop::sample::select(vec![
        '\u{1b}',
        '\u{9b}',
        '\u{7}',
        '\r',
        '\u{8}',
        '\u{202e}',
        '\u{2066}',
        '\u{200f}',
        '\u{0}',
        '\u{7f}',
        '\u{feff}',
        '\u{e0041}',
        '\u{2028}',
        '\t',
        '[',
        'm',
        ']',
        '\\',
        '"',
        '°',
        '水',
        ' ',
        '\n',
    ]);
    prop::collection::vec(prop_oneof![risky, any::<char>()], 0..120)
        .prop_map(|chars| chars.into_iter().collect())
}

fn written(write: impl FnOnce(&mut Vec<u8>) -> std::io::Result<()>) -> String {
    let mut out = Vec::new();
    write(&mut out).unwrap();
    String::from_utf8(out).unwrap()
}

const PLAIN: View = View { width: 60, colour: false, units: System::Us, plain: false };

proptest! {
    #[test]
    fn nothing_dangerous_reaches_the_terminal(text in anything()) {
        let answer = saying(&text);
        let place = Place { file: text.clone(), line: 1, column: 1, span: Span::new(0, text.len()) };
        let problem = Problem::error(Code::Value, Some(place), text.clone()).help(text.clone()).label(text.clone());
        let source = SourceText { name: text.clone(), text: text.clone() };
        for out in [
            written(|out| answer_text(out, &answer, words(), PLAIN)),
            written(|out| reading_text(out, &answer, words(), PLAIN)),
            written(|out| answer_json(out, &answer, words(), None)),
            written(|out| reading_json(out, &answer, words())),
            written(|out| problems_text(out, &[problem], &[source], PLAIN)),
            clean(&text).into_owned(),
        ] {
            prop_assert_eq!(out.chars().find(|c| is_dangerous(*c)), None, "{:?}", out);
        }
    }

    #[test]
    fn lines_keep_to_the_width(text in anything(), width in 24usize..100) {
        let view = View { width, ..PLAIN };
        let whole = written(|out| answer_text(out, &saying(&text), words(), view));
        let step = written(|out| answer_text(out, &stepping(&text), words(), view));
        prop_assert_eq!(step.chars().find(|c| is_dangerous(*c)), None, "{:?}", step);
        for line in whole.lines().chain(step.lines()) {
            let columns = unicode_width::UnicodeWidthStr::width(line);
            // One wide character may stand over the edge of a line that is narrower than itself.
            prop_assert!(columns <= width + 1, "{columns} > {width}: {line:?}");
        }
    }

    #[test]
    fn colour_adds_nothing_but_colour(text in anything()) {
        let answer = saying(&text);
        let plain = written(|out| answer_text(out, &answer, words(), PLAIN));
        let painted = written(|out| answer_text(out, &answer, words(), View { colour: true, ..PLAIN }));
        let colour = regex::Regex::new("\u{1b}\\[[0-9;]*m").unwrap();
        prop_assert_eq!(colour.replace_all(&painted, ""), plain);
    }

    #[test]
    fn json_gives_back_what_was_said(text in anything()) {
        let out = written(|out| answer_json(out, &saying(&text), words(), Some(&text.clone().into())));
        let value: serde_json::Value = serde_json::from_str(&out).unwrap();
        for place in ["/id", "/pool", "/actions/0/text", "/unread/0/text", "/passages/0/source"] {
            prop_assert_eq!(value.pointer(place).and_then(|v| v.as_str()), Some(text.as_str()));
        }
        prop_assert_eq!(out.matches('\n').count(), 1);
    }
}
