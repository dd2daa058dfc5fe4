//! Numbers without a label of their own: bound by their unit, or to what was told just before.

use super::bind::{APART, Binder, Bound};
use super::clause::Clause;
use super::measure::Measure;
use super::phrase::Piece;
use super::quantity::fit;
use crate::facts::FactId;
use crate::knowledge::{AskKind, FactDef, LabelKind, Role, Sense};
use crate::units::{Dimension, unit};

/// How far a word may stand from a number to tie it to the reading before.
const NEAR: usize = 4;
/// How many readings of a list are looked at on either side of one.
const LISTED: usize = 8;

impl Binder<'_, '_> {
    /// Binds what it can of the numbers that no label names; returns what is still left.
    #[must_use]
    pub fn rest(&self, bound: &mut Vec<Bound>, rest: Vec<usize>) -> Vec<usize> {
        let mut left = Vec::new();
        let mut added: Vec<Bound> = Vec::new();
        for at in rest {
            let Some(measure) = self.pieces.get(at).and_then(|piece| piece.measure) else {
                continue;
            };
            let labelled = bound.partition_point(|b| b.number < at).checked_sub(1);
            let before = labelled.and_then(|n| bound.get(n)).copied();
            let before = match (before, added.last().copied()) {
                (Some(a), Some(b)) => Some(if a.number > b.number { a } else { b }),
                (a, b) => a.or(b),
            };
            let after = bound.partition_point(|b| b.number <= at);
            let swapped = bound.get(after).filter(|next| {
                // "Make that 250, not 350, on the calcium".
                (at + 1..at + 4).contains(&next.number)
                    && self.pieces.get(next.number - 1).is_some_and(|p| p.is(Role::Not))
            });
            let swapped = swapped.and_then(|next| {
                let def = self.knowledge.vocabulary.get(next.fact)?;
                let fit = fit(def, &measure, self.habit)?;
                Some(Bound { number: at, label: next.label, fact: next.fact, fit })
            });
            let again = before
                .and_then(|before| self.again(at, &measure, before.fact, before.number))
                .or_else(|| {
                    self.label_before(at, &measure)
                        .and_then(|(n, fact)| self.again(at, &measure, fact, n))
                });
            match swapped
                .or(again)
                .or_else(|| self.by_the_clock(at, &measure))
                .or_else(|| self.listed_with(at, &measure, bound))
                .or_else(|| self.by_unit(at, &measure))
                .or_else(|| self.it_is(at, &measure))
                .or_else(|| self.by_magnitude(at, &measure))
            {
                Some(found) => added.push(found),
                None => left.push(at),
            }
        }
        added.retain(|found| !self.taken_back(found, bound));
        bound.extend(added);
        bound.sort_by_key(|b| b.number);
        left
    }

    /// "It's 4C, sorry, 40F in the water": a number without a label that one of its kind takes back.
    fn taken_back(&self, found: &Bound, bound: &[Bound]) -> bool {
        let dimension = |n: usize| self.pieces.get(n).and_then(|p| p.measure?.dimension());
        let after = bound.partition_point(|b| b.number <= found.number);
        bound.get(after).is_some_and(|next| {
            next.number - found.number <= NEAR
                && dimension(next.number).is_some()
                && dimension(next.number) == dimension(found.number)
                && (found.number..next.number).any(|n| {
                    self.pieces.get(n).is_some_and(|p| p.is(Role::Correct) && !p.is(Role::Not))
                })
        })
    }

