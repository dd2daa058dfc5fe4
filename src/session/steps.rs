//! The steps of an answer, one at a time: where somebody is, what is done, what was left out.

use crate::advice::{Answer, AnswerAction, AnswerStep, DoneAction};
use crate::knowledge::Urgency;

/// How somebody left a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum End {
    /// It was said to be done.
    Done,
    /// It was left out.
    Skipped,
    /// Somebody went on without a word.
    Passed,
    /// The facts say that it is done, or that it is not called for any more.
    Fallen,
}

/// A step that was shown.
#[derive(Debug, Clone, PartialEq)]
struct Stage {
    action: AnswerAction,
    cautions: Vec<String>,
    end: Option<End>,
    stuck: bool,
}

/// A walk through the steps.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Walk {
    /// Whether somebody is being led.
    pub on: bool,
    stages: Vec<Stage>,
    at: usize,
}

impl Walk {
    /// Whether anything was done, skipped or shown.
    pub const fn is_begun(&self) -> bool {
        !self.stages.is_empty()
    }

    /// The id of the step in hand.
    pub fn in_hand(&self) -> Option<&str> {
        self.stage().map(|stage| stage.action.id.as_str())
    }

    fn stage(&self) -> Option<&Stage> {
        self.stages.get(self.at).filter(|_| self.on)
    }

    /// Takes the actions that were said to be done out of an answer, and numbers the others anew.
    pub fn mark(&self, answer: &mut Answer) {
        let done = |id: &str| {
            self.stages.iter().any(|one| one.action.id == id && one.end == Some(End::Done))
        };
        let (done, open): (Vec<_>, Vec<_>) =
            std::mem::take(&mut answer.actions).into_iter().partition(|one| done(&one.id));
        if done.is_empty() {
            answer.actions = open;
            return;
        }
        let ids = done.into_iter().map(|one| DoneAction { id: one.id, text: String::new() });
        answer.done.extend(ids);
        let numbered = open.into_iter().zip(1..);
        answer.actions = numbered.map(|(one, order)| AnswerAction { order, ..one }).collect();
    }

    /// Whether something before the step in hand was left out.
    pub fn left_out(&self) -> bool {
        let before = self.stages.iter().take(self.at);
        before
            .into_iter()
            .any(|one| matches!(one.end, Some(End::Skipped | End::Passed)) || one.stuck)
    }

    /// Ends the step in hand.
    pub fn end(&mut self, end: End) {
        if let Some(stage) = self.stages.get_mut(self.at)
            && (stage.end != Some(End::Done) || end == End::Skipped)
        {
            stage.end = Some(end);
        }
    }

    /// Ends the steps of these numbers of an answer.
    pub fn end_numbers(&mut self, numbers: &[usize], answer: &Answer) -> Vec<String> {
        let mut ended = Vec::new();
        for action in answer.actions.iter().filter(|one| numbers.contains(&one.order)) {
            self.stages.retain(|one| one.action.id != action.id);
            self.stages.push(Stage { end: Some(End::Done), ..stage(answer, action) });
            ended.push(action.id.clone());
        }
        self.at = self.stages.len().saturating_sub(1);
        ended
    }

    /// Notes that the step in hand could not be found or done.
    pub fn stick(&mut self) {
        if let Some(stage) = self.stages.get_mut(self.at) {
            stage.stuck = true;
        }
    }

    /// Goes to the next step that is open; without one the walk is over.
    pub fn advance(&mut self, answer: &Answer) {
        self.on = true;
        let later = self.stages.iter().enumerate().skip(self.at + 1);
        if let Some((at, _)) = later.into_iter().find(|(_, one)| one.end.is_none()) {
            self.at = at;
            return;
        }
        let next = self.open(answer).next().map(|action| stage(answer, action));
        match next {
            Some(next) => {
                self.stages.push(next);
                self.at = self.stages.len() - 1;
            }
            None => self.on = false,
        }
    }

