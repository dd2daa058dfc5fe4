//! Binds numbers to the labels that name them.
//!
//! Labels and numbers are laid out in order. A list of labels with a list of as many numbers is read in parallel
//! ("FC, pH, TA: 2/7.6/100"); otherwise neighbours are paired so that the sum of their scores is greatest, in one
//! pass. What is left over is bound by its unit, or to the label told before.

use super::clause::Clauses;
use super::measure::{Measure, Nature};
use super::phrase::Piece;
use super::quantity::{Fit, Habit, fit};
use crate::facts::FactId;
use crate::knowledge::{FactDef, Knowledge, LabelKind, Role};
use crate::units::{Dimension, unit};

/// How far apart a label and its number may stand, in pieces.
pub(super) const APART: usize = 14;
/// How many weak labels may stand between a number and its own label.
const SKIP: usize = 4;

/// A number bound to a fact.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// The piece of the number.
    pub number: usize,
    /// The piece of the label, if there was one.
    pub label: Option<usize>,
    /// The fact.
    pub fact: FactId,
    /// Its value.
    pub fit: Fit,
}

/// What numbers are bound with.
pub struct Binder<'a, 'k> {
    /// The pieces of the message.
    pub pieces: &'a [Piece<'k>],
    /// Their clauses.
    pub clauses: &'a Clauses,
    /// The knowledge.
    pub knowledge: &'k Knowledge,
    /// The units of the message.
    pub habit: &'a Habit,
}

#[derive(Debug, Clone)]
enum Item {
    Label { piece: usize, facts: Vec<(FactId, LabelKind)> },
    Number { piece: usize, measure: Measure },
}

impl Item {
    const fn piece(&self) -> usize {
        match self {
            Self::Label { piece, .. } | Self::Number { piece, .. } => *piece,
        }
    }

    fn is_weak(&self) -> bool {
        match self {
            Self::Label { facts, .. } => {
                use LabelKind::{Ahead, Past, Weak};
                facts.iter().all(|(_, kind)| matches!(kind, Weak | Past | Ahead))
            }
            Self::Number { .. } => false,
        }
    }
}

impl Binder<'_, '_> {
    /// The numbers that labels name; and the places of those that none names.
    #[must_use]
    pub fn bind(&self) -> (Vec<Bound>, Vec<usize>) {
        let items = self.items();
        let mut bound = Vec::new();
        let mut taken = vec![false; items.len()];
        self.lists(&items, &mut bound, &mut taken);
        self.pairs(&items, &mut bound, &mut taken);
        let rest = items
            .iter()
            .zip(&taken)
            .filter(|(item, taken)| matches!(item, Item::Number { .. }) && !**taken)
            .map(|(item, _)| item.piece())
            .collect();
        bound.sort_by_key(|b| b.number);
        (bound, rest)
    }

    fn items(&self) -> Vec<Item> {
        let mut items = Vec::new();
        for (at, piece) in self.pieces.iter().enumerate() {
            if let Some(measure) = piece.measure {
                if measure.nature == Nature::Reading {
                    items.push(Item::Number { piece: at, measure });
                }
                continue;
            }
            let facts = self.labels(at, piece);
            if !facts.is_empty() {
                items.push(Item::Label { piece: at, facts });
            }
        }
        items
    }

    /// Lists in parallel: as many labels as numbers, one list after the other.
    fn lists(&self, items: &[Item], bound: &mut Vec<Bound>, taken: &mut [bool]) {
        let is_label = |n: usize| items.get(n).is_some_and(|i| matches!(i, Item::Label { .. }));
        let mut at = 0;
        while at < items.len() {
            let first_are_labels = is_label(at);
            let first = self.run(items, at, first_are_labels);
            let second = self.run(items, at + first, !first_are_labels);
            let alike = first >= 2 && first == second && {
                let before =
                    at.checked_sub(1).is_some_and(|n| !taken.get(n).copied().unwrap_or(true));
                let after = items.get(at + 2 * first).is_some_and(|next| {
                    self.gap(items, at + 2 * first - 1, next.piece()).is_some_and(|cost| cost < 1.0)
                });
                first_are_labels || !(before || after)
            };
            if !alike {
                at += first.max(1);
                continue;
            }
            let pairs: Option<Vec<Bound>> = (at..at + first)
                .map(|n| {
                    let (label, number) =
                        if first_are_labels { (n, n + first) } else { (n + first, n) };
                    self.pair(items, label, number, true).map(|pair| pair.0)
                })
                .collect();
            let Some(pairs) = pairs else {
                at += first.max(1);
                continue;
            };
            bound.extend(pairs);
            taken.iter_mut().skip(at).take(2 * first).for_each(|slot| *slot = true);
            at += 2 * first;
        }
    }

