//! The answer: the one product of the flow. Answers are data; rendering is somebody else's business.
//!
//! [`compose`] turns a working memory at its fixed point into an [`Answer`]: findings by urgency, actions
//! merged and put in order, cautions that stand with them, figures, and the one question most worth asking.

mod answer;
mod cold;
mod compare;
mod compose;
mod dose;
mod explain;
mod flip;
mod order;
mod plain;
mod question;
mod report;
mod verdict;

pub use answer::{
    Advised, Answer, AnswerAction, AnswerCaution, AnswerFact, AnswerQuestion, AnswerStep,
    AnswerVerdict, DoneAction, Figure, Finding, Telling, Unread,
};
pub use cold::{
    ColdLine, after_lines, clock_words, in_hand_line, left_lines, night_lines, part_row,
    unable_line,
};
pub use compare::{Difference, differences};
pub use compose::{compose, figures};
pub use dose::{DoseLine, DoseLineKind, dose_lines, readings_line};
pub use explain::{explain_action, explain_not, explain_rule};
pub use flip::{Change, brings_more, calls_for, smallest_changes};
pub use order::{Called, called, done};
pub use plain::{said_fact, said_now, titled};
pub use question::question;
pub use report::{ColdNight, Report, ReportVisit, Series};
