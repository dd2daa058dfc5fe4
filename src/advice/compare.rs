//! What changes between two answers, for a what-if.

use super::answer::Answer;

/// One thing that is otherwise in the second answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Difference {
    /// An action that comes in.
    Do(String),
    /// An action that falls away.
    NoLonger(String),
    /// A finding that comes in.
    Found(String),
    /// A finding that falls away.
    NotFound(String),
    /// A figure that is otherwise now.
    Figure(String),
}

/// What is otherwise in `then` than in `now`.
#[must_use]
pub fn differences(now: &Answer, then: &Answer) -> Vec<Difference> {
    let mut found = Vec::new();
    for finding in &then.findings {
        if !now.findings.iter().any(|other| other.id == finding.id) {
            found.push(Difference::Found(finding.text.clone()));
        }
    }
    for finding in &now.findings {
        if !then.findings.iter().any(|other| other.id == finding.id) {
            found.push(Difference::NotFound(finding.text.clone()));
        }
    }
    for action in &then.actions {
        if !now.actions.iter().any(|other| other.id == action.id) {
            found.push(Difference::Do(action.text.clone()));
        }
    }
    for action in &now.actions {
        if !then.actions.iter().any(|other| other.id == action.id) {
            found.push(Difference::NoLonger(action.text.clone()));
        }
    }
    for figure in &then.figures {
        if !now.figures.iter().any(|other| other.name == figure.name && other.text == figure.text) {
            found.push(Difference::Figure(figure.text.clone()));
        }
    }
    found
}