    /// How many labels (or numbers) stand in one list from an item on.
    fn run(&self, items: &[Item], from: usize, labels: bool) -> usize {
        let mut count = 0;
        while let Some(item) = items.get(from + count) {
            let fits = match item {
                Item::Label { .. } => {
                    labels && (!item.is_weak() || self.is_listed(items, from + count))
                }
                Item::Number { .. } => !labels,
            };
            let listed = count == 0
                || self.gap(items, from + count - 1, item.piece()).is_some_and(|cost| cost <= 3.5);
            if !fits || !listed {
                break;
            }
            count += 1;
        }
        count
    }

    /// "Air and water": a weak name is good in a list, right beside another name.
    fn is_listed(&self, items: &[Item], n: usize) -> bool {
        let beside = |other: Option<usize>| {
            let (Some(a), Some(b)) = (other.and_then(|n| items.get(n)), items.get(n)) else {
                return false;
            };
            let (low, high) = (a.piece().min(b.piece()), a.piece().max(b.piece()));
            let weak = |item: &Item| match item {
                Item::Label { facts, .. } => facts.iter().any(|(_, kind)| *kind == LabelKind::Weak),
                Item::Number { .. } => false,
            };
            matches!(a, Item::Label { .. })
                && weak(b)
                && high == low + 2
                && self
                    .pieces
                    .get(low + 1)
                    .is_some_and(|p| p.is(Role::And) || matches!(p.sign, Some(',' | '/' | '&')))
        };
        beside(n.checked_sub(1)) || beside(Some(n + 1))
    }

    fn gap(&self, items: &[Item], from: usize, to: usize) -> Option<f64> {
        self.distance(items.get(from)?.piece(), to)
    }

    /// What stands between two pieces, as a cost; `None` if they are too far apart.
    fn distance(&self, a: usize, b: usize) -> Option<f64> {
        let (low, high) = (a.min(b), a.max(b));
        if high - low > APART {
            return None;
        }
        let mut cost = 0.0;
        for piece in self.pieces.get(low + 1..high)? {
            cost += match piece {
                p if p.line => 5.0,
                p if p.sign == Some('?') && high == low + 2 => 0.5,
                p if p.sign == Some('.') || p.sign == Some('?') => 12.0,
                p if p.ends_sentence() => 6.0,
                p if p.sign == Some(',') => 3.0,
                p if p.is(Role::And) || p.is(Role::Or) => 1.5,
                p if p.is(Role::Turn) => 4.0,
                p if p.is_clear() || p.is(Role::To) || p.is(Role::From) => 0.05,
                p if p.measure.is_some() => 2.5,
                p if p.sign == Some('/') => 0.5,
                _ => 1.2,
            };
        }
        Some(cost)
    }

    /// "The pool died about 4": what stands between says something else of the thing.
    fn tells_a_state(&self, a: usize, b: usize) -> bool {
        let between = self.pieces.get(a.min(b) + 1..a.max(b)).unwrap_or(&[]);
        between.iter().any(|piece| piece.is_state() && !piece.is_clear() && !piece.is_label())
    }

    /// "pH 7.2, alkx 90": the number follows a word of its own that nothing here knows.
    fn names_another(&self, label: usize, number: usize) -> bool {
        let own = number.checked_sub(1).filter(|own| *own > label);
        let unknown = own.and_then(|n| self.pieces.get(n)).is_some_and(Piece::is_unknown);
        unknown
            && self.pieces.get(label + 1..number).unwrap_or(&[]).iter().any(|piece| {
                piece.sign == Some(',')
                    || piece.is(Role::And)
                    || piece.measure.is_some()
                    || piece.ends_sentence()
            })
    }

    /// "40 heater is copper": between a number and a label after it stands another thing, of which the label speaks.
    fn belongs_further_on(&self, label: usize, number: usize) -> bool {
        self.pieces.get(number + 1..label).unwrap_or(&[]).iter().any(|piece| {
            (piece.is_thing() || piece.is_unknown()) && !piece.is_clear() && !piece.is_label()
        })
    }

    /// Whether the label names something else, or the number has a name of its own.
    fn is_of_another(&self, label: usize, number: usize) -> bool {
        let before = label < number;
        self.names_another(label, number)
            || (!before && self.belongs_further_on(label, number))
            || (before && self.belongs_to_the_number_before(label, number))
            || (before && self.leads_elsewhere(label, number))
            || (!before && self.is_in_stock(label))
            || (before && self.names_where_a_change_began(label))
    }

