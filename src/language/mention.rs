//! What is said without a state of its own: a mere mention, an item of a list, the state told last.

use super::phrase::Piece;
use super::polarity::denied;
use super::state::{LEFT, States};
use super::statement::Statement;
use super::unknown::unknown_subject;
use crate::facts::FactId;
use crate::knowledge::{Effect, Role, Sense, TermId};

impl States<'_, '_> {
    /// "The pump isn't running but the heater is": the state told last, said of another thing.
    pub(super) fn ellipsis(&self, at: usize, found: &mut Vec<Statement>) {
        let Some(denied) = self.carried_on(at) else { return };
        let sentence = self.clauses.mark(at).sentence;
        for n in (at.saturating_sub(LEFT)..at).rev() {
            if self.clauses.mark(n).sentence != sentence {
                return;
            }
            let Some(before) = self.pieces.get(n) else { return };
            for sense in before.senses {
                let Sense::State(state, _) = sense else { continue };
                if let Some((_, thing)) = self.fitting(at, *state).first().copied() {
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
        let effects = self.lexicon.mentions(term);
        if effects.is_empty() {
            return;
        }
        let is_denied = denied(self.pieces, at, at);
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
            .flat_map(|piece| piece.senses)
            .any(|sense| match sense {
                Sense::State(id, _) | Sense::Thing(id) => traits.barred.contains(id),
                _ => false,
            })
    }
}
