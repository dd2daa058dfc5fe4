//! `brumal.reading/1`.

use super::value::Valued;
use crate::advice::{Answer, Unread};
use crate::facts::Fact;
use crate::knowledge::Vocabulary;
use crate::problem::Span;
use serde::Serialize;

/// What was understood of a message.
#[derive(Serialize)]
pub(super) struct Shape<'a> {
    schema: &'static str,
    facts: Vec<Read<'a>>,
    asks: &'a [String],
    pool: Option<&'a str>,
    unread: Vec<Words<'a>>,
    /// What the same message says of other pools.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    others: Vec<Self>,
}

/// One fact as read.
#[derive(Serialize)]
pub(super) struct Read<'a> {
    name: &'a str,
    value: Valued<'a>,
    #[serde(skip_serializing_if = "Option::is_none")]
    low: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    high: Option<f64>,
    given: &'a str,
    span: Option<[usize; 2]>,
    supposed: bool,
    doubt: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    likely: Option<Valued<'a>>,
}

/// Words left unread.
#[derive(Serialize)]
pub(super) struct Words<'a> {
    text: &'a str,
    span: [usize; 2],
}

const fn ends(span: Span) -> [usize; 2] {
    [span.start, span.end]
}

impl<'a> Read<'a> {
    pub(super) fn of(fact: &'a Fact, words: &'a Vocabulary) -> Self {
        let def = words.get(fact.id);
        Self {
            name: words.name(fact.id),
            value: Valued::new(def, fact.value),
            low: fact.bounds.and_then(|bounds| bounds.low),
            high: fact.bounds.and_then(|bounds| bounds.high),
            given: &fact.given,
            span: fact.span.map(ends),
            supposed: fact.supposed,
            doubt: fact.doubt.as_deref(),
            likely: fact.likely.map(|value| Valued::new(def, value)),
        }
    }
}

impl<'a> Words<'a> {
    pub(super) fn of(unread: &'a Unread) -> Self {
        Self { text: &unread.text, span: ends(unread.span) }
    }
}

impl<'a> Shape<'a> {
    pub(super) fn of(answer: &'a Answer, words: &'a Vocabulary) -> Self {
        Self {
            schema: "brumal.reading/1",
            facts: answer.read.iter().map(|fact| Read::of(fact, words)).collect(),
            asks: &answer.asks,
            pool: answer.pool.as_deref(),
            unread: answer.unread.iter().map(Words::of).collect(),
            others: answer.others.iter().map(|other| Self::of(other, words)).collect(),
        }
    }
}
