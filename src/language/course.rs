//! The course of a number: two values of one quantity told in a breath, "tonight 19, tomorrow 34", "was 26 falling to 19".
//!
//! A fact that names another as its `greater` keeps the least of the values told and gives the greatest to the other, if
//! a word of the other stands with it. A
//! fact that is a `start` is what a number was when the state of a duration began: of two numbers of its dimension, told
//! in that order with words of change between, the first is the start and the second the reading of now.

use super::bind::{APART, Binder};
use super::measure::{Measure, Nature};
use super::phrase::Piece;
use super::quantity::{fit, to_canonical};
use super::statement::Statement;
use crate::facts::{FactId, Value};
use crate::knowledge::{FactDef, Label, LabelKind, Role, Sense};
use crate::units::unit;

/// How far before the first number a word of the past may stand.
const NEAR: usize = 3;

impl Binder<'_, '_> {
    /// Puts statements right that tell the course of a number.
    #[must_use]
    pub fn course(&self, mut statements: Vec<Statement>) -> Vec<Statement> {
        self.least_and_greatest(&mut statements);
        self.start_and_now(&mut statements);
        statements
    }

    fn least_and_greatest(&self, statements: &mut Vec<Statement>) {
        let lexicon = &self.knowledge.lexicon;
        for (fact, _) in self.knowledge.vocabulary.iter() {
            let Some(other) = lexicon.traits(fact).and_then(|traits| traits.greater) else {
                continue;
            };
            let mut told: Vec<(usize, f64)> = statements
                .iter()
                .enumerate()
                .filter(|(_, one)| one.fact == fact && !one.supposed)
                .filter_map(|(at, one)| Some((at, one.value.number()?)))
                .collect();
            told.sort_by(|a, b| a.1.total_cmp(&b.1));
            let (Some(least), Some(greatest)) = (told.first(), told.last()) else { continue };
            if greatest.1 <= least.1 || self.corrects(statements, least.0, greatest.0) {
                continue;
            }
            let least = least.0;
            let mut less_cold = Vec::new();
            for (at, value) in told {
                let Some(one) = statements.get_mut(at).filter(|_| at != least) else { continue };
                if self.may_be(one, fact, other) {
                    one.fact = other;
                    one.value = Value::Number(value);
                } else {
                    less_cold.push(at);
                }
            }
            let mut at = 0..;
            statements.retain(|_| at.next().is_none_or(|at| !less_cold.contains(&at)));
        }
    }

    /// Whether the greater of two values is the other fact: "tonight 19, tomorrow 34" tells a high, since a word of the
    /// high stands with it; "low tonight 22, tomorrow 15" tells two lows.
    fn may_be(&self, one: &Statement, fact: FactId, other: FactId) -> bool {
        let has = |from: usize, wanted: &dyn Fn(Label) -> bool| {
            let pieces = self.pieces.get(from..=one.last).unwrap_or(&[]);
            pieces.iter().flat_map(|piece| piece.senses).any(|sense| match sense {
                Sense::Label(at) => self.knowledge.lexicon.label(*at).is_some_and(wanted),
                _ => false,
            })
        };
        has(one.first, &|label| label.fact == other)
            && !has(one.first.saturating_sub(1), &|label| {
                label.fact == fact && label.kind == LabelKind::Ahead
            })
    }

    /// "Tonight 19, sorry, 17": the second takes back the first.
    fn corrects(&self, statements: &[Statement], a: usize, b: usize) -> bool {
        let (Some(a), Some(b)) = (statements.get(a), statements.get(b)) else { return true };
        let (from, to) = (a.last.min(b.last), a.last.max(b.last));
        let between = self.pieces.get(from + 1..to).unwrap_or(&[]);
        between.iter().any(|piece| piece.is(Role::Correct) || piece.is(Role::Not))
    }

    fn start_and_now(&self, statements: &mut Vec<Statement>) {
        let lexicon = &self.knowledge.lexicon;
        let lasts = |one: &Statement| {
            !one.supposed && lexicon.traits(one.fact).is_some_and(|traits| traits.during.is_some())
        };
        if !statements.iter().any(lasts) {
            return;
        }
        let vocabulary = &self.knowledge.vocabulary;
        let found =
            vocabulary.iter().find(|(fact, _)| lexicon.traits(*fact).is_some_and(|t| t.start));
        let Some((start, def)) = found else { return };
        let of_kind = |id| def.unit().map(|own| unit(own).dimension) == Some(unit(id).dimension);
        let now = vocabulary.iter().map(|(fact, _)| fact).find(|fact| {
            let same = vocabulary.get(*fact).and_then(FactDef::unit).is_some_and(of_kind);
            same && lexicon.traits(*fact).is_some_and(|traits| traits.default)
        });
        let Some(now) = now else { return };
        let Some((first, second, values)) = self.change(start) else { return };
        let taken = |one: &Statement| {
            let own = |at: usize| one.first <= at && at <= one.last;
            let same = vocabulary.get(one.fact).and_then(FactDef::unit).is_some_and(of_kind);
            same && (own(first) || own(second))
        };
        statements.retain(|one| !taken(one));
        statements.push(Statement::new(start, Value::Number(values.0), first, first));
        statements.push(Statement::new(now, Value::Number(values.1), second, second));
    }