    /// "pH 7.2, now 7.6", "FC 3, I mean 0.3", "pressure was 18 … it's 27": the same quantity again.
    fn again(&self, at: usize, measure: &Measure, fact: FactId, told: usize) -> Option<Bound> {
        if measure.faint {
            return None;
        }
        let tied = (1..=NEAR)
            .filter_map(|back| at.checked_sub(back))
            .map_while(|n| self.pieces.get(n).filter(|piece| piece.measure.is_none()))
            .chain(self.pieces.get(at + 1))
            .any(|piece| {
                [
                    Role::Now,
                    Role::Pronoun,
                    Role::Correct,
                    Role::Change,
                    Role::Not,
                    Role::Past,
                    Role::To,
                    Role::Today,
                ]
                .into_iter()
                .any(|role| piece.is(role))
            });
        if !tied && measure.from.is_none() {
            return None;
        }
        let sentence = self.clauses.mark(at).sentence;
        let recent = self.clauses.mark(told).sentence + 3 >= sentence && at - told <= 16;
        let fact = self.present(at, fact);
        let def = self.knowledge.vocabulary.get(fact)?;
        // "Bring 15000 gallons from 2400 to 3200": how much water there is does not change.
        let changes = measure.from.is_none() || def.fresh_h.is_some();
        if !changes || self.is_difference(at, def) {
            return None;
        }
        let fit = fit(def, measure, self.habit)?;
        (recent && fit.score > 0.5).then_some(Bound { number: at, label: None, fact, fit })
    }

    /// The last quantity named before a number, whether or not a number was given for it.
    fn label_before(&self, at: usize, measure: &Measure) -> Option<(usize, FactId)> {
        let now = self.pieces.get(at + 1).is_some_and(|after| after.is(Role::Now));
        (at.saturating_sub(16)..at).rev().find_map(|n| {
            let named = self.pieces.get(n).filter(|p| !(now && p.is(Role::Past)));
            let senses = named.filter(|piece| !self.dates_an_hour(n, piece))?.senses;
            senses.iter().find_map(|sense| match sense {
                Sense::Label(label) => {
                    let label = self.knowledge.lexicon.label(*label)?;
                    let def = self.knowledge.vocabulary.get(label.fact)?;
                    let fits = fit(def, measure, self.habit).is_some_and(|fit| fit.score > 0.5);
                    (label.kind == LabelKind::Strong && fits).then_some((n, label.fact))
                }
                _ => None,
            })
        })
    }

    /// "10 psi when clean, 19 now": a reading of now is the plain reading of the same thing.
    fn present(&self, at: usize, fact: FactId) -> FactId {
        let near = [at.checked_sub(1), at.checked_sub(2), Some(at + 1)];
        let now =
            near.into_iter().flatten().filter_map(|n| self.pieces.get(n)).any(|p| p.is(Role::Now));
        let vocabulary = &self.knowledge.vocabulary;
        let subject = |fact: FactId| {
            vocabulary.get(fact).map(|def| (def.name.split('.').next().unwrap_or(""), def.unit()))
        };
        let is_default =
            |fact: FactId| self.knowledge.lexicon.traits(fact).is_some_and(|t| t.default);
        if !now || is_default(fact) {
            return fact;
        }
        vocabulary
            .iter()
            .map(|(other, _)| other)
            .find(|other| is_default(*other) && subject(*other) == subject(fact))
            .unwrap_or(fact)
    }

    /// "It's 19": said of nothing in particular, a bare number is how cold it is.
    fn it_is(&self, at: usize, measure: &Measure) -> Option<Bound> {
        let verb = at.checked_sub(1).and_then(|n| self.pieces.get(n))?;
        let it = if verb.is(Role::Pronoun) || self.is_told_of_now(at) {
            verb
        } else {
            at.checked_sub(2).and_then(|n| self.pieces.get(n)).filter(|_| verb.is(Role::Filler))?
        };
        let next_unknown = self.pieces.get(at + 1).is_some_and(|next| {
            next.is_unknown() || next.is_thing() || next.is_label() || next.measure.is_some()
        });
        if measure.faint
            || measure.unit.is_some()
            || self.tells_the_hour(at)
            || next_unknown
            || !((it.is(Role::Pronoun) && it.is(Role::Own)) || self.is_told_of_now(at))
        {
            return None;
        }
        let (fact, def) = self.knowledge.vocabulary.iter().find(|(fact, def)| {
            self.knowledge.lexicon.traits(*fact).is_some_and(|t| t.default)
                && def.unit().map(|id| unit(id).dimension) == Some(Dimension::Temperature)
        })?;
        let fit = fit(def, measure, self.habit).filter(|_| !self.is_difference(at, def))?;
        (fit.score > 0.0).then_some(Bound { number: at, label: None, fact, fit })
    }

