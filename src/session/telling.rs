//! How much of an answer is told: what was told before is not told again.

use super::conversation::Told;
use super::reply::plain;
use super::turn::Session;
use crate::advice::{Advised, Answer, Telling};
use crate::clock::Moment;
use crate::engine::Truth;
use crate::knowledge::Urgency;

impl Told {
    /// What an answer tells.
    fn of(answer: &Answer) -> Self {
        let actions = answer.actions.iter();
        // A verdict is told in any case; it changes nothing of what is to be done.
        let verdict = |id: &str| answer.verdicts.iter().any(|one| one.rule == id);
        let findings = answer.findings.iter().filter(|one| !verdict(&one.rule));
        let findings = findings.map(|one| one.id.clone());
        let cautions = answer.cautions.iter().filter(|one| !one.in_verdict);
        let cautions = cautions.map(|one| one.id.clone());
        Self {
            actions: actions.map(|one| (one.id.clone(), one.urgency, one.text.clone())).collect(),
            rest: findings.chain(cautions).collect(),
        }
    }
}

impl Session<'_> {
    /// Whether people are in danger: then nothing is asked, and all else waits.
    pub(super) fn in_danger(&self) -> bool {
        let conditions = &self.base.knowledge().questions.silent_when;
        conditions.iter().any(|one| self.talk.state.holds(one) == Truth::True)
    }

    /// Decides what is told of an answer to a message about the pool.
    pub(super) fn telling(&mut self, answer: Answer, was_in_danger: bool) -> Answer {
        if answer.replies.iter().any(|reply| reply.heading == "what if") {
            return Answer { telling: Telling::Reply, ..answer };
        }
        if self.in_danger() && !was_in_danger {
            // An emergency interrupts whatever was being done; afterwards it can be gone back to.
            let walk = std::mem::take(&mut self.talk.walk);
            if walk.is_begun() {
                self.talk.paused = Some(walk);
            }
            return self.tell_whole(answer);
        }
        if self.talk.walk.on {
            return self.tell_step(answer);
        }
        if self.talk.answered.as_ref() == Some(&Told::of(&answer)) {
            let mut answer = Answer { telling: Telling::Reply, ..answer };
            self.go_on(&mut answer);
            return answer;
        }
        self.tell_whole(answer)
    }

    /// Tells all of it.
    pub(super) fn tell_whole(&mut self, answer: Answer) -> Answer {
        self.note_told(&answer);
        Answer { telling: Telling::Whole, ..answer }
    }

    fn note_told(&mut self, answer: &Answer) {
        self.talk.answered = Some(Told::of(answer));
        if !answer.actions.is_empty() || !answer.findings.is_empty() {
            self.last = Some(answer.clone());
        }
    }

    /// The step in hand, with what changed since the last answer.
    pub(super) fn tell_step(&mut self, mut answer: Answer) -> Answer {
        self.talk.walk.follow(&answer);
        answer.replies.extend(self.changes(&answer));
        self.note_told(&answer);
        answer.step = self.talk.walk.step(&answer);
        if answer.step.is_none() {
            answer.replies.push(self.summary(&answer));
            return Answer { telling: Telling::Reply, ..answer };
        }
        Answer { telling: Telling::Step, ..answer }
    }

    /// The answer as things stand, of which only what changed is told, after these replies.
    pub(super) fn changed(&mut self, replies: Vec<Advised>, at: Moment) -> Answer {
        let mut answer = self.standing(at);
        answer.replies = replies;
        if self.talk.walk.on {
            return self.tell_step(answer);
        }
        answer.replies.extend(self.changes(&answer));
        self.note_told(&answer);
        Answer { telling: Telling::Reply, ..answer }
    }

    /// What is called for otherwise than in the last answer.
    fn changes(&self, answer: &Answer) -> Option<Advised> {
        let before = self.talk.answered.as_ref()?;
        let walked = |id: &str| answer.done.iter().any(|one| one.id == id);
        let new = answer.actions.iter().filter(|one| one.urgency <= Urgency::Today);
        let new = new.filter(|one| !before.actions.iter().any(|(id, ..)| *id == one.id));
        let gone = before
            .actions
            .iter()
            .filter(|(id, ..)| !walked(id) && !answer.actions.iter().any(|one| one.id == *id));
        let mut lines: Vec<String> = new.map(|one| format!("now also: {}", one.text)).collect();
        lines.extend(gone.map(|(_, _, text)| format!("no longer: {text}")));
        (!lines.is_empty()).then(|| Advised { lines, ..plain("changed", "") })
    }
}
