//! One case in the hands of a trainee.

use super::ask::{asked, is_question, opens_question, told};
use super::clause::Plan;
use super::cut::sentences;
use super::draw::Case;
use super::ear::Ear;
use super::mark::{Mark, mark};
use super::reading::{Harm, harm};
use super::right::{Right, right};
use crate::engine::Network;
use crate::facts::FactId;
use crate::knowledge::Doing;
use crate::language::said as measured;
use crate::units::System;

/// What was made of a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Heard {
    /// Answers to what was asked.
    pub told: Vec<String>,
    /// Whether something to do was said.
    pub noted: bool,
    /// Whether any deed, thing or amount was heard in it.
    pub understood: bool,
    /// A dangerous step: the case is at its end.
    pub harm: Option<Harm>,
}

/// A case that is being answered.
#[derive(Debug, Clone)]
pub struct Sitting<'n> {
    ear: &'n Ear<'n>,
    network: &'n Network,
    units: System,
    /// The case.
    pub case: Case<'n>,
    /// The right answer.
    pub right: Right<'n>,
    plan: Plan,
    said: Vec<String>,
    asked: Vec<FactId>,
    harm: Option<Harm>,
}

/// A sentence that ends in a question mark, cut where the question begins: what stands before a colon or comma is said,
/// and only the rest asks. "The breakers stay off until I have looked: any cracks?"
fn parts(sentence: &str, doing: &Doing) -> Vec<String> {
    let whole = || vec![sentence.to_owned()];
    if !sentence.ends_with('?') {
        return whole();
    }
    let starts = sentence.match_indices([',', ':']).map(|(at, mark)| at + mark.len());
    let starts: Vec<usize> = std::iter::once(0).chain(starts).collect();
    let asks = |at: &&usize| opens_question(sentence.get(**at..).unwrap_or_default(), doing);
    let asked = starts.iter().find(asks).or(starts.last()).copied().unwrap_or(0);
    match sentence.split_at_checked(asked) {
        Some((said, asked)) if !said.trim().is_empty() => vec![said.to_owned(), asked.to_owned()],
        _ => whole(),
    }
}

impl<'n> Sitting<'n> {
    /// Begins a case.
    #[must_use]
    pub fn new(network: &'n Network, ear: &'n Ear<'n>, case: Case<'n>, units: System) -> Self {
        let right = right(network, &case, units);
        let told = ear.things(&case.text);
        Self {
            ear,
            plan: Plan { told, ..Plan::default() },
            right,
            case,
            network,
            units,
            said: Vec::new(),
            asked: Vec::new(),
            harm: None,
        }
    }

    /// Hears a line: answers what it asks, keeps what it does.
    pub fn say(&mut self, line: &str) -> Heard {
        let doing = &self.network.knowledge().doing;
        let mut answers = Vec::new();
        let mut noted = false;
        let mut understood = false;
        for sentence in sentences(line).iter().flat_map(|sentence| parts(sentence, doing)) {
            if is_question(&sentence, doing) {
                self.plan.hear_question(&sentence, self.ear);
                self.answer(&sentence, &mut answers);
                continue;
            }
            noted = true;
            let before = self.plan.clauses.len();
            self.plan.hear(&sentence, self.ear);
            let heard = self.plan.clauses.iter().skip(before).any(|one| self.ear.hears(one));
            let number = || {
                sentence.contains(|c: char| c.is_ascii_digit())
                    || !measured(&sentence, &self.network.knowledge().lexicon).is_empty()
            };
            understood |= heard || number();
            self.said.push(sentence);
            if self.harm.is_none() {
                let found = harm(&self.plan, before, &self.right, self.ear);
                if let Some((at, harm)) = found {
                    self.plan.forget(at);
                    self.harm = Some(harm);
                }
            }
        }
        Heard { told: answers, noted, understood, harm: self.harm.clone() }
    }

    /// Answers a question from what is so.
    fn answer(&mut self, question: &str, answers: &mut Vec<String>) {
        let facts = asked(question, self.network);
        if facts.is_empty() {
            let name = question.trim().trim_end_matches('?').trim();
            answers.push(format!("Nobody here can tell you that ({name})."));
        }
        // A fact of the case before one that only shares its words.
        let of_case: Vec<FactId> =
            facts.iter().copied().filter(|fact| self.case.value(*fact).is_some()).collect();
        let facts = if of_case.is_empty() { facts } else { of_case };
        for fact in facts.into_iter().take(4) {
            answers.push(told(&self.case, fact, self.network, self.units));
            self.asked.push(fact);
        }
    }

    /// What was said so far that does something.
    #[must_use]
    pub fn said(&self) -> bool {
        !self.said.is_empty()
    }

    /// Whether anything was said or asked so far.
    #[must_use]
    pub fn begun(&self) -> bool {
        self.said() || !self.asked.is_empty()
    }

    /// The marks as things stand.
    #[must_use]
    pub fn mark(&self) -> Mark {
        let said = self.said.join("\n");
        let with = (self.network.knowledge(), self.ear, self.units);
        mark(&self.right, &self.plan, &said, &self.asked, self.harm.clone(), with)
    }
}