    /// A label and a number as a pair, with its score.
    fn pair(
        &self,
        items: &[Item],
        label: usize,
        number: usize,
        listed: bool,
    ) -> Option<(Bound, f64)> {
        let (Item::Label { piece: at, facts }, Item::Number { piece, measure }) =
            (items.get(label)?, items.get(number)?)
        else {
            return None;
        };
        let before = at < piece;
        let judged = !listed && self.is_judged(*at, *piece);
        let cost = if listed || judged { 0.0 } else { self.distance(*at, *piece)? };
        if !listed && self.is_of_another(*at, *piece) {
            return None;
        }
        let name = self.pieces.get(*at)?;
        if name.leads && !before {
            return None;
        }
        let mut best: Option<(Bound, f64)> = None;
        for (fact, kind) in facts {
            let Some(def) = self.knowledge.vocabulary.get(*fact) else { continue };
            let weak = *kind == LabelKind::Weak;
            let temperature =
                def.unit().is_some_and(|id| unit(id).dimension == Dimension::Temperature);
            let warm =
                (judged || measure.dimension() == Some(Dimension::Temperature)) && temperature;
            if weak && !warm && self.tells_a_state(*at, *piece) {
                continue;
            }
            if weak && before && temperature && name.is_particle() {
                continue;
            }
            let Some(fit) = fit(def, measure, self.habit) else { continue };
            if weak && !may_be(def, measure, &fit) {
                continue;
            }
            // "15k fiberglass salt" has so many gallons; "salt 15k" is a doubtful reading.
            if !before && fit.score < 0.0 && self.by_magnitude(*piece, measure).is_some() {
                continue;
            }
            let now = self.pieces.get(*piece + 1).is_some_and(|after| after.is(Role::Now));
            if self.is_difference(*piece, def) || (now && name.is(Role::Past)) {
                continue;
            }
            if measure.faint && !((before || measure.unit.is_some()) && cost < 0.5) {
                continue;
            }
            let base = match kind {
                LabelKind::Weak => 4.5,
                LabelKind::Past | LabelKind::Ahead => 6.5,
                _ => 9.0,
            };
            let score = base + fit.score + if before { 0.6 } else { 0.0 }
                - cost * if weak && !warm { 2.0 } else { 1.0 };
            if score > 1.0 && best.is_none_or(|(_, found)| score > found) {
                let bound = Bound { number: *piece, label: Some(*at), fact: *fact, fit };
                best = Some((bound, score));
            }
        }
        if before && let Some((bound, _)) = &mut best {
            bound.fact = self.told_more_closely(*piece, bound.fact);
        }
        best
    }

    /// Pairs neighbours so that the scores sum to the most.
    fn pairs(&self, items: &[Item], bound: &mut Vec<Bound>, taken: &mut [bool]) {
        let mut best = vec![0.0f64; items.len() + 1];
        let mut choice: Vec<Option<(usize, Bound)>> = vec![None; items.len() + 1];
        for n in 0..items.len() {
            let mut score = best.get(n).copied().unwrap_or(0.0);
            let mut chosen = None;
            let free = |at: usize| !taken.get(at).copied().unwrap_or(true);
            for back in 1..=SKIP {
                let Some(m) = n.checked_sub(back) else { break };
                if free(n) && free(m) {
                    let pair =
                        self.pair(items, m, n, false).or_else(|| self.pair(items, n, m, false));
                    if let Some((found, own)) = pair {
                        let total = best.get(m).copied().unwrap_or(0.0) + own;
                        if total > score {
                            score = total;
                            chosen = Some((m, found));
                        }
                    }
                }
                if !items.get(m).is_some_and(Item::is_weak) {
                    break;
                }
            }
            if let Some(slot) = best.get_mut(n + 1) {
                *slot = score;
            }
            if let Some(slot) = choice.get_mut(n + 1) {
                *slot = chosen;
            }
        }
        let mut at = items.len();
        while at > 0 {
            match choice.get(at).copied().flatten() {
                Some((start, found)) => {
                    bound.push(found);
                    for n in [start, at - 1] {
                        if let Some(slot) = taken.get_mut(n) {
                            *slot = true;
                        }
                    }
                    at = start;
                }
                None => at -= 1,
            }
        }
    }
}

/// Whether a loosely named number can be a value of a fact: "30 inches of pipe" is how long it is.
fn may_be(def: &FactDef, measure: &Measure, fit: &Fit) -> bool {
    match def.unit().map(|id| unit(id).dimension) {
        Some(Dimension::Temperature) => is_warmth(measure, fit),
        Some(Dimension::Length) => {
            def.plausible.is_none_or(|(low, high)| (low..=high).contains(&fit.value))
        }
        _ => true,
    }
}

/// Whether a number that is only loosely named can be a temperature: "the big pool is 7.4" is none, and water at 28 °F
/// ("the pool froze at 28 °F") is ice.
fn is_warmth(measure: &Measure, fit: &Fit) -> bool {
    let decimal = measure.value.fract() != 0.0 && measure.value < 14.0;
    match measure.dimension() {
        // Hotter than any thermometer shows is doubted, and still a temperature of this.
        Some(_) => fit.score >= 2.0 || fit.value > 0.0,
        None => !decimal,
    }
}
