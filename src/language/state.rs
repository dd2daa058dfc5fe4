//! States: which thing a state is said of, and what that states.

use super::clause::{Clauses, Mood};
use super::phrase::Piece;
use super::polarity::{ceases, denied, ends};
use super::statement::Statement;
use super::unknown::{Unknown, unknown_subject};
use crate::facts::{FactId, Value};
use crate::knowledge::{Keeps, Lexicon, Manner, Role, Sense, TermId};
use crate::units::Dimension;

/// How far to look for the thing a state is said of, in pieces.
pub(super) const LEFT: usize = 12;
pub(super) const RIGHT: usize = 7;
/// How far back a pronoun or a left-out subject may point.
pub(super) const BACK: usize = 30;

/// Reads states from the pieces of a message.
pub struct States<'a, 'k> {
    /// The pieces.
    pub pieces: &'a [Piece<'k>],
    /// Their clauses.
    pub clauses: &'a Clauses,
    /// The lexicon.
    pub lexicon: &'k Lexicon,
}

impl States<'_, '_> {
    /// All that the states and mentions of the message say.
    #[must_use]
    pub fn read(&self) -> Vec<Statement> {
        let mut found = Vec::new();
        let mut used = vec![false; self.pieces.len()];
        let mut told = used.clone();
        for (at, piece) in self.pieces.iter().enumerate() {
            let ended = ends(self.pieces, at).filter(|noun| !self.is_said_of(at, *noun));
            if ceases(self.pieces, at, self.next_word(at)) || ended.is_some() {
                continue;
            }
            for sense in piece.senses {
                if let Sense::State(state, manner) = sense {
                    self.state(at, *state, *manner, &mut found, (&mut used, &mut told));
                }
            }
        }
        // "2 jugs of acid, a bag of cal hypo in the van": what is on the van says nothing by itself.
        found.retain(|one: &Statement| {
            let taken = one.first == one.last && used.get(one.first).copied().unwrap_or(false);
            let barred = self.lexicon.traits(one.fact).is_some_and(|t| !t.barred.is_empty());
            !taken || !barred || self.lexicon.traits(one.fact).is_some_and(|t| t.uses_up)
        });
        for at in 0..self.pieces.len() {
            self.ellipsis(at, &mut found);
            self.item(at, &mut found);
        }
        for (at, piece) in self.pieces.iter().enumerate() {
            let quoted = piece.denies && !piece.inner.is_empty();
            for thing in piece.things().filter(|_| !quoted) {
                // "Nobody has seen the freeze guard kick on": there is one.
                let there = told.get(at).copied().unwrap_or(false) && !self.has_a_denial_beside(at);
                if !used.get(at).copied().unwrap_or(false) {
                    self.mentioned(at, thing, there, &mut found);
                }
            }
        }
        found
    }

    /// Whether a word of ending says something of a thing itself ("the lagging came off").
    fn is_said_of(&self, at: usize, thing: usize) -> bool {
        self.pieces.get(at).is_some_and(|piece| {
            piece.senses.iter().any(|sense| match sense {
                Sense::State(state, _) => !self.fitting(thing, *state).is_empty(),
                _ => false,
            })
        })
    }

    /// "No freeze sensor": right before it.
    fn has_a_denial_beside(&self, at: usize) -> bool {
        let before = (at.saturating_sub(3)..at).rev().filter_map(|n| self.pieces.get(n));
        let mut before = before.skip_while(|p| p.is(Role::Definite) || p.is(Role::Indefinite));
        before.next().is_some_and(|p| p.is(Role::Not) || p.denies)
    }

    fn next_word(&self, at: usize) -> usize {
        (at + 1..at + 4)
            .find(|n| {
                self.pieces.get(*n).is_some_and(|p| !(p.is(Role::Filler) || p.is(Role::Definite)))
            })
            .unwrap_or(at + 1)
    }

    fn state(
        &self,
        at: usize,
        state: TermId,
        manner: Manner,
        found: &mut Vec<Statement>,
        (used, told): (&mut [bool], &mut [bool]),
    ) {
        if manner == Manner::Particle && self.is_preposition(at) {
            return;
        }
        let subjects = self.subjects(at, state, manner);
        let Some(&(main, _)) = subjects.first() else {
            if !self.is_of_a_stranger(at, state, manner) {
                self.mention(at, state, found);
            }
            return;
        };
        let near = main.abs_diff(at) <= LEFT;
        let (low, high) = if near { (main.min(at), main.max(at)) } else { (at, at) };
        let is_denied =
            self.is_taken_back(at) || denied(self.pieces, low, high) != self.is_over(at, &subjects);
        for (subject, thing) in subjects {
            for (_, _, effect) in self.lexicon.pairs(thing, state) {
                let value = if is_denied { effect.denied } else { Some(effect.value) };
                let Some(value) = value.filter(|_| !self.barred(at, effect.fact)) else { continue };
                let uses_up = self.lexicon.traits(effect.fact).is_some_and(|t| t.uses_up);
                if let Some(slot) = used.get_mut(subject) {
                    *slot |= uses_up;
                }
                if let Some(slot) = told.get_mut(subject) {
                    *slot = true;
                }
                self.push(found, effect.fact, value, subject, at);
            }
        }
    }