    /// Goes back by one; a step that was skipped is open again.
    pub fn back(&mut self) {
        self.at = self.at.saturating_sub(1);
        self.on = true;
        if let Some(stage) = self.stages.get_mut(self.at)
            && stage.end != Some(End::Done)
        {
            stage.end = None;
            stage.stuck = false;
        }
    }

    /// Fits the walk to what the rules say now: the step in hand may have fallen away, or another come before it.
    pub fn follow(&mut self, answer: &Answer) {
        if !self.on {
            return;
        }
        let called = |id: &str| answer.actions.iter().position(|one| one.id == id);
        let Some((id, ended)) = self.stage().map(|one| (one.action.id.clone(), one.end)) else {
            return;
        };
        match called(&id) {
            None if ended.is_none() => {
                self.end(End::Fallen);
                self.advance(answer);
            }
            Some(place) if ended.is_none() => {
                let first = answer.actions.iter().take(place).find(|one| self.is_new(&one.id));
                if let Some(first) = first.filter(|one| one.urgency == Urgency::Now) {
                    self.stages.insert(self.at, stage(answer, first));
                }
                self.renew(answer);
            }
            _ => {}
        }
    }

    /// The wording may hold other numbers now.
    fn renew(&mut self, answer: &Answer) {
        for one in self.stages.iter_mut().filter(|one| one.end.is_none()) {
            if let Some(action) = answer.actions.iter().find(|action| action.id == one.action.id) {
                one.action = action.clone();
            }
        }
    }

    fn is_new(&self, id: &str) -> bool {
        !self.stages.iter().any(|one| one.action.id == id)
    }

    fn open<'a>(&'a self, answer: &'a Answer) -> impl Iterator<Item = &'a AnswerAction> {
        answer.actions.iter().filter(|one| self.is_new(&one.id))
    }

    /// The step in hand, for an answer.
    pub fn step(&self, answer: &Answer) -> Option<AnswerStep> {
        let stage = self.stage()?;
        let of = self.stages.len() + self.open(answer).count();
        let ended = match stage.end {
            Some(End::Done) => Some("done"),
            Some(End::Skipped) => Some("skipped"),
            Some(End::Passed | End::Fallen) | None => None,
        };
        let action = AnswerAction { order: self.at + 1, ..stage.action.clone() };
        Some(AnswerStep { action, cautions: stage.cautions.clone(), of, ended })
    }

    /// What was done and what was not, a line each.
    pub fn summary(&self, answer: &Answer, not_confirmed: &str) -> Vec<String> {
        let text = |one: &Stage| first_sentence(&one.action.text);
        let line = |one: &Stage| {
            let stuck = if one.stuck { " Could not be found or done at first." } else { "" };
            Some(match one.end {
                Some(End::Done) => format!("done: {}{stuck}", text(one)),
                Some(End::Skipped) => format!("left out: {}{stuck}", text(one)),
                Some(End::Passed) => format!("not confirmed: {}{stuck} {not_confirmed}", text(one)),
                Some(End::Fallen) => return None,
                None => format!("not done: {}{stuck}", text(one)),
            })
        };
        let mut lines: Vec<String> = self.stages.iter().filter_map(line).collect();
        let open = self.open(answer).filter(|one| one.urgency <= Urgency::Today);
        lines.extend(open.map(|one| format!("not done: {}", first_sentence(&one.text))));
        lines
    }
}

fn stage(answer: &Answer, action: &AnswerAction) -> Stage {
    let with = answer.cautions.iter().filter(|one| action.cautions.contains(&one.id));
    Stage {
        cautions: with.map(|one| one.text.clone()).collect(),
        action: action.clone(),
        end: None,
        stuck: false,
    }
}

/// The first sentence or clause of a wording.
fn first_sentence(text: &str) -> String {
    let end = text.find([';', ':']).or_else(|| text.find(". "));
    let first = end.and_then(|end| text.get(..end)).unwrap_or(text);
    format!("{}.", first.trim_end_matches('.'))
}
