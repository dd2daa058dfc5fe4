//! What is said without a state of its own: a mere mention, an item of a list, the state told last.

use super::phrase::Piece;
use super::polarity::denied;
use super::state::{LEFT, States};
use super::statement::Statement;
use super::unknown::unknown_subject;
use crate::facts::FactId;
use crate::knowledge::{Effect, Role, Sense, TermId};

/// How a thing stands to what was told before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Contrary {
    /// "No leaks except at the pump": the contrary is so of it.
    Excepted,
    /// "It's not the heater leaking, it's the filter": it is so of this one.
    Instead,
}

impl States<'_, '_> {
    /// "The pump isn't running but the heater is": the state told last, said of another thing.
    pub(super) fn ellipsis(&self, at: usize, found: &mut Vec<Statement>) {
        let other = self.is_excepted(at);
        let excepted = other == Some(Contrary::Excepted);
        let Some(denied) = self.carried_on(at).or(other.map(|_| false)) else { return };
        let sentence = self.clauses.mark(at).sentence;
        for n in (at.saturating_sub(LEFT)..at).rev() {
            if self.clauses.mark(n).sentence != sentence {
                return;
            }
            let Some(before) = self.pieces.get(n) else { return };
            let inside = before.ends.last().copied().unwrap_or_default();
            let inside = inside.iter().filter(|_| excepted);
            for sense in before.senses.iter().chain(inside) {
                let Sense::State(state, _) = sense else { continue };
                if let Some((_, thing)) = self.fitting(at, *state).first().copied() {
                    let denied = if excepted { !self.is_denied(n, *state) } else { denied };
                    for (_, _, effect) in self.lexicon.pairs(thing, *state) {
                        let value = if denied { effect.denied } else { Some(effect.value) };
                        if let Some(value) = value {
                            self.push(found, effect.fact, value, at, at + 1);
                        }
                    }
                    return;
                }
            }
        }
    }

    /// Whether a state at a piece is denied of the thing it is said of.
    fn is_denied(&self, at: usize, state: TermId) -> bool {
        let own = self.pieces.get(at).is_some_and(|piece| piece.denies);
        let left = (at.saturating_sub(LEFT)..at).rev();
        let thing = left.take_while(|n| self.pieces.get(*n).is_some_and(|p| !p.ends_sentence()));
        let thing = thing.into_iter().find(|n| !self.fitting(*n, state).is_empty());
        own || denied(self.pieces, thing.unwrap_or(at), at)
    }