    /// "Pump off, 26 now": a bare number beside a word of now, and no number before it that it could be now.
    fn is_told_of_now(&self, at: usize) -> bool {
        let next = self.pieces.get(at + 1);
        let now = next.is_some_and(|p| p.is(Role::Now) && !p.is_state());
        let ends = self.pieces.get(at + 2).is_none_or(Piece::parts_items);
        let mut before = self.pieces.get(at.saturating_sub(APART)..at).unwrap_or(&[]).iter();
        now && ends
            && !before.any(|piece| piece.measure.is_some() || piece.is_label() && !piece.is_thing())
    }

    /// "It shut off at 3am and it's 7 now": after an hour of the day it is another hour.
    pub(super) fn tells_the_hour(&self, at: usize) -> bool {
        let sentence = self.clauses.mark(at).sentence;
        let degrees = self.pieces.get(at).and_then(|p| p.measure).is_some_and(|m| m.degrees);
        !degrees
            && (at.saturating_sub(12)..at).any(|n| {
                self.clauses.mark(n).sentence == sentence
                    && self
                        .pieces
                        .get(n)
                        .and_then(|piece| piece.measure)
                        .is_some_and(|m| matches!(m.nature, super::measure::Nature::Clock { .. }))
            })
    }

    /// "The timer has it on from 8 pm to 6 am": so many hours of each day.
    fn by_the_clock(&self, at: usize, measure: &Measure) -> Option<Bound> {
        let lexicon = &self.knowledge.lexicon;
        let clause = self.clauses.of(at).filter(|_| measure.hours)?;
        let inside =
            self.pieces.get(clause.first.max(at.saturating_sub(12))..clause.end.min(at + 12))?;
        let (fact, def) = self.knowledge.vocabulary.iter().find(|(fact, _)| {
            lexicon.traits(*fact).is_some_and(|traits| {
                let told = |piece: &Piece<'_>| piece.things().any(|t| traits.subjects.contains(&t));
                traits.by_the_clock && inside.iter().any(told)
            })
        })?;
        let fit = fit(def, measure, self.habit).filter(|_| !self.barred(at, fact))?;
        Some(Bound { number: at, label: None, fact, fit })
    }

    /// "Ph 7.4, alk 90, 46 degrees": in a list of readings of one subject, what is measured of that subject too.
    fn listed_with(&self, at: usize, measure: &Measure, bound: &[Bound]) -> Option<Bound> {
        let dimension = measure.dimension().filter(|d| *d == Dimension::Temperature)?;
        let next = bound.partition_point(|b| b.number <= at);
        let before = bound.partition_point(|b| b.number < at).checked_sub(1);
        let joined = |from: usize, to: usize| {
            let between = self.pieces.get(from..to).unwrap_or(&[]);
            to <= from + 3 && between.iter().all(|p| p.parts_items() && !p.ends_sentence())
        };
        let last = |b: &Bound| b.label.map_or(b.number, |label| label.max(b.number));
        let first = |b: &Bound| b.label.map_or(b.number, |label| label.min(b.number));
        let before = before.and_then(|n| bound.get(n)).filter(|b| joined(last(b) + 1, at));
        let after = bound.get(next).filter(|b| joined(at + 1, first(b)));
        let whole = self.pieces.get(at + 1).is_none_or(Piece::parts_items);
        let beside = before.or(after).filter(|_| whole)?;
        let vocabulary = &self.knowledge.vocabulary;
        let subject =
            |fact: FactId| vocabulary.get(fact).map(|def| def.name.split('.').next().unwrap_or(""));
        let own = subject(beside.fact)?;
        let (fact, def) = vocabulary.iter().find(|(fact, def)| {
            subject(*fact) == Some(own)
                && def.unit().map(|id| unit(id).dimension) == Some(dimension)
                && *fact != beside.fact
        })?;
        let fit = fit(def, measure, self.habit).filter(|_| !self.is_difference(at, def))?;
        let (low, high) = def.plausible?;
        // "28 degrees" is no 28 °C only because water at 28 °F would be ice.
        let default = |fact: FactId| self.knowledge.lexicon.traits(fact).is_some_and(|t| t.default);
        let plain = vocabulary.iter().find(|(fact, def)| {
            default(*fact) && def.unit().map(|id| unit(id).dimension) == Some(dimension)
        });
        let scale = plain.and_then(|(_, def)| super::quantity::fit(def, measure, self.habit));
        if scale.is_some_and(|other| other.unit != fit.unit) {
            return None;
        }
        let near = bound.iter().skip(next.saturating_sub(LISTED)).take(2 * LISTED);
        let free = !near.into_iter().any(|b| b.fact == fact);
        (free && (low..=high).contains(&fit.value)).then_some(Bound {
            number: at,
            label: None,
            fact,
            fit,
        })
    }

