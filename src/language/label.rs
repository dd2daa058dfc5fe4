//! Labels: what a word names here, by its neighbours and by whether the sentence tells of the past.

use super::bind::{APART, Binder};
use super::phrase::Piece;
use super::state::BACK;
use crate::facts::FactId;
use crate::knowledge::{FactDef, LabelKind, Role, Sense};
use crate::units::{Dimension, unit};

/// How far behind its name a number may stand with a word for how warm it is between, in pieces.
const JUDGED: usize = 8;

impl Binder<'_, '_> {
    /// What the labels at a piece name here.
    pub(super) fn labels(&self, at: usize, piece: &Piece<'_>) -> Vec<(FactId, LabelKind)> {
        let lexicon = &self.knowledge.lexicon;
        let mut facts = Vec::new();
        let mut about: Option<(usize, FactId)> = None;
        if (piece.leads && self.follows_a_label(at)) || self.dates_an_hour(at, piece) {
            return facts;
        }
        let nouns =
            piece.ends.iter().filter(|end| end.iter().any(|s| matches!(s, Sense::Thing(_))));
        let ends = nouns.copied().flatten().filter(|sense| self.is_weak_label(sense));
        for sense in piece.senses.iter().chain(ends) {
            let Sense::Label(label) = sense else { continue };
            let Some(label) = lexicon.label(*label) else { continue };
            match label.kind {
                LabelKind::Strong | LabelKind::Weak => facts.push((label.fact, label.kind)),
                LabelKind::Past if self.is_past(at) => facts.push((label.fact, label.kind)),
                LabelKind::Ahead if !self.is_past(at) => facts.push((label.fact, label.kind)),
                LabelKind::About => {
                    let far = self.subject(at, label.fact);
                    if let Some(far) = far.filter(|far| about.is_none_or(|(near, _)| *far < near)) {
                        about = Some((far, label.fact));
                    }
                }
                _ => {}
            }
        }
        facts.extend(about.map(|(_, fact)| (fact, LabelKind::About)));
        facts
    }

    /// "Pressure 14 after cleaning": a name right after the number says which of the readings of one thing it is.
    pub(super) fn told_more_closely(&self, number: usize, fact: FactId) -> FactId {
        let (lexicon, vocabulary) = (&self.knowledge.lexicon, &self.knowledge.vocabulary);
        let subject = |fact: FactId| {
            vocabulary.get(fact).map(|def| (def.name.split('.').next().unwrap_or(""), def.unit()))
        };
        let plain = lexicon.traits(fact).is_some_and(|traits| traits.default);
        let own_number = self.pieces.get(number + 2).is_some_and(|p| {
            p.measure.is_some() || matches!(p.sign, Some(':' | '=')) || p.is(Role::Filler)
        });
        let Some(name) = self.pieces.get(number + 1).filter(|_| plain && !own_number) else {
            return fact;
        };
        name.senses
            .iter()
            .filter_map(|sense| match sense {
                Sense::Label(at) => lexicon.label(*at),
                _ => None,
            })
            .find(|label| {
                label.kind == LabelKind::Strong
                    && label.fact != fact
                    && subject(label.fact) == subject(fact)
            })
            .map_or(fact, |label| label.fact)
    }

    /// "Water is very cold, 40", "it's chilly outside, 34": a word for how warm it is, and then the number.
    pub(super) fn is_judged(&self, label: usize, number: usize) -> bool {
        let bare = self.pieces.get(number).and_then(|piece| piece.measure);
        let named = self.pieces.get(number + 1).is_some_and(Piece::is_label);
        if label >= number
            || number - label > JUDGED
            || named
            || bare.is_none_or(|m| m.unit.is_some())
        {
            return false;
        }
        let between = self.pieces.get(label + 1..number).unwrap_or(&[]);
        let before = self.pieces.get(label.saturating_sub(2)..label).unwrap_or(&[]);
        let passes = |p: &Piece<'_>| p.is(Role::Warmth) || p.sign == Some(',') || p.is_clear();
        between.iter().all(passes)
            && between.iter().chain(before).any(|piece| piece.is(Role::Warmth))
    }

    /// Whether another name of a number stands between two pieces.
    pub(super) fn names_between(&self, a: usize, b: usize) -> bool {
        let between = self.pieces.get(a + 1..b).unwrap_or(&[]);
        between.iter().any(|piece| piece.is_label() && !piece.is_clear())
    }

    /// "From 8.2 ph to 7.5": the label is of the number before it.
    pub(super) fn names_where_a_change_began(&self, label: usize) -> bool {
        let piece = |n: Option<usize>| n.and_then(|n| self.pieces.get(n));
        piece(label.checked_sub(1)).is_some_and(|p| p.measure.is_some())
            && piece(label.checked_sub(2)).is_some_and(|p| p.is(Role::From))
            && piece(Some(label + 1)).is_some_and(|p| p.is(Role::To))
    }