    /// "No ice but in the fountain", "nothing leaks, only the pump seal", "it's not the heater leaking, it's the filter":
    /// a thing of which the contrary of what was told is so.
    fn is_excepted(&self, at: usize) -> Option<Contrary> {
        let piece = |n: Option<usize>| n.and_then(|n| self.pieces.get(n));
        let ends = piece(Some(at + 1)).is_none_or(|p| p.parts_items() || p.is(Role::Turn));
        if !ends || !piece(Some(at)).is_some_and(Piece::is_thing) {
            return None;
        }
        let leads = |p: &Piece<'_>| {
            !p.is(Role::Except)
                && (p.is(Role::Definite) || p.is(Role::Preposition))
                && !p.is(Role::Own)
        };
        let mut lead = at.checked_sub(1);
        while piece(lead).is_some_and(leads) {
            lead = lead.and_then(|n| n.checked_sub(1));
        }
        let opens = |p: &Piece<'_>| p.parts_items() || p.is(Role::Turn);
        let alone = piece(lead.and_then(|n| n.checked_sub(1))).is_some_and(opens);
        let instead = |p: &Piece<'_>| p.is(Role::Pronoun) && p.is(Role::Own);
        let denied = || {
            let clause = self.clauses.of(at).map_or(at, |clause| clause.first);
            (clause.saturating_sub(LEFT)..clause).any(|n| {
                self.clauses.mark(n).sentence == self.clauses.mark(at).sentence
                    && piece(Some(n)).is_some_and(|p| p.is(Role::Not) || p.denies)
            })
        };
        let lead = piece(lead)?;
        if lead.is(Role::Except) && (alone || !lead.is(Role::Approx)) {
            return Some(Contrary::Excepted);
        }
        (instead(lead) && alone && denied()).then_some(Contrary::Instead)
    }

    /// Whether a thing takes up the state told last, and denies it: "the heater is", "the heater isn't either",
    /// "neither is the heater".
    fn carried_on(&self, at: usize) -> Option<bool> {
        let is = |n: Option<usize>, role| {
            n.and_then(|n| self.pieces.get(n)).is_some_and(|piece| piece.is(role))
        };
        let ends = |n: usize| {
            self.pieces.get(n).is_none_or(|p| {
                p.ends_sentence() || p.sign == Some(',') || p.is(Role::Turn) || p.is(Role::And)
            })
        };
        if !self.pieces.get(at)?.is_thing() {
            return None;
        }
        let article = usize::from(is(at.checked_sub(1), Role::Definite));
        let aux = at.checked_sub(1 + article);
        let lead = aux.and_then(|n| n.checked_sub(1));
        if is(aux, Role::AskAux) && is(lead, Role::Likewise) && ends(at + 1) {
            return Some(is(lead, Role::Not));
        }
        let verb = self.pieces.get(at + 1).filter(|verb| verb.is(Role::AskAux))?;
        let not = is(Some(at + 2), Role::Not);
        let more = is(Some(at + 2), Role::Likewise);
        (not || ends(at + 2) || (more && ends(at + 3))).then(|| verb.is(Role::Not) || not)
    }

    /// "Plaster, DE, salt": a word that means something only by itself.
    pub(super) fn item(&self, at: usize, found: &mut Vec<Statement>) {
        let piece = |n: Option<usize>| n.and_then(|n| self.pieces.get(n));
        let (before, after) = (piece(at.checked_sub(1)), piece(Some(at + 1)));
        // "15k fiberglass salt": behind what says something of the pool by itself.
        let opens = |before: &Piece<'_>| before.parts_items() || before.tells_alone(self.lexicon);
        if !(before.is_none_or(opens) && after.is_none_or(Piece::parts_items)) {
            return;
        }
        for sense in self.pieces.get(at).map_or(&[][..], |piece| piece.senses) {
            if let Sense::Item(term) = sense {
                let told = found.len();
                self.mention(at, *term, found);
                found.iter_mut().skip(told).for_each(|statement| statement.item = true);
            }
        }
    }

    /// What the mere mention of a term says.
    pub(super) fn mention(&self, at: usize, term: TermId, found: &mut Vec<Statement>) {
        self.mentioned(at, term, false, found);
    }

    /// What the mention of a term says; of what is there for certain, whatever is denied of it.
    pub(super) fn mentioned(
        &self,
        at: usize,
        term: TermId,
        there: bool,
        found: &mut Vec<Statement>,
    ) {
        let effects = self.lexicon.mentions(term);
        if effects.is_empty() {
            return;
        }
        let is_denied = !there && denied(self.pieces, at, at);
        for (_, effect) in effects {
            let value = if is_denied { effect.denied } else { Some(effect.value) };
            let Some(value) = value else { continue };
            if !self.barred(at, effect.fact) && !self.is_said_of_another(at, effect) {
                self.push(found, effect.fact, value, at, at);
            }
        }
    }

    /// "No ice in the pump" says nothing of the pool: a phrase with a place after it that none of its own things is.
    fn is_said_of_another(&self, at: usize, effect: &Effect) -> bool {
        let Some(traits) = self.lexicon.traits(effect.fact).filter(|t| !t.of.is_empty()) else {
            return false;
        };
        let other = |place: &Piece<'_>| {
            place.is_thing() && !place.things().any(|thing| traits.of.contains(&thing))
        };
        let before = (at.saturating_sub(5)..at).rev().filter_map(|n| self.pieces.get(n));
        let mut before = before.skip_while(|p| p.is_clear() && p.sign.is_none() && !p.is_thing());
        if before.next().is_some_and(other) || unknown_subject(self.pieces, at, |_| true).is_some()
        {
            return true;
        }
        let mut n = at + 1;
        let placed = self.pieces.get(n).is_some_and(|piece| piece.is(Role::Preposition));
        while placed
            && self.pieces.get(n).is_some_and(|p| p.is(Role::Preposition) || p.is(Role::Definite))
        {
            n += 1;
        }
        placed && self.pieces.get(n).is_some_and(other)
    }

    /// Whether a word of the same clause keeps a mere mention from stating a fact.
    pub(super) fn barred(&self, at: usize, fact: FactId) -> bool {
        let Some(traits) = self.lexicon.traits(fact) else { return false };
        if traits.barred.is_empty() {
            return false;
        }
        let clause = self.clauses.mark(at).clause;
        (at.saturating_sub(LEFT)..at + LEFT)
            .filter(|n| self.clauses.mark(*n).clause == clause)
            .filter_map(|n| self.pieces.get(n))
            .any(|piece| {
                let said = |sense: &Sense| match sense {
                    Sense::State(id, _) | Sense::Thing(id) => traits.barred.contains(id),
                    _ => false,
                };
                // "Acid in the face" is one phrase with a face in it; "on hand" is a state, and no hand.
                let of_things = |sense: &Sense| match sense {
                    Sense::State(id, _) => self.lexicon.is_told_of_things(*id),
                    _ => false,
                };
                piece.senses.iter().any(said)
                    || (piece.inner.iter().any(|id| traits.barred.contains(id))
                        && !piece.senses.iter().any(of_things))
            })
    }
}
