//! Leads somebody through the steps of an answer, one at a time.

use super::reply::{self, plain};
use super::steps::End;
use super::turn::Session;
use super::words::Walking;
use crate::advice::{Advised, Answer, Telling, figures};
use crate::clock::Moment;
use crate::engine::Justification;
use crate::facts::{Fact, FactId, Origin};
use crate::knowledge::Template;

/// The figures that say how much time is left.
const CLOCKS: [&str; 2] = ["pipe_cool_time", "pipe_freeze_time"];

impl Session<'_> {
    /// Answers a word about the steps.
    pub(super) fn walk(&mut self, walking: Walking, at: Moment) -> Answer {
        match walking {
            Walking::Begin => self.begin_walk(at),
            Walking::Next if !self.talk.walk.on => self.begin_walk(at),
            Walking::Next => self.leave_step(End::Passed, at),
            Walking::Skip if self.talk.walk.on => self.leave_step(End::Skipped, at),
            Walking::Done(numbers) if !numbers.is_empty() => self.done_numbers(&numbers, at),
            Walking::Done(_) if self.talk.walk.on => self.done(at),
            Walking::Done(_) | Walking::Skip => {
                let line = self.base.knowledge().talk.say("which_step").to_owned();
                self.changed(vec![plain("steps", &line)], at)
            }
            Walking::Back => {
                self.talk.walk.back();
                let answer = self.standing(at);
                self.show_step(answer)
            }
            Walking::Where => self.where_it_was(at),
            Walking::Stop => self.end_walk(at),
            Walking::Stuck(thing) => self.stuck(&thing, at),
            Walking::HowLong => self.how_long(at),
        }
    }

    fn begin_walk(&mut self, at: Moment) -> Answer {
        let answer = self.standing(at);
        if answer.actions.is_empty() {
            let line = self.base.knowledge().talk.say("no_steps").to_owned();
            return self.changed(vec![plain("steps", &line)], at);
        }
        self.talk.walk.advance(&answer);
        self.show_step(answer)
    }

    fn leave_step(&mut self, end: End, at: Moment) -> Answer {
        self.talk.walk.end(end);
        let answer = self.standing(at);
        self.talk.walk.advance(&answer);
        self.show_step(answer)
    }

    /// The step in hand is done: what that makes so is stated, and the rules run again.
    fn done(&mut self, at: Moment) -> Answer {
        let id = self.talk.walk.in_hand().map(str::to_owned);
        let whole = !self.talk.walk.left_out();
        self.talk.walk.end(End::Done);
        self.establish(id.as_deref().filter(|_| whole), at);
        let answer = self.standing(at);
        self.talk.walk.advance(&answer);
        self.show_step(answer)
    }

    fn done_numbers(&mut self, numbers: &[usize], at: Moment) -> Answer {
        let before = self.standing(at);
        let was_on = self.talk.walk.on;
        let ended = self.talk.walk.end_numbers(numbers, &before);
        for id in &ended {
            self.establish(Some(id), at);
        }
        let answer = self.standing(at);
        if was_on {
            self.talk.walk.advance(&answer);
            return self.show_step(answer);
        }
        let line = if ended.is_empty() {
            "No step of that number is open.".to_owned()
        } else {
            "Noted as done.".to_owned()
        };
        self.changed(vec![plain("noted", &line)], at)
    }

    /// States what an action makes so.
    fn establish(&mut self, id: Option<&str>, at: Moment) {
        let Some(action) = id.and_then(|id| self.base.knowledge().action(id)) else { return };
        self.talk.begin(at);
        let mut facts = Vec::new();
        for (fact, value) in &action.establishes {
            self.talk.take(*fact, *value, Origin::Message, at);
            facts.push(Fact::stated(*fact, *value, "done", Origin::Message));
        }
        if !facts.is_empty() {
            self.hold_steps(&facts, None);
        }
    }

    /// Shows the step in hand, or the summary if there is none left.
    fn show_step(&mut self, answer: Answer) -> Answer {
        if self.talk.walk.on {
            return self.tell_step(answer);
        }
        let finished = self.base.knowledge().talk.say("finished").to_owned();
        let mut answer = self.tell_whole(answer);
        answer.replies.push(plain("steps", &finished));
        answer.replies.push(self.summary(&answer));
        Answer { telling: Telling::Reply, ..answer }
    }

    /// The step in hand, or what was going on before.
    fn where_it_was(&mut self, at: Moment) -> Answer {
        if self.talk.walk.is_begun() && !self.talk.walk.on {
            let answer = self.standing(at);
            self.talk.walk.advance(&answer);
        }
        if self.talk.walk.on {
            let answer = self.standing(at);
            return self.tell_step(answer);
        }
        let mut answer = self.standing(at);
        answer.questions =
            self.open_question().into_iter().chain(answer.questions).take(1).collect();
        self.tell_whole(answer)
    }

    fn end_walk(&mut self, at: Moment) -> Answer {
        let mut answer = self.standing(at);
        self.talk.walk.on = false;
        answer.replies.push(self.summary(&answer));
        answer.questions.clear();
        Answer { telling: Telling::Reply, ..answer }
    }

    /// What was done and what was not; it can be kept in the log.
    pub(super) fn summary(&mut self, answer: &Answer) -> Advised {
        let not_confirmed = self.base.knowledge().talk.say("not_confirmed").to_owned();
        let mut lines = self.talk.walk.summary(answer, &not_confirmed);
        let note = lines.join(" ");
        lines.extend(self.hold_steps(&[], Some(note)));
        Advised { lines, ..plain("what was done", "") }
    }

    /// What to look for, and what to do if it cannot be done at all: for the step that has to do with the thing
    /// named ("can't find the plug"), else for the step in hand.
    fn stuck(&mut self, thing: &str, at: Moment) -> Answer {
        let in_hand = self.talk.walk.in_hand().map(str::to_owned).unwrap_or_default();
        let mut steps = self.standing(at).actions;
        steps.sort_by_key(|one| one.id != in_hand);
        let named = steps.into_iter().find(|one| is_about(&one.text, thing));
        let id = named.map_or_else(|| in_hand.clone(), |one| one.id);
        if id == in_hand {
            self.talk.walk.stick();
        }
        let knowledge = self.base.knowledge();
        let action = knowledge.action(&id);
        let fill = |text: &Template| reply::fill(self, text);
        let told = |text: Option<&Template>| text.map(fill);
        let mut lines: Vec<String> = Vec::new();
        lines.extend(told(action.and_then(|one| one.stuck.as_ref())));
        lines.extend(told(action.and_then(|one| one.instead.as_ref())));
        if lines.is_empty() {
            lines.push(knowledge.talk.say("stuck").to_owned());
        }
        self.changed(vec![Advised { lines, ..plain("if it cannot be found or done", "") }], at)
    }

    /// How much time is left, by the figures.
    fn how_long(&mut self, at: Moment) -> Answer {
        self.talk.state.run();
        let talk = &self.base.knowledge().talk;
        let found = figures(&self.talk.state, self.settings.units);
        let clocks = found.into_iter().filter(|one| CLOCKS.contains(&one.name.as_str()));
        let mut lines: Vec<String> = clocks.map(|one| one.text).collect();
        if self.in_danger() {
            lines = vec![talk.say("no_clock").to_owned()];
        } else if lines.is_empty() {
            lines.push(talk.say("no_figures").to_owned());
        } else {
            lines.push(talk.say("figures_care").to_owned());
        }
        self.changed(vec![Advised { lines, ..plain("how long", "") }], at)
    }

    /// Takes an emergency as over, and goes back to what it broke off.
    pub(super) fn over(&mut self, at: Moment) -> Answer {
        let talk = &self.base.knowledge().talk;
        if !self.in_danger() && self.talk.paused.is_none() {
            return self.changed(vec![plain("noted", talk.say("nothing_over"))], at);
        }
        let line = talk.say("over").to_owned();
        self.talk.begin(at);
        for fact in self.grounds_of_danger() {
            self.talk.state.retract(fact);
        }
        self.talk.walk = self.talk.paused.take().unwrap_or_default();
        let was_on = std::mem::take(&mut self.talk.walk.on);
        let mut answer = self.standing(at);
        answer.replies.push(plain("noted", &line));
        if was_on {
            answer.replies.push(plain("steps", "Say `where was I` to go on with the steps."));
        }
        self.tell_whole(answer)
    }

    /// The facts that somebody said, by which people are in danger.
    fn grounds_of_danger(&self) -> Vec<FactId> {
        let mut grounds = Vec::new();
        for condition in &self.base.knowledge().questions.silent_when {
            condition.facts(&mut |fact, _| {
                if let Some(ground) = self.talk.state.justify(fact) {
                    leaves(&ground, &mut grounds);
                }
            });
        }
        grounds
    }
}

fn leaves(ground: &Justification, found: &mut Vec<FactId>) {
    match &ground.by {
        Some((_, below)) => below.iter().for_each(|one| leaves(one, found)),
        None if matches!(ground.origin, Origin::Message | Origin::Earlier) => {
            found.push(ground.fact);
        }
        None => {}
    }
}

/// Whether the text of an action has a noun of what is said, one or many: "the plug", "Open the drain plugs".
fn is_about(text: &str, thing: &str) -> bool {
    let words = |text: &str| -> Vec<String> {
        let words = text.split(|c: char| !c.is_alphanumeric());
        let words = words.filter(|word| word.len() > 2 && !word.eq_ignore_ascii_case("the"));
        words.map(|word| word.to_lowercase().trim_end_matches('s').to_owned()).collect()
    };
    let told = words(text);
    words(thing).iter().any(|word| told.contains(word))
}
