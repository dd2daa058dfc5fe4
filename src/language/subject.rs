//! Subjects: the thing that a state is said of, left or right of it, or told before or after.

use super::measure::Nature;
use super::phrase::Piece;
use super::state::{BACK, LEFT, RIGHT, States};
use super::unknown::{Unknown, unknown_place, unknown_subject};
use crate::knowledge::{Manner, Role, Sense, TermId};

/// How far apart things of one list may stand, in pieces.
const LISTED: usize = 7;

impl States<'_, '_> {
    /// The things a state is said of, the nearest first.
    pub(super) fn subjects(
        &self,
        at: usize,
        state: TermId,
        manner: Manner,
    ) -> Vec<(usize, TermId)> {
        let own = unknown_subject(self.pieces, at, |n| !self.fitting(n, state).is_empty());
        let speaker = self.is_of_the_speaker(at);
        let noun = self.pieces.get(at).is_some_and(Piece::is_noun_state);
        let left = if matches!(manner, Manner::Before) || speaker || own == Some(Unknown::Alone) {
            None
        } else {
            self.left(at, state, manner)
        };
        let leads = self.pieces.get(at).is_some_and(|piece| {
            piece.ends.last().is_some_and(|end| end.contains(&Sense::Role(Role::Preposition)))
        });
        let object = leads || matches!(manner, Manner::Verb | Manner::Before | Manner::Noun);
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
            // "Spraying out of a split elbow": a state right before its thing.
            let adjective = piece.is_state() && !self.fitting(n + 1, state).is_empty();
            cost += if adjective { 0.5 } else { step_cost(piece, 1.2) };
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
        for steps in 1..=LISTED {
            let at = if left { from.checked_sub(steps)? } else { from + steps };
            let piece = self.pieces.get(at)?;
            // A product may also say something by itself: "cal hypo".
            let plain = !piece.is_state() || (piece.is_thing() && piece.inner.is_empty());
            if !self.fitting(at, state).is_empty() && joined && plain {
                let free =
                    if comma { self.alone(at, state_at) } else { left || self.alone(at, state_at) };
                return (free && !(comma && left && self.is_an_object(at))).then_some(at);
            }
            let link = piece.is(Role::And) || piece.is(Role::Or) || piece.sign == Some(',');
            comma |= piece.sign == Some(',');
            joined |= link || matches!(piece.sign, Some('/' | '&' | '+'));
            // "2 jugs of acid, a bag of bicarb".
            let counted = joined
                && (piece.is(Role::NoReadingBefore)
                    || piece.is(Role::Approx)
                    || piece
                        .ends
                        .iter()
                        .flat_map(|end| end.iter())
                        .any(|sense| *sense == Sense::Role(Role::NoReadingBefore))
                    || piece.measure.is_some_and(|m| m.faint || m.nature == Nature::Other));
            if !(link
                || counted
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

    /// "Running the pump, mains still off": a thing with a state of its own right before it.
    fn is_an_object(&self, at: usize) -> bool {
        let before = (at.saturating_sub(2)..at).rev().filter_map(|n| self.pieces.get(n));
        let mut before = before.skip_while(|p| p.is(Role::Definite) && !p.is_state());
        before.next().is_some_and(|p| p.is_state() && !p.is_clear())
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
            let product = piece.is_thing() && piece.inner.is_empty();
            if (piece.is_state() && !product) || piece.measure.is_some() {
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
        // "Primed and running now": what is joined to another state is said of the same thing.
        let numbers = before.iter().any(|piece| piece.measure.is_some());
        let joined = |p: &Piece<'_>| !numbers && (p.is_state() || p.is(Role::And));
        let content = before.iter().filter(|p| !(p.is_clear() || p.is(Role::Not) || joined(p)));
        let elided = content.count() <= 1 && !before.iter().any(Piece::is_thing);
        let after = self.pieces.get(at + 1).is_some_and(|piece| piece.is(Role::Pronoun));
        if !(pronoun || elided || after) {
            return None;
        }
        let sentence = self.clauses.mark(at).sentence;
        (start.saturating_sub(BACK)..at)
            .rev()
            .take_while(|n| self.clauses.mark(*n).sentence + 2 >= sentence)
            .find_map(|n| self.fitting(n, state).into_iter().next())
            .or_else(|| self.named_after(at, state))
            .or_else(|| self.told_after(at, state))
    }

    /// "Stopped about 45 min ago, the pump": a thing that is a clause of its own.
    fn named_after(&self, at: usize, state: TermId) -> Option<(usize, TermId)> {
        let here = self.clauses.mark(at);
        let mut after = self.clauses.list.iter().skip(here.clause + 1).take(4);
        let next = after.find(|clause| {
            let inside = self.pieces.get(clause.first..clause.end).unwrap_or(&[]);
            !inside.iter().all(|p| p.measure.is_some() || p.sign.is_some() || p.is(Role::Ago))
        });
        let next = next.filter(|clause| clause.sentence == here.sentence)?;
        let mut found = None;
        for n in next.first..next.end {
            let piece = self.pieces.get(n)?;
            let plain = piece.sign.is_some()
                || piece.line
                || piece.is(Role::Definite)
                || piece.is(Role::Correct)
                || piece.is(Role::Own);
            if piece.is_thing() && found.is_none() {
                found = self.fitting(n, state).into_iter().next();
            } else if !plain {
                return None;
            }
        }
        found
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
        let back = (at.saturating_sub(LEFT)..at).rev();
        let back = back.take_while(|n| self.clauses.mark(*n).sentence == sentence);
        let near = ahead.chain(back).filter_map(|n| self.pieces.get(n));
        let states = near.filter(plain).flat_map(|p| p.senses);
        let things = states.filter_map(|sense| match sense {
            Sense::State(other, _) if *other != state => self.lexicon.only_thing(*other),
            _ => None,
        });
        let mut things = things.filter(|thing| !self.lexicon.pairs(*thing, state).is_empty());
        things.next().map(|thing| (at, thing))
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