    /// Two numbers with a change between them: their pieces, and their values as values of a fact.
    fn change(&self, fact: FactId) -> Option<(usize, usize, (f64, f64))> {
        let def = self.knowledge.vocabulary.get(fact)?;
        let fits = |at: usize| {
            let measure = self.pieces.get(at)?.measure.filter(|m| m.nature == Nature::Reading)?;
            let free = !measure.faint && !self.is_anothers(at, &measure, fact);
            free.then_some(())?;
            Some((measure, fit(def, &measure, self.habit)?))
        };
        for at in 0..self.pieces.len() {
            let Some((measure, first)) = fits(at) else { continue };
            if let Some(from) = measure.from {
                let from = to_canonical(from, first.unit, def.unit()?);
                return Some((at, at, (from, first.value)));
            }
            let next = (at + 1..(at + APART).min(self.pieces.len()))
                .find(|n| self.pieces.get(*n).is_some_and(|piece| piece.measure.is_some()));
            let Some((next, (_, second))) = next.and_then(|next| Some((next, fits(next)?))) else {
                continue;
            };
            if self.was(at) && self.turns(at, next) {
                return Some((at, next, (first.value, second.value)));
            }
        }
        None
    }

    /// Whether a word of the past, or where a change began, stands by a number.
    fn was(&self, at: usize) -> bool {
        let before = at.saturating_sub(NEAR)..at;
        let role = |piece: &&Piece<'_>| {
            [Role::Past, Role::From, Role::Formerly].into_iter().any(|role| piece.is(role))
                || self.names(piece, LabelKind::Strong)
        };
        let then = self.pieces.get(at + 1).is_some_and(|next| next.is(Role::Turn));
        then || before.filter_map(|n| self.pieces.get(n)).any(|piece| role(&piece))
    }

    /// Whether what stands between two numbers tells of a change: falling to, to, now.
    fn turns(&self, at: usize, next: usize) -> bool {
        let between = self.pieces.get(at + 1..next).unwrap_or(&[]);
        let after = self.pieces.get(next + 1);
        let turn = |piece: &Piece<'_>| {
            [Role::To, Role::Now, Role::Change, Role::Past].into_iter().any(|r| piece.is(r))
                || matches!(piece.sign, Some('>' | '→'))
                || self.names(piece, LabelKind::Strong)
        };
        let ends = |piece: &Piece<'_>| matches!(piece.sign, Some('.' | '?' | '!'));
        let to_come = after.is_some_and(|piece| piece.is(Role::Ahead));
        !to_come
            && !between.iter().any(ends)
            && (between.iter().any(turn) || after.is_some_and(|piece| piece.is(Role::Now)))
    }

    /// Whether a piece is a name of a number that is also stated by what is past or to come.
    fn names(&self, piece: &Piece<'_>, kind: LabelKind) -> bool {
        let lexicon = &self.knowledge.lexicon;
        piece.senses.iter().any(|sense| match sense {
            Sense::Label(at) => lexicon.label(*at).is_some_and(|label| {
                label.kind == kind
                    && (lexicon.traits(label.fact))
                        .is_some_and(|traits| traits.forecast || traits.greater.is_some())
            }),
            _ => false,
        })
    }

    /// "Water was 50 falling to 44": a name of another number of the kind stands before it.
    fn is_anothers(&self, at: usize, measure: &Measure, fact: FactId) -> bool {
        let lexicon = &self.knowledge.lexicon;
        let subject = |fact: FactId| {
            let def = self.knowledge.vocabulary.get(fact)?;
            Some(def.name.split('.').next().unwrap_or("").to_owned())
        };
        let apart = |other: FactId| {
            subject(other) != subject(fact) && self.dimension(other) == self.dimension(fact)
        };
        let before = (at.saturating_sub(NEAR)..at).rev().filter_map(|n| self.pieces.get(n));
        let other = before.take_while(|piece| piece.measure.is_none()).any(|piece| {
            piece.senses.iter().any(|sense| match sense {
                Sense::Label(label) => lexicon.label(*label).is_some_and(|l| apart(l.fact)),
                _ => false,
            })
        });
        other || measure.dimension().is_some_and(|of| Some(of) != self.dimension(fact))
    }

    fn dimension(&self, fact: FactId) -> Option<crate::units::Dimension> {
        Some(unit(self.knowledge.vocabulary.get(fact)?.unit()?).dimension)
    }
}