    /// "The garage roof leaks": said of what no fact here is about.
    fn is_of_a_stranger(&self, at: usize, state: TermId, manner: Manner) -> bool {
        let known = |n: usize| {
            let piece = self.pieces.get(n);
            piece.is_some_and(|p| p.things().any(|t| self.lexicon.is_told_of(t)))
        };
        // "Leaks" is also a noun: said of the word right before it.
        let named = |p: &Piece<'_>| p.is_unknown() || p.is_thing();
        let plain = Sense::State(state, Manner::Plain);
        let verb = at.checked_sub(1).and_then(|n| self.pieces.get(n)).is_some_and(named)
            && self.pieces.get(at).is_some_and(|piece| piece.senses.contains(&plain));
        // "The gauge is busted".
        let before = (at.saturating_sub(4)..at).rev().filter_map(|n| self.pieces.get(n));
        let mut before = before.skip_while(|p| p.is_clear() && !p.is_label());
        let gauge = before
            .next()
            .is_some_and(|p| p.is_label() && !p.is_thing() && !p.is_state() && p.measure.is_none());
        (manner != Manner::Noun || verb) && gauge && self.lexicon.is_told_of_things(state)
            || (manner != Manner::Noun || verb)
                && unknown_subject(self.pieces, at, known) == Some(Unknown::Alone)
                && self.lexicon.is_told_of_things(state)
    }

    /// "I said the heater was leaking, it's not".
    fn is_taken_back(&self, at: usize) -> bool {
        let here = self.clauses.mark(at);
        let Some(next) = self.clauses.list.get(here.clause + 1) else { return false };
        let inside = self.pieces.get(next.first..next.end).unwrap_or(&[]);
        let plain = |piece: &Piece<'_>| {
            let roles = [Role::Not, Role::No, Role::Pronoun, Role::Copula];
            piece.sign.is_some() || roles.into_iter().any(|role| piece.is(role))
        };
        let not = |p: &Piece<'_>| p.is(Role::Not) || (p.is(Role::No) && p.denies);
        next.sentence == here.sentence
            && inside.iter().all(plain)
            && inside.iter().any(not)
            && inside.iter().any(|p| p.is(Role::Pronoun) || p.end > p.first + 1)
    }

    /// "It was leaking, but I fixed it", "was tripping, not any more": the clause after it ends it.
    fn is_over(&self, at: usize, subjects: &[(usize, TermId)]) -> bool {
        let here = self.clauses.mark(at);
        let Some(next) = self.clauses.list.get(here.clause + 1) else { return false };
        let inside = self.pieces.get(next.first..next.end).unwrap_or(&[]);
        let other = |piece: &Piece<'_>| {
            piece.is_thing() && !piece.things().any(|t| subjects.iter().any(|(_, s)| *s == t))
        };
        next.sentence == here.sentence
            && inside.iter().any(|piece| piece.is(Role::Ended))
            && !inside.iter().any(|piece| other(piece) || piece.measure.is_some())
    }

    /// "On the pad", "off a timer": a particle before an article is a preposition.
    fn is_preposition(&self, at: usize) -> bool {
        // "19 out" is how cold it is.
        let before = at.checked_sub(1).and_then(|n| self.pieces.get(n)).and_then(|p| p.measure);
        let told =
            before.is_some_and(|m| m.dimension().is_none_or(|d| d == Dimension::Temperature));
        let named = self.pieces.get(at).is_some_and(Piece::is_label);
        // "The gauge on zero".
        let gauge = |p: &Piece<'_>| p.is_label() && !p.is_thing() && p.measure.is_none();
        let label = at.checked_sub(1).and_then(|n| self.pieces.get(n)).is_some_and(gauge);
        let number = self.pieces.get(at + 1).is_some_and(|next| next.measure.is_some());
        (told && named)
            || (label && number)
            || self.pieces.get(at + 1).is_some_and(|next| {
                (next.is(Role::Definite) && !next.is(Role::Pronoun)) || next.is(Role::Indefinite)
            })
    }

    /// "The neighbour's pump died, mine's running".
    fn is_ones_own(&self, at: usize) -> bool {
        let own = |p: &Piece<'_>| p.is(Role::Own) && p.is(Role::Pronoun) && p.is(Role::Definite);
        (at.saturating_sub(4)..at).any(|n| {
            self.pieces.get(n).is_some_and(own)
                && self.clauses.mark(n).clause == self.clauses.mark(at).clause
        })
    }

    pub(super) fn push(
        &self,
        found: &mut Vec<Statement>,
        fact: FactId,
        value: Value,
        subject: usize,
        at: usize,
    ) {
        let here = self.clauses.mark(at).mood;
        let there = self.clauses.mark(subject).mood;
        let mood = match (here, there) {
            (_, Mood::Void) if subject < at && !self.is_ones_own(at) => Mood::Void,
            (here, _) => here,
        };
        let forecast = self.lexicon.traits(fact).is_some_and(|traits| traits.forecast);
        let supposed = match mood {
            Mood::Stated | Mood::Asked(Keeps::All) => false,
            Mood::Unreal if forecast => false,
            Mood::Supposed => true,
            _ => return,
        };
        let formerly = (at.saturating_sub(4)..at)
            .any(|n| self.pieces.get(n).is_some_and(|piece| piece.is(Role::Formerly)));
        let past = formerly || self.clauses.of(at).is_some_and(|c| c.past && !c.now);
        let near = subject.abs_diff(at) <= LEFT;
        let (first, last) = if near { (subject.min(at), subject.max(at)) } else { (at, at) };
        found.push(Statement { supposed, past, ..Statement::new(fact, value, first, last) });
    }
}
