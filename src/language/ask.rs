//! What somebody wants: a question or a request decides; without one, a report.

use super::clause::{Clause, Clauses, Mood};
use super::phrase::Piece;
use crate::knowledge::{AskKind, FactDef, Knowledge, Role, Sense};
use crate::units::{Dimension, unit};
use std::collections::BTreeSet;

/// What is looked at to tell what somebody wants.
pub struct Asks<'a, 'k> {
    /// The pieces of the message.
    pub pieces: &'a [Piece<'k>],
    /// Their clauses.
    pub clauses: &'a Clauses,
    /// The knowledge.
    pub knowledge: &'k Knowledge,
}

impl Asks<'_, '_> {
    /// What the message wants. `told` says whether it states or supposes anything.
    #[must_use]
    pub fn read(&self, told: bool) -> Vec<AskKind> {
        let mut asks: BTreeSet<AskKind> = BTreeSet::new();
        for clause in &self.clauses.list {
            if let Some(ask) = clause.ask {
                let general = ask.kind == AskKind::Lookup
                    && (ask.rank == 0 && clause.own || self.asks_of_the_speaker(clause));
                let judged = told && ask.kind == AskKind::Target && self.judges_a_reading(clause);
                asks.insert(if general || judged { AskKind::Advise } else { ask.kind });
            }
        }
        asks.extend(self.requests());
        if self.weighs_closing() {
            asks.retain(|ask| !matches!(ask, AskKind::Advise | AskKind::Lookup | AskKind::Report));
            asks.insert(AskKind::Decide);
        }
        let supposing = self.clauses.marks.iter().any(|mark| mark.mood == Mood::Supposed);
        if supposing {
            let swallowed = [AskKind::Advise, AskKind::Lookup, AskKind::Target];
            asks.retain(|ask| !swallowed.contains(ask));
            let other = [AskKind::Dose, AskKind::Decide, AskKind::Explain];
            if !asks.iter().any(|ask| other.contains(ask)) && !self.tells_a_plan() {
                asks.insert(AskKind::WhatIf);
            }
        }
        if asks.is_empty() {
            asks.extend(self.wish());
        }
        if asks.is_empty() && (told || !self.idle()) {
            asks.insert(AskKind::Report);
        }
        if asks.len() > 1 {
            // "How do I fix it, and what do I do?" is one ask; a general question beside a real one is none.
            if asks.iter().any(|ask| !matches!(ask, AskKind::Lookup | AskKind::Advise)) {
                asks.remove(&AskKind::Lookup);
            }
        }
        asks.into_iter().collect()
    }

    /// "Which one do I fix first": what the speaker is to do.
    fn asks_of_the_speaker(&self, clause: &Clause) -> bool {
        let inside = self.pieces.get(clause.first..clause.end).unwrap_or(&[]);
        let speaker =
            |p: &Piece<'_>| p.is(Role::Own) && !p.is(Role::Pronoun) && !p.is(Role::Definite);
        inside.windows(2).any(|pair| match pair {
            [aux, next] => aux.is(Role::AskAux) && speaker(next),
            _ => false,
        })
    }

    /// "If it's below 20 tomorrow I'll drain it", "in case we lose power I left the plugs loose": what the speaker does.
    fn tells_a_plan(&self) -> bool {
        if self.clauses.list.iter().any(|c| c.ask.is_some())
            || self.pieces.iter().any(|p| p.sign == Some('?'))
        {
            return false;
        }
        let mut supposed = false;
        self.pieces.iter().enumerate().any(|(at, piece)| {
            let told = piece.is_state() || piece.measure.is_some();
            supposed |= told && self.clauses.mark(at).mood == Mood::Supposed;
            let own = piece.is(Role::Own) && !piece.is(Role::Pronoun) && !piece.is(Role::Definite);
            supposed && own
        })
    }

    /// "Ph 7.8, is the ph too high?": whether one's own reading is well.
    fn judges_a_reading(&self, clause: &Clause) -> bool {
        let is = |n: usize, role| self.pieces.get(n).is_some_and(|piece| piece.is(role));
        is(clause.first, Role::AskAux)
            && (is(clause.first + 1, Role::Definite) || is(clause.first + 1, Role::Pronoun))
    }

    /// "Keep it going or shut it down?", "closing for the year, is it worth it?": both ways, or one and its worth.
    fn weighs_closing(&self) -> bool {
        let mut sentence = (usize::MAX, [false; 4]);
        self.pieces.iter().enumerate().any(|(at, piece)| {
            let mark = self.clauses.mark(at);
            if mark.sentence != sentence.0 {
                sentence = (mark.sentence, [false; 4]);
            }
            if mark.mood == Mood::Supposed {
                return false;
            }
            let roles = [Role::StayOpen, Role::CloseUp, Role::Or, Role::Worth];
            for (seen, role) in sentence.1.iter_mut().zip(roles) {
                *seen |= piece.is(role);
            }
            let [stay, close, or, worth] = sentence.1;
            (stay && close && or) || ((stay || close) && worth)
        })
    }

