//! Questions that go on from what was told, where the facts change nothing: "how do i fill it", "and the timer?"; and
//! messages from which nothing was taken.

use super::passages;
use super::reply::plain;
use super::turn::Session;
use crate::advice::{Answer, AnswerFact};
use crate::facts::Origin;
use crate::knowledge::{Passage, plain_words};

/// A question of more words than this says itself what it is about.
const SHORT: usize = 8;
/// One of so few words always goes on from something.
const FEW: usize = 2;
/// So many sections under an answer say what it is about.
const TOPICS: usize = 2;

impl Session<'_> {
    /// The passages that answer a question: by its own words, or else as going on from what was spoken of last.
    pub(super) fn passages_for(&self, question: &str) -> Vec<Passage> {
        let words = plain_words(question);
        let talk = &self.base.knowledge().talk;
        let leaning = words.iter().any(|word| talk.leaning.contains(word));
        let leans = words.len() <= FEW || (words.len() <= SHORT && leaning);
        let about = self.talk.spoken.as_deref().filter(|_| leans);
        let going_on = |about: &str| passages::answering(self.base, question, Some(about));
        // "And the timer?" goes on from what was spoken of, whatever else the notes say of timers.
        let goes_on = words.first().is_some_and(|word| talk.onward.contains(word));
        if let Some(found) = about.filter(|_| goes_on).map(going_on)
            && !found.is_empty()
        {
            return found;
        }
        let found = passages::answering(self.base, question, None);
        if found.is_empty() { about.map(going_on).unwrap_or_default() } else { found }
    }

    /// Keeps in mind what an answer is about, for a question that goes on from it.
    pub(super) fn note_spoken(&mut self, answer: &Answer) {
        let titles = answer.passages.iter().take(TOPICS);
        let titles = titles.map(|one| format!("{} {}", one.note.replace('-', " "), one.title));
        let titles: Vec<String> = titles.collect();
        if !titles.is_empty() {
            self.talk.spoken = Some(titles.join(" "));
        }
    }

    /// An answer by which nothing changes still answers what was asked, and says so if nothing was taken.
    pub(super) fn go_on(&self, answer: &mut Answer) {
        // What leave is asked for is not told.
        let deed = self.base.knowledge().deeds.fact;
        let told_now = |fact: &AnswerFact| fact.origin == Origin::Message && Some(fact.id) != deed;
        let taken = answer.facts.iter().any(told_now);
        let read = !answer.read.is_empty();
        let told = !answer.replies.is_empty() || !answer.verdicts.is_empty() || answer.looked_up;
        let says_something = told || read || taken;
        // Nobody in an emergency is told that the notes or the program have nothing to say.
        if says_something || self.in_danger() {
            return;
        }
        if self.pool_named(&answer.message, answer.at).is_some() {
            // "What about the Jones pool?": how it stands there.
            answer.replies.push(self.facts_known());
            return;
        }
        let tells = ["report", "correct"];
        let asks = answer.asks.iter().any(|ask| !tells.contains(&ask.as_str()));
        if asks || answer.message.trim_end().ends_with('?') {
            let found = self.passages_for(&answer.message);
            answer.looked_up = !found.is_empty();
            if answer.looked_up {
                answer.unread.clear();
                answer.passages = found;
            }
        } else if answer.asks.iter().any(|ask| ask == "report") {
            let said = self.base.knowledge().talk.say("not_taken");
            answer.replies.push(plain("not taken", said));
        }
    }
}
