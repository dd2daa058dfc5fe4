//! `brumal.answer/1`.

use super::reading::{Read, Words};
use super::value::Valued;
use crate::advice::{
    Advised, Answer, AnswerAction, AnswerCaution, AnswerFact, AnswerQuestion, AnswerStep,
    AnswerVerdict, DoneAction, Figure, Finding,
};
use crate::knowledge::{Passage, Vocabulary};
use serde::Serialize;

/// One answer.
#[derive(Serialize)]
pub(super) struct Shape<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    id: Option<&'a serde_json::Value>,
    schema: &'static str,
    at: String,
    pool: Option<&'a str>,
    read: Vec<Read<'a>>,
    asks: &'a [String],
    answered: bool,
    verdicts: Vec<Verdict<'a>>,
    facts: Vec<Held<'a>>,
    findings: Vec<Found<'a>>,
    actions: Vec<Do<'a>>,
    done: Vec<Done<'a>>,
    /// The step in hand, if somebody is led through them.
    #[serde(skip_serializing_if = "Option::is_none")]
    step: Option<Step<'a>>,
    cautions: Vec<Beware<'a>>,
    questions: Vec<Ask<'a>>,
    figures: Vec<Computed<'a>>,
    passages: &'a [Passage],
    replies: Vec<Reply<'a>>,
    unread: Vec<Words<'a>>,
    /// What the same message says of other pools.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    others: Vec<Self>,
}

#[derive(Serialize)]
struct Held<'a> {
    name: &'a str,
    value: Valued<'a>,
    from: &'static str,
    rule: Option<&'a str>,
    shown: &'a str,
}

#[derive(Serialize)]
struct Found<'a> {
    id: &'a str,
    urgency: &'static str,
    text: &'a str,
    rule: &'a str,
    because: &'a [String],
    cites: &'a [String],
    source: &'a str,
}

#[derive(Serialize)]
struct Do<'a> {
    id: &'a str,
    urgency: &'static str,
    order: usize,
    text: &'a str,
    because: &'a [String],
    cites: &'a [String],
    who: &'static str,
    wait_h: Option<f64>,
    tools: &'a [String],
    cautions: &'a [String],
}

#[derive(Serialize)]
struct Step<'a> {
    action: &'a str,
    number: usize,
    of: usize,
    urgency: &'static str,
    text: &'a str,
    cautions: &'a [String],
    ended: Option<&'static str>,
}

#[derive(Serialize)]
struct Done<'a> {
    id: &'a str,
    text: &'a str,
}

#[derive(Serialize)]
struct Verdict<'a> {
    deed: &'a str,
    verdict: &'static str,
    text: &'a str,
    rule: &'a str,
    cites: &'a [String],
}

#[derive(Serialize)]
struct Beware<'a> {
    id: &'a str,
    text: &'a str,
    cites: &'a [String],
}

#[derive(Serialize)]
struct Ask<'a> {
    fact: &'a str,
    text: &'a str,
    why: &'a str,
}

#[derive(Serialize)]
struct Computed<'a> {
    name: &'a str,
    value: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    low: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    high: Option<f64>,
    unit: &'a str,
    text: &'a str,
    method: &'a str,
}

#[derive(Serialize)]
struct Reply<'a> {
    heading: &'a str,
    lines: &'a [String],
    cites: &'a [String],
}

impl<'a> Shape<'a> {
    pub(super) fn of(
        answer: &'a Answer,
        words: &'a Vocabulary,
        id: Option<&'a serde_json::Value>,
    ) -> Self {
        Self {
            id,
            schema: "brumal.answer/1",
            at: answer.at.rfc3339(),
            pool: answer.pool.as_deref(),
            read: answer.read.iter().map(|fact| Read::of(fact, words)).collect(),
            asks: &answer.asks,
            answered: answer.answered,
            verdicts: answer.verdicts.iter().map(verdict).collect(),
            facts: answer.facts.iter().map(|fact| held(fact, words)).collect(),
            findings: answer.findings.iter().map(found).collect(),
            actions: answer.actions.iter().map(action).collect(),
            done: answer.done.iter().map(done).collect(),
            step: answer.step.as_ref().map(step),
            cautions: answer.cautions.iter().map(caution).collect(),
            questions: answer.questions.iter().map(question).collect(),
            figures: answer.figures.iter().map(figure).collect(),
            passages: &answer.passages,
            replies: answer.replies.iter().chain(&answer.plans).map(reply).collect(),
            unread: answer.unread.iter().map(Words::of).collect(),
            others: answer.others.iter().map(|other| Self::of(other, words, None)).collect(),
        }
    }
}

fn held<'a>(fact: &'a AnswerFact, words: &'a Vocabulary) -> Held<'a> {
    Held {
        name: words.name(fact.id),
        value: Valued::new(words.get(fact.id), fact.value),
        from: fact.origin.name(),
        rule: fact.rule.as_deref(),
        shown: &fact.shown,
    }
}

fn found(finding: &Finding) -> Found<'_> {
    Found {
        id: &finding.id,
        urgency: finding.urgency.name(),
        text: &finding.text,
        rule: &finding.rule,
        because: &finding.because,
        cites: &finding.cites,
        source: &finding.source,
    }
}

fn action(action: &AnswerAction) -> Do<'_> {
    Do {
        id: &action.id,
        urgency: action.urgency.name(),
        order: action.order,
        text: &action.text,
        because: &action.because,
        cites: &action.cites,
        who: action.who.name(),
        wait_h: action.wait_h,
        tools: &action.tools,
        cautions: &action.cautions,
    }
}

fn step(step: &AnswerStep) -> Step<'_> {
    Step {
        action: &step.action.id,
        number: step.action.order,
        of: step.of,
        urgency: step.action.urgency.name(),
        text: &step.action.text,
        cautions: &step.cautions,
        ended: step.ended,
    }
}

fn done(done: &DoneAction) -> Done<'_> {
    Done { id: &done.id, text: &done.text }
}

fn verdict(verdict: &AnswerVerdict) -> Verdict<'_> {
    Verdict {
        deed: &verdict.deed,
        verdict: verdict.verdict.name(),
        text: &verdict.text,
        rule: &verdict.rule,
        cites: &verdict.cites,
    }
}

fn caution(caution: &AnswerCaution) -> Beware<'_> {
    Beware { id: &caution.id, text: &caution.text, cites: &caution.cites }
}

fn question(question: &AnswerQuestion) -> Ask<'_> {
    Ask { fact: &question.name, text: &question.text, why: &question.why }
}

fn figure(figure: &Figure) -> Computed<'_> {
    Computed {
        name: &figure.name,
        value: figure.value,
        low: figure.low,
        high: figure.high,
        unit: &figure.unit,
        text: &figure.text,
        method: &figure.method,
    }
}

fn reply(reply: &Advised) -> Reply<'_> {
    Reply { heading: &reply.heading, lines: &reply.lines, cites: &reply.cites }
}
