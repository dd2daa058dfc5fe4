//! Clauses beside each other: which are one, what is only looked at, and what is done before what.

use super::clause::{Clause, begins};
use super::ear::Ear;

impl Ear<'_> {
    /// "First, kill the power", "I'd kill the power first": something that is done before all else. "Pump first" in a
    /// list says nothing of the kind, nor does "breakers off, bare pipe drained first".
    pub(super) fn leads(&self, clause: &Clause, opens: bool) -> bool {
        let doing = self.doing;
        let begin = clause.stems.iter().position(|word| !doing.shapes.small.contains(word));
        let at = begin.unwrap_or(0);
        if begins(&clause.stems, at, &doing.shapes.not_first).is_some() {
            return false;
        }
        let first = begins(&clause.stems, at, &doing.shapes.first);
        let told = opens || clause.stems.iter().any(|word| doing.shapes.who.contains(word));
        let ends = told && doing.shapes.first.iter().any(|phrase| clause.stems.ends_with(phrase));
        let acts = clause.concepts.iter().any(|(id, _)| self.is_verb(*id));
        acts && (first.is_some() || ends)
    }

    /// "Level and baskets.": a sentence without a verb says what is looked at.
    pub(super) fn look(&self, clauses: &mut [Clause], first: usize) {
        let Some([clause]) = clauses.get_mut(first..) else { return };
        let acts = clause.concepts.iter().any(|(id, _)| self.is_verb(*id));
        if !acts && clause.denials.is_empty() {
            self.add_looks(clause);
        }
    }

    /// Whether a clause names anything, beside the looking that bare words are taken for.
    pub(super) fn hears(&self, clause: &Clause) -> bool {
        let all_looks =
            self.looks.iter().all(|id| clause.concepts.iter().any(|(own, _)| own == id));
        let only_looks = clause.concepts.iter().all(|(own, _)| self.looks.contains(own));
        !(only_looks && (all_looks || clause.concepts.is_empty()))
    }

    pub(super) fn add_looks(&self, clause: &mut Clause) {
        for id in &self.looks {
            if !clause.concepts.iter().any(|(known, _)| known == id) {
                clause.concepts.push((*id, 0));
                clause.looked = true;
            }
        }
    }

    /// A clause without a verb belongs to its neighbour: "at the breaker, switch everything off".
    ///
    /// Gives back the clauses that were joined: in a list ("plugs out, valves, bleeder") each stands for itself too.
    pub(super) fn join(&self, clauses: &mut Vec<Clause>, first: usize) -> Vec<Clause> {
        let mut joined = Vec::new();
        let verb = |clause: &Clause| {
            !clause.denials.is_empty() || clause.concepts.iter().any(|(id, _)| self.is_verb(*id))
        };
        let mut at = first;
        while at < clauses.len() {
            // Behind a denial it stands for itself: "nobody near, then the poison line".
            let denied =
                at > first && clauses.get(at - 1).is_some_and(|before| !before.denials.is_empty());
            let bare =
                !denied && clauses.get(at).is_some_and(|clause| !verb(clause) && !clause.reason);
            // "Gas fitter before anything is lit": what comes later takes nothing of what comes first.
            let waits = at == first
                && clauses.get(at + 1).is_some_and(|next| {
                    begins(&next.stems, 0, &self.doing.shapes.before).is_some()
                });
            if !bare || waits || clauses.len() - first < 2 {
                at += 1;
                continue;
            }
            let bare = clauses.remove(at);
            joined.push(bare.clone());
            let before = at > first;
            let into = if before { at - 1 } else { at };
            if let Some(other) = clauses.get(into) {
                let words = if before {
                    other.stems.iter().chain(&bare.stems).cloned().collect()
                } else {
                    bare.stems.iter().chain(&other.stems).cloned().collect()
                };
                let order = other.order.min(bare.order);
                let mut merged = self.clause(words, other.sentence, order);
                // "If there is ice, don't run it": what is denied by itself is denied.
                let shift = if before { 0 } else { bare.stems.len() };
                let end = |end: usize| {
                    if end == other.stems.len() { merged.stems.len() } else { end + shift }
                };
                merged.denials =
                    other.denials.iter().map(|(at, to)| (at + shift, end(*to))).collect();
                let place = other.place.max(bare.place);
                // Pieces of one part have the words of all of it already.
                let text = if other.text == bare.text {
                    bare.text.clone()
                } else {
                    format!("{}, {}", other.text, bare.text)
                };
                let later = other.later || merged.later;
                // "No ice: prime it": what is not there is a condition of what is done.
                let supposes = other.supposes || self.observes(&bare.stems);
                let merged = Clause { later, order, place, text, supposes, ..merged };
                if let Some(slot) = clauses.get_mut(into) {
                    *slot = merged;
                }
            }
        }
        let last = clauses.last().map_or(0.0, |last| last.place);
        joined.iter_mut().for_each(|one| one.place = last);
        joined
    }

    /// "No ice", "not running": something that is seen not to be so.
    fn observes(&self, words: &[String]) -> bool {
        begins(words, 0, &self.doing.shapes.idle).is_some()
    }

    /// "Before I open the plugs, I cut the power"; "open the plugs after cutting the power": what comes first is first.
    pub(super) fn turn(&self, clauses: &mut [Clause], first: usize) {
        let doing = self.doing;
        for at in first..clauses.len() {
            let Some(words) = clauses.get(at).map(|clause| clause.stems.clone()) else { continue };
            let other = |n: usize| clauses.get(n).map(|clause| clause.order);
            let order = if begins(&words, 0, &doing.shapes.before).is_some() && at == first {
                other(at + 1).map(|next| next + 0.5)
            } else if begins(&words, 0, &doing.shapes.after).is_some() && at > first {
                other(at - 1).map(|before| before - 0.5)
            } else {
                None
            };
            let Some(clause) = clauses.get_mut(at) else { continue };
            clause.order = order.unwrap_or(clause.order);
            // "… before it ever runs again": that is not done now.
            let not_now = begins(&words, 0, &doing.shapes.before).is_some();
            clause.supposes |= not_now;
            clause.reason |= not_now;
        }
    }
}
