//! The shape of an answer, as the contract's `brumal.answer/1` has it.

use crate::clock::Moment;
use crate::facts::{Fact, FactId, Origin, RuleId, Value};
use crate::knowledge::{Passage, Urgency, Verdict, Who};
use crate::problem::Span;

/// A fact that the answer rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct AnswerFact {
    /// Which fact.
    pub id: FactId,
    /// Its value.
    pub value: Value,
    /// Where it came from.
    pub origin: Origin,
    /// The rule or calculator that brought it.
    pub rule: Option<String>,
    /// Its value as a person reads it, in the units of the answer.
    pub shown: String,
}

/// What a rule found.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Its id: the rule's.
    pub id: String,
    /// How soon it matters.
    pub urgency: Urgency,
    /// What it means.
    pub text: String,
    /// The rule.
    pub rule: String,
    /// The facts behind it, by name.
    pub because: Vec<String>,
    /// The sections that explain it.
    pub cites: Vec<String>,
    /// Where the rule comes from.
    pub source: String,
}

/// Something to do.
#[derive(Debug, Clone, PartialEq)]
pub struct AnswerAction {
    /// Its id.
    pub id: String,
    /// How soon.
    pub urgency: Urgency,
    /// Its place in the order, from 1.
    pub order: usize,
    /// What to do.
    pub text: String,
    /// The findings or rules that call for it.
    pub because: Vec<String>,
    /// The sections that explain it.
    pub cites: Vec<String>,
    /// Who may do it.
    pub who: Who,
    /// How long to wait after it, in hours.
    pub wait_h: Option<f64>,
    /// What it takes.
    pub tools: Vec<String>,
    /// The cautions that stand with it, by id.
    pub cautions: Vec<String>,
}

/// An action that the facts say is done already.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DoneAction {
    /// Its id.
    pub id: String,
    /// What is said of it; empty where nothing needs saying.
    pub text: String,
}

/// The direct answer to a question for leave: may I?
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AnswerVerdict {
    /// What was asked about: a value of `asked.deed`.
    pub deed: String,
    /// The word that comes first.
    pub verdict: Verdict,
    /// Why, until when, or on which conditions.
    pub text: String,
    /// The rule.
    pub rule: String,
    /// The sections that explain it.
    pub cites: Vec<String>,
}

/// A warning.
#[derive(Debug, Clone, PartialEq)]
pub struct AnswerCaution {
    /// Its id.
    pub id: String,
    /// What to beware of.
    pub text: String,
    /// The sections that explain it.
    pub cites: Vec<String>,
    /// Whether only a verdict calls for it, which says the same.
    pub in_verdict: bool,
}

/// A question worth asking.
#[derive(Debug, Clone, PartialEq)]
pub struct AnswerQuestion {
    /// The fact it asks for.
    pub fact: FactId,
    /// The fact's name.
    pub name: String,
    /// The question.
    pub text: String,
    /// Why it is asked.
    pub why: String,
}

/// A computed number.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Its name in the contract, such as `saturation_index`.
    pub name: String,
    /// Its value in `unit`.
    pub value: f64,
    /// The lower end of its band.
    pub low: Option<f64>,
    /// The upper end of its band.
    pub high: Option<f64>,
    /// Its canonical unit.
    pub unit: String,
    /// What it says, in the units of the answer.
    pub text: String,
    /// How it was computed.
    pub method: String,
}

/// Words that were not read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unread {
    /// The words.
    pub text: String,
    /// Where they stand.
    pub span: Span,
}

/// What an answer says besides rules' findings: an explanation, a target, a refusal.
#[derive(Debug, Clone, PartialEq)]
pub struct Advised {
    /// A heading of one or two words, such as `why` or `target`.
    pub heading: String,
    /// Lines of text.
    pub lines: Vec<String>,
    /// The sections that explain it.
    pub cites: Vec<String>,
}

/// How much of an answer is told on a terminal; programs get all of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Telling {
    /// All of it.
    #[default]
    Whole,
    /// What is new; the steps told before still stand.
    Reply,
    /// One step of a guided walk.
    Step,
}

/// The step in hand of a guided walk.
#[derive(Debug, Clone, PartialEq)]
pub struct AnswerStep {
    /// What to do. Its `order` is its place in the walk.
    pub action: AnswerAction,
    /// The cautions that stand with it, in words.
    pub cautions: Vec<String>,
    /// How many steps there are, as far as is known.
    pub of: usize,
    /// What was said of it already: done, skipped.
    pub ended: Option<&'static str>,
}

/// One answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// The clock it was answered by.
    pub at: Moment,
    /// The pool it is about.
    pub pool: Option<String>,
    /// The message, where facts were read from it: their spans point into it.
    pub message: String,
    /// What the message said, as read (also doubted and supposed facts).
    pub read: Vec<Fact>,
    /// The asks that were read, by name.
    pub asks: Vec<String>,
    /// Every fact in working memory, derived ones included.
    pub facts: Vec<AnswerFact>,
    /// What was found, most urgent first.
    pub findings: Vec<Finding>,
    /// What to do, in order.
    pub actions: Vec<AnswerAction>,
    /// What to beware of.
    pub cautions: Vec<AnswerCaution>,
    /// At most one question.
    pub questions: Vec<AnswerQuestion>,
    /// What was computed.
    pub figures: Vec<Figure>,
    /// From the notes.
    pub passages: Vec<Passage>,
    /// Direct replies to what was asked: targets, explanations, what changes in a what-if.
    pub replies: Vec<Advised>,
    /// What was computed of the night, told after the steps: its plan, what may have frozen.
    pub plans: Vec<Advised>,
    /// Words left unread.
    pub unread: Vec<Unread>,
    /// Rules that fired, in order.
    pub fired: Vec<RuleId>,
    /// Direct answers to questions for leave, most forbidding first.
    pub verdicts: Vec<AnswerVerdict>,
    /// Actions that would be called for, were they not done already.
    pub done: Vec<DoneAction>,
    /// The step in hand, if somebody is led through them.
    pub step: Option<AnswerStep>,
    /// How much of it is told on a terminal.
    pub telling: Telling,
    /// Whether what was asked was answered: no if neither rules nor notes have anything on it.
    pub answered: bool,
    /// Whether the passages answer what was asked, and do not only support the steps.
    pub looked_up: bool,
    /// Whether all of it is wanted, also what can wait.
    pub whole: bool,
    /// Answers to what the same message says of other pools, in order; the last pool's is this one.
    pub others: Vec<Self>,
}

impl Answer {
    /// An answer that says nothing yet.
    #[must_use]
    pub const fn empty(at: Moment) -> Self {
        Self {
            at,
            pool: None,
            message: String::new(),
            read: Vec::new(),
            asks: Vec::new(),
            facts: Vec::new(),
            findings: Vec::new(),
            actions: Vec::new(),
            cautions: Vec::new(),
            questions: Vec::new(),
            figures: Vec::new(),
            passages: Vec::new(),
            replies: Vec::new(),
            plans: Vec::new(),
            unread: Vec::new(),
            fired: Vec::new(),
            verdicts: Vec::new(),
            done: Vec::new(),
            step: None,
            telling: Telling::Whole,
            answered: true,
            looked_up: false,
            whole: false,
            others: Vec::new(),
        }
    }
}