    /// Requests outside questions: "need advice", "tell me why".
    fn requests(&self) -> Vec<AskKind> {
        let mut found = Vec::new();
        for (at, piece) in self.pieces.iter().enumerate() {
            let mark = self.clauses.mark(at);
            let asking = self.clauses.of(at).and_then(|clause| clause.ask);
            let asked = asking.is_some_and(|ask| ask.rank > 0);
            if asked || matches!(mark.mood, Mood::Void | Mood::Unreal) {
                continue;
            }
            for sense in piece.senses {
                let Sense::Ask(ask) = sense else { continue };
                let ask = self.knowledge.lexicon.ask(*ask).filter(|ask| !ask.starts);
                // "pH 7.2, oops, 7.8" mends a slip; "oops, that was 7.8" corrects an earlier message.
                let slip = piece.is(Role::Correct)
                    && self
                        .pieces
                        .get(..at)
                        .unwrap_or(&[])
                        .iter()
                        .any(|p| p.measure.is_some() || p.is_state());
                let asks = |kind| {
                    let either = asking.is_none() || kind == AskKind::Decide;
                    kind != AskKind::Target && (kind != AskKind::Correct || !slip) && either
                };
                if let Some(ask) = ask.filter(|ask| asks(ask.kind)) {
                    found.push(ask.kind);
                }
            }
        }
        found
    }

    /// A wish for a reading of the water is a dose; any other wants advice.
    fn wish(&self) -> Option<AskKind> {
        let mut wished = None;
        // A wish for nothing that is known here is no wish for advice.
        for (at, piece) in self.pieces.iter().enumerate() {
            if self.clauses.mark(at).mood != Mood::Wished {
                continue;
            }
            let chemical = piece.senses.iter().any(|sense| match sense {
                Sense::Label(label) => self
                    .knowledge
                    .lexicon
                    .label(*label)
                    .and_then(|label| self.knowledge.vocabulary.get(label.fact))
                    .is_some_and(is_chemical),
                _ => false,
            });
            if chemical || self.is_a_change_of_the_water(at, piece) {
                return Some(AskKind::Dose);
            }
            if self.wishable(piece) {
                wished = Some(AskKind::Advise);
            }
        }
        wished
    }

    /// "Bring 15000 gallons from 2400 to 3200": a change of nothing named, in so much water.
    fn is_a_change_of_the_water(&self, at: usize, piece: &Piece<'_>) -> bool {
        let Some(clause) = self.clauses.of(at) else { return false };
        let near = clause.first.max(at.saturating_sub(12))..clause.end.min(at + 12);
        let inside = self.pieces.get(near).unwrap_or(&[]);
        let volume =
            |p: &Piece<'_>| p.measure.and_then(|m| m.dimension()) == Some(Dimension::Volume);
        piece.measure.is_some_and(|m| m.from.is_some() && m.dimension().is_none())
            && inside.iter().any(volume)
    }

    /// Whether a piece names something that can be wished for; the weather cannot.
    fn wishable(&self, piece: &Piece<'_>) -> bool {
        let lexicon = &self.knowledge.lexicon;
        let weather = piece.senses.iter().any(|sense| match sense {
            Sense::Label(label) => lexicon
                .label(*label)
                .and_then(|label| lexicon.traits(label.fact))
                .is_some_and(|traits| traits.forecast),
            _ => false,
        });
        !weather && (piece.is_thing() || piece.is_state() || piece.is_label())
    }

    /// Whether nothing is said but a greeting, or nothing at all.
    fn idle(&self) -> bool {
        let greets = self.pieces.iter().any(|piece| piece.is(Role::Greeting));
        let says = |piece: &Piece<'_>| {
            piece.measure.is_some()
                || (!piece.senses.is_empty()
                    && !piece.is_clear()
                    && !piece.is(Role::Common)
                    && !piece.is(Role::Greeting))
        };
        let words = self.pieces.iter().filter(|p| p.sign.is_none() && !p.line).count();
        words == 0 || ((greets || words <= 1) && !self.pieces.iter().any(says))
    }
}

fn is_chemical(def: &FactDef) -> bool {
    def.unit()
        .is_some_and(|id| matches!(unit(id).dimension, Dimension::Plain | Dimension::Concentration))
}