    /// A unit that only one fact is measured in says which.
    fn by_unit(&self, at: usize, measure: &Measure) -> Option<Bound> {
        let dimension = measure.dimension()?;
        for (fact, def) in self.knowledge.vocabulary.iter() {
            let default = self.knowledge.lexicon.traits(fact).is_some_and(|t| t.default);
            if !default || def.unit().map(|id| unit(id).dimension) != Some(dimension) {
                continue;
            }
            if self.is_difference(at, def) {
                return None;
            }
            let fit = fit(def, measure, self.habit)?;
            let possible = def.possible.is_none_or(|(low, high)| (low..=high).contains(&fit.value));
            if (dimension == Dimension::Volume && !possible) || self.barred(at, fact) {
                return None;
            }
            return Some(Bound { number: at, label: None, fact, fit });
        }
        None
    }

    /// "15k fiberglass", "22000, pebble": a bare number so large that only the volume of a pool can be meant, alone, before
    /// what says something of the pool by itself, or beside a question for an amount ("how much acid for 20k").
    pub(super) fn by_magnitude(&self, at: usize, measure: &Measure) -> Option<Bound> {
        let piece = |n: Option<usize>| n.and_then(|n| self.pieces.get(n));
        let after = piece(Some(at + 1));
        let describes = after.is_some_and(|after| after.tells_alone(&self.knowledge.lexicon));
        // "About 18k", "it's 20k": nothing before it that could name it.
        let first = at.saturating_sub(NEAR)..at;
        let lead = first.rev().filter_map(|n| self.pieces.get(n)).find(|p| !p.is_clear());
        let clear = at.saturating_sub(NEAR)..at;
        let clear = clear.filter_map(|n| self.pieces.get(n)).all(Piece::is_clear) && at <= NEAR;
        let opens = clear || lead.is_some_and(Piece::parts_items);
        let alone = opens && after.is_none_or(Piece::parts_items);
        let dosed = |clause: &Clause| clause.ask.is_some_and(|ask| ask.kind == AskKind::Dose);
        let meant = describes || alone || self.clauses.list.iter().any(dosed);
        if measure.unit.is_some() || measure.degrees || measure.faint || !meant {
            return None;
        }
        let fits = |def: &FactDef| {
            let (low, high) = def.plausible?;
            fit(def, measure, self.habit).filter(|fit| (low..=high).contains(&fit.value))
        };
        let all = self.knowledge.vocabulary.iter();
        let mut fitting = all.filter_map(|(fact, def)| Some((fact, def, fits(def)?)));
        let (fact, def, fit) = fitting.next()?;
        let volume = def.unit().map(|id| unit(id).dimension) == Some(Dimension::Volume);
        let default = self.knowledge.lexicon.traits(fact).is_some_and(|t| t.default);
        let only = volume && default && fitting.next().is_none() && !self.barred(at, fact);
        only.then_some(Bound { number: at, label: None, fact, fit })
    }

    /// Whether a word of the clause bars a number from being read by its unit alone.
    fn barred(&self, at: usize, fact: FactId) -> bool {
        let Some(traits) = self.knowledge.lexicon.traits(fact) else { return false };
        let Some(clause) = self.clauses.of(at) else { return false };
        let first = clause.first.max(at.saturating_sub(12));
        self.pieces
            .get(first..clause.end.min(at + 8))
            .unwrap_or(&[])
            .iter()
            .flat_map(|piece| piece.senses)
            .any(|sense| match sense {
                Sense::State(id, _) | Sense::Thing(id) => traits.barred.contains(id),
                _ => false,
            })
    }
}
