//! The answer: the one product of the flow. Answers are data; rendering is somebody else's business.

mod answer;

pub use answer::{
    Advised, Answer, AnswerAction, AnswerCaution, AnswerFact, AnswerQuestion, Figure, Finding,
    Unread,
};
