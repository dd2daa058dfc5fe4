//! States: which thing a state is said of, and what that states.

use super::clause::{Clauses, Mood};
use super::phrase::Piece;
use super::polarity::{ceases, denied, ends};
use super::statement::Statement;
use super::unknown::{Unknown, unknown_place, unknown_subject};
use crate::facts::{FactId, Value};
use crate::knowledge::{Keeps, Lexicon, Manner, Role, Sense, TermId};
use crate::units::Dimension;

/// How far to look for the thing a state is said of, in pieces.
pub(super) const LEFT: usize = 12;
const RIGHT: usize = 7;
/// How far back a pronoun or a left-out subject may point.
const BACK: usize = 30;

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
        for (at, piece) in self.pieces.iter().enumerate() {
            if ceases(self.pieces, at, self.next_word(at)) || ends(self.pieces, at).is_some() {
                continue;
            }
            for sense in piece.senses {
                if let Sense::State(state, manner) = sense {
                    self.state(at, *state, *manner, &mut found, &mut used);
                }
            }
        }
        for at in 0..self.pieces.len() {
            self.ellipsis(at, &mut found);
            self.item(at, &mut found);
        }
        for (at, piece) in self.pieces.iter().enumerate() {
            let quoted = piece.denies && !piece.inner.is_empty();
            for thing in piece.things().filter(|_| !quoted) {
                if !used.get(at).copied().unwrap_or(false) {
                    self.mention(at, thing, &mut found);
                }
            }
        }
        found
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
        used: &mut [bool],
    ) {
        if manner == Manner::Particle && self.is_preposition(at) {
            return;
        }
        let subjects = self.subjects(at, state, manner);
        let Some(&(main, _)) = subjects.first() else {
            self.mention(at, state, found);
            return;
        };
        let near = main.abs_diff(at) <= LEFT;
        let (low, high) = if near { (main.min(at), main.max(at)) } else { (at, at) };
        let is_denied = denied(self.pieces, low, high) != self.is_over(at, &subjects);
        for (subject, thing) in subjects {
            for (_, _, effect) in self.lexicon.pairs(thing, state) {
                let value = if is_denied { effect.denied } else { Some(effect.value) };
                let Some(value) = value else { continue };
                let uses_up = self.lexicon.traits(effect.fact).is_some_and(|t| t.uses_up);
                if let Some(slot) = used.get_mut(subject) {
                    *slot |= uses_up;
                }
                self.push(found, effect.fact, value, subject, at);
            }
        }
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
        (told && named)
            || self.pieces.get(at + 1).is_some_and(|next| {
                (next.is(Role::Definite) && !next.is(Role::Pronoun)) || next.is(Role::Indefinite)
            })
    }

    /// The things a state is said of, the nearest first.
    fn subjects(&self, at: usize, state: TermId, manner: Manner) -> Vec<(usize, TermId)> {
        let own = unknown_subject(self.pieces, at, |n| !self.fitting(n, state).is_empty());
        let speaker = self.is_of_the_speaker(at);
        let noun = self.pieces.get(at).is_some_and(Piece::is_noun_state);
        let left = if matches!(manner, Manner::Before) || speaker || own == Some(Unknown::Alone) {
            None
        } else {
            self.left(at, state, manner)
        };
        let object = matches!(manner, Manner::Verb | Manner::Before | Manner::Noun);
        let placed = self.pieces.get(at + 1).is_some_and(|next| next.is(Role::Preposition));
        let right = if manner == Manner::Particle || (own.is_some() && !object && !placed) {
            None
        } else {
            self.right(at, state, manner)
        };
        if (left.is_none() && right.is_none() && (own.is_some() || manner == Manner::Before))
            || (right.is_none() && noun && unknown_place(self.pieces, at))
        {
            return Vec::new();
        }
        let best = match (left, right) {
            (Some(left), Some(right)) if right.1 < left.1 => Some((right.0, false)),
            (Some(left), _) => Some((left.0, true)),
            (None, Some(right)) => Some((right.0, false)),
            (None, None) => None,
        };
        let Some((main, to_left)) = best else {
            return self.topic(at, state).into_iter().collect();
        };
        let mut subjects = self.fitting(main, state);
        let mut from = main;
        while let Some(next) = self.coordinated(from, at, state, to_left) {
            subjects.extend(self.fitting(next, state));
            from = next;
            if subjects.len() > 8 {
                break;
            }
        }
        subjects
    }

    /// "We're fine", "I'm out": said of people.
    fn is_of_the_speaker(&self, at: usize) -> bool {
        let before = (at.saturating_sub(3)..at).rev().filter_map(|n| self.pieces.get(n));
        let mut before =
            before.skip_while(|p| p.is(Role::Filler) || p.is(Role::Copula) || p.is(Role::Not));
        before
            .next()
            .is_some_and(|p| p.is(Role::Own) && !p.is(Role::Pronoun) && !p.is(Role::Definite))
    }

    /// The things at a piece of which a state can be said.
    pub(super) fn fitting(&self, at: usize, state: TermId) -> Vec<(usize, TermId)> {
        self.pieces.get(at).map_or_else(Vec::new, |piece| {
            piece
                .things()
                .filter(|thing| !self.lexicon.pairs(*thing, state).is_empty())
                .map(|thing| (at, thing))
                .collect()
        })
    }

    fn left(&self, at: usize, state: TermId, manner: Manner) -> Option<(usize, f64)> {
        let budget = if manner == Manner::Particle { 4.0 } else { 7.0 };
        let mut cost = if manner == Manner::Noun { 1.0 } else { 0.0 };
        for n in (at.saturating_sub(LEFT)..at).rev() {
            let piece = self.pieces.get(n)?;
            if piece.ends_sentence() || cost > budget {
                return None;
            }
            if !self.fitting(n, state).is_empty() {
                let head = self.head(n, state).unwrap_or(n);
                return Some((head, if piece.is_state() { cost + 2.5 } else { cost }));
            }
            cost += step_cost(piece, 1.0);
        }
        None
    }

    /// "The union by the heater": the thing before the preposition is meant, if the state can be said of it.
    fn head(&self, at: usize, state: TermId) -> Option<usize> {
        let mut n = at.checked_sub(1)?;
        if self.pieces.get(n)?.is(Role::Definite) {
            n = n.checked_sub(1)?;
        }
        let placed = self.pieces.get(n)?.is(Role::Preposition);
        let head = n.checked_sub(1)?;
        let plain = !self.pieces.get(head)?.is_state();
        (placed && plain && !self.fitting(head, state).is_empty()).then_some(head)
    }

    fn right(&self, at: usize, state: TermId, manner: Manner) -> Option<(usize, f64)> {
        let placed = self.pieces.get(at + 1).is_some_and(|next| next.is(Role::Preposition));
        let mut cost = match manner {
            Manner::Verb | Manner::Before => 0.0,
            Manner::Noun if placed => -1.0,
            Manner::Noun => 1.0,
            _ if placed => 1.0,
            _ => 1.5,
        };
        let mut strange = false;
        for n in at + 1..=at + RIGHT {
            let piece = self.pieces.get(n)?;
            let stop = piece.ends_sentence()
                || piece.sign == Some(',')
                || piece.is(Role::And)
                || piece.is(Role::Turn)
                || cost > 4.5;
            if stop {
                return None;
            }
            if !self.fitting(n, state).is_empty() {
                // "Turned off the heatr pump is on": a thing with a state of its own is not what the word before means.
                return (!strange || self.alone(n, at)).then_some((n, cost));
            }
            strange |= piece.is_unknown();
            cost += step_cost(piece, 1.2);
        }
        None
    }

    /// The next thing joined to one by "and", "or" or a comma: "pump, heater and filter are drained".
    fn coordinated(
        &self,
        from: usize,
        state_at: usize,
        state: TermId,
        left: bool,
    ) -> Option<usize> {
        let mut joined = false;
        let mut comma = false;
        for steps in 1..=5 {
            let at = if left { from.checked_sub(steps)? } else { from + steps };
            let piece = self.pieces.get(at)?;
            if !self.fitting(at, state).is_empty() && joined && !piece.is_state() {
                let free =
                    if comma { self.alone(at, state_at) } else { left || self.alone(at, state_at) };
                return free.then_some(at);
            }
            let link = piece.is(Role::And) || piece.is(Role::Or) || piece.sign == Some(',');
            comma |= piece.sign == Some(',');
            joined |= link || matches!(piece.sign, Some('/' | '&' | '+'));
            if !(link
                || piece.is(Role::Definite)
                || piece.is(Role::Indefinite)
                || piece.is(Role::Filler)
                || piece.is(Role::Preposition)
                || matches!(piece.sign, Some('/' | '&' | '+')))
            {
                return None;
            }
        }
        None
    }

    /// Whether a thing has no state or number of its own after it.
    fn alone(&self, at: usize, state_at: usize) -> bool {
        for n in at + 1..at + 6 {
            let Some(piece) = self.pieces.get(n) else { break };
            if piece.ends_sentence()
                || piece.sign == Some(',')
                || piece.is(Role::Turn)
                || n == state_at
            {
                break;
            }
            if piece.is_state() || piece.measure.is_some() {
                return false;
            }
        }
        true
    }

    /// What a pronoun or a left-out subject stands for: the last thing of which the state can be said.
    fn topic(&self, at: usize, state: TermId) -> Option<(usize, TermId)> {
        let first = self.clauses.of(at).map_or(0, |clause| clause.first);
        let start = first.max(at.saturating_sub(LEFT));
        let before = self.pieces.get(start..at).unwrap_or(&[]);
        let pronoun = before.iter().any(|piece| piece.is(Role::Pronoun));
        let elided = before.iter().filter(|piece| !piece.is_clear()).count() <= 1
            && !before.iter().any(Piece::is_thing);
        let after = self.pieces.get(at + 1).is_some_and(|piece| piece.is(Role::Pronoun));
        if !(pronoun || elided || after) {
            return None;
        }
        let sentence = self.clauses.mark(at).sentence;
        (start.saturating_sub(BACK)..at)
            .rev()
            .take_while(|n| self.clauses.mark(*n).sentence + 2 >= sentence)
            .find_map(|n| self.fitting(n, state).into_iter().next())
            .or_else(|| self.told_after(at, state))
    }

    /// "Running, but has lost its prime": a state after it that can be of one thing only tells what is meant.
    fn told_after(&self, at: usize, state: TermId) -> Option<(usize, TermId)> {
        let sentence = self.clauses.mark(at).sentence;
        let plain = |piece: &&Piece<'_>| {
            !piece.is_clear() && !piece.is_label() && !piece.is(Role::Not) && !piece.is(Role::Gone)
        };
        let near = at.saturating_sub(LEFT)..at + LEFT;
        let mut inside = near.filter(|n| self.clauses.mark(*n).sentence == sentence);
        if self.pieces.get(at).filter(plain).is_none()
            || inside.any(|n| self.pieces.get(n).is_some_and(Piece::is_thing))
        {
            return None;
        }
        let ahead = (at + 1..at + LEFT).take_while(|n| self.clauses.mark(*n).sentence == sentence);
        let states = ahead.filter_map(|n| self.pieces.get(n)).filter(plain).flat_map(|p| p.senses);
        let things = states.filter_map(|sense| match sense {
            Sense::State(other, _) if *other != state => self.lexicon.only_thing(*other),
            _ => None,
        });
        let mut things = things.filter(|thing| !self.lexicon.pairs(*thing, state).is_empty());
        things.next().map(|thing| (at, thing))
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
            (_, Mood::Void) if subject < at => Mood::Void,
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

/// What it costs to pass a piece on the way from a state to its thing.
fn step_cost(piece: &Piece<'_>, content: f64) -> f64 {
    match piece {
        p if p.sign == Some(',') => 3.0,
        p if p.is(Role::And) => 1.0,
        p if p.is(Role::Turn) => 4.0,
        p if p.is(Role::Not) || p.is_clear() => 0.0,
        p if p.is_noun_state() => 6.0,
        p if p.is_thing() => 3.5,
        p if p.measure.is_some() => 0.7,
        _ => content,
    }
}