    /// "25F last night, 45F now": the label stands right after one number, and a comma or an "and" parts it from the next.
    pub(super) fn belongs_to_the_number_before(&self, label: usize, number: usize) -> bool {
        let parts = |piece: &Piece<'_>| piece.sign == Some(',') || piece.is(Role::And);
        let comma = (label + 1..number).any(|n| self.pieces.get(n).is_some_and(parts));
        let before = label.checked_sub(1).and_then(|n| self.pieces.get(n));
        comma && before.is_some_and(|piece| piece.measure.is_some())
    }

    /// "I got to the house, the water is 44": what leads to a number stands right before it.
    pub(super) fn leads_elsewhere(&self, label: usize, number: usize) -> bool {
        self.pieces.get(label).is_some_and(|name| name.leads) && self.names_between(label, number)
    }

    /// "Zero calcium left" tells what is on the van.
    pub(super) fn is_in_stock(&self, label: usize) -> bool {
        self.pieces.get(label + 1).is_some_and(|after| after.is(Role::Stock))
    }

    /// "Up 9 psi", "6 degrees colder": a difference is no reading, but of what is measured as one.
    #[must_use]
    pub fn is_difference(&self, number: usize, def: &FactDef) -> bool {
        let measured = def
            .unit()
            .is_some_and(|id| matches!(unit(id).dimension, Dimension::Length | Dimension::Time));
        let Some(measure) = self.pieces.get(number).and_then(|piece| piece.measure) else {
            return false;
        };
        if measured || measure.from.is_some() {
            return false;
        }
        let before = (number.saturating_sub(3)..number).rev().filter_map(|n| self.pieces.get(n));
        let mut before = before.skip_while(|p| p.is(Role::Approx));
        before.next().is_some_and(|p| p.is(Role::Delta))
            || self.pieces.get(number + 1).is_some_and(|p| p.is(Role::Than))
    }

    fn is_weak_label(&self, sense: &Sense) -> bool {
        let Sense::Label(label) = sense else { return false };
        self.knowledge.lexicon.label(*label).is_some_and(|label| label.kind == LabelKind::Weak)
    }

    /// "Since 9 last night": the night belongs to the hour.
    pub(super) fn dates_an_hour(&self, at: usize, piece: &Piece<'_>) -> bool {
        let number = at.checked_sub(1).and_then(|n| self.pieces.get(n)).and_then(|p| p.measure);
        let told = at.checked_sub(2).and_then(|n| self.pieces.get(n));
        piece.is(Role::Evening)
            && number.is_some_and(|m| m.unit.is_none() && !m.degrees)
            && told.is_some_and(|p| p.is(Role::Since) || (p.is(Role::Clock) && !p.is_label()))
    }

    /// "The water is down to 38": what was named just before is what the words lead to.
    fn follows_a_label(&self, at: usize) -> bool {
        for n in (at.saturating_sub(3)..at).rev() {
            let Some(piece) = self.pieces.get(n) else { return false };
            if piece.is_label() && !piece.leads && !piece.is(Role::Ahead) && !piece.is(Role::Past) {
                let number = n.checked_sub(1).and_then(|n| self.pieces.get(n));
                return number.is_none_or(|piece| piece.measure.is_none());
            }
            if !piece.is_clear() {
                return false;
            }
        }
        false
    }

    /// Whether a place tells of the past: the nearest word of time decides.
    #[must_use]
    pub fn is_past(&self, at: usize) -> bool {
        let sentence = self.clauses.mark(at).sentence;
        for far in 0..APART {
            for n in [Some(at + far), at.checked_sub(far)].into_iter().flatten() {
                let Some(piece) = self.pieces.get(n) else { continue };
                if self.clauses.mark(n).sentence != sentence {
                    continue;
                }
                if piece.is(Role::Ahead) {
                    return false;
                }
                if piece.is(Role::Past) {
                    return true;
                }
            }
        }
        false
    }

    /// How far off the nearest thing is that a label holds of.
    fn subject(&self, at: usize, fact: FactId) -> Option<usize> {
        let traits = self.knowledge.lexicon.traits(fact)?;
        let is_subject = |n: usize| {
            self.pieces
                .get(n)
                .is_some_and(|piece| piece.things().any(|thing| traits.subjects.contains(&thing)))
        };
        for far in 0..BACK {
            if at.checked_sub(far).is_some_and(is_subject) {
                return Some(far);
            }
        }
        (1..6).find(|far| is_subject(at + far)).map(|far| far + BACK)
    }
}
