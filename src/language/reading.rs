//! The reading of one message: what it states, what it asks, and what was left unread.

use super::ask::Asks;
use super::bind::{Binder, Bound};
use super::clause::{Mood, clauses};
use super::measure::Nature;
use super::phrase::{Piece, pieces};
use super::pool::PoolNames;
use super::quantity::{Habit, to_canonical};
use super::rescale::{correct_units, imperial, tell_units};
use super::spelling::{mend, mend_heard};
use super::state::States;
use super::statement::Statement;
use super::token::{Tokens, tokenize};
use super::{answer, weigh};
use crate::clock::Moment;
use crate::facts::{Bounds, Fact, FactId, Value};
use crate::knowledge::{AskKind, Keeps, Knowledge, Role, Sense};
use crate::problem::Span;
use crate::units::System;
use std::collections::BTreeSet;

/// How far before a number a word may stand that takes back what was said before, in pieces.
const TAKEN: usize = 16;

/// What is known when a message is read.
#[derive(Debug, Clone, Copy, Default)]
pub struct ReadingContext<'a> {
    /// The units of bare numbers.
    pub system: System,
    /// The pools looked after.
    pub pools: Option<&'a PoolNames>,
    /// When the message was said; without it, clock times ("since 3") state no duration.
    pub moment: Option<Moment>,
    /// The fact that was just asked about: a short answer is about it.
    pub asked: Option<FactId>,
}

/// A stretch of the message that was not read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unread {
    /// Its words.
    pub text: String,
    /// Its bytes in the message.
    pub span: Span,
}

/// What was understood of a message.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Reading {
    /// The facts it states or supposes, in order of place; at most one stated and one supposed of each.
    pub facts: Vec<Fact>,
    /// What it asks for.
    pub asks: Vec<AskKind>,
    /// The pool it names, if it names one of those known.
    pub pool: Option<String>,
    /// Where pools are named, in order, with their places: a message may speak of several.
    pub pools: Vec<(String, Span)>,
    /// What was left unread.
    pub unread: Vec<Unread>,
    /// The numbers that it names, with or without a value: what a question is about.
    pub about: Vec<FactId>,
    /// It answers "I don't know" to what was asked.
    pub does_not_know: bool,
}

/// Reads a message. The time is linear in its length; the same message always reads the same.
#[must_use]
pub fn read(text: &str, context: &ReadingContext<'_>, knowledge: &Knowledge) -> Reading {
    let mut tokens = tokenize(text, &knowledge.lexicon);
    mend(&mut tokens, &knowledge.lexicon);
    mend_heard(&mut tokens, &knowledge.lexicon);
    let mentions =
        context.pools.map_or_else(Vec::new, |pools| pools.find(&tokens, &knowledge.lexicon));
    let named: Vec<(usize, usize)> = mentions.iter().map(|m| (m.first, m.end)).collect();
    let mut pieces = pieces(&tokens, &knowledge.lexicon, &named);
    correct_units(&mut pieces);
    tell_units(&mut pieces);
    imperial(&mut pieces);
    let clauses = clauses(&pieces, &knowledge.lexicon);
    let habit = Habit::of(&pieces, context.system);
    let binder = Binder { pieces: &pieces, clauses: &clauses, knowledge, habit: &habit };
    let states = States { pieces: &pieces, clauses: &clauses, lexicon: &knowledge.lexicon }.read();
    let (mut bound, rest) = binder.bind();
    let rest = binder.rest(&mut bound, rest);
    let mut statements = numbers(&binder, &bound);
    let mut states = states;
    let labels: BTreeSet<usize> = bound.iter().filter_map(|b| b.label).collect();
    states.retain(|s| !(s.item && labels.contains(&s.first)));
    let durations = binder.durations(&rest, &states, context.moment);
    let tasks = binder.tasks(&rest);
    statements.extend(states);
    statements.extend(durations);
    statements.extend(tasks);
    let mut statements = binder.course(statements);
    if let Some(asked) = context.asked {
        statements.extend(answer::answer(&binder, text, asked, &rest, &statements));
    }
    let message = Message { text, tokens: &tokens, pieces: &pieces };
    let said = statements.clone();
    let facts = weigh::weigh(&message, statements, knowledge, context.system);
    let kept = |s: &Statement| facts.iter().any(|f| (f.id, f.supposed) == (s.fact, s.supposed));
    let said: Vec<Statement> = said.into_iter().filter(kept).collect();
    let unread = message.unread(&said, &bound);
    let asks = Asks { pieces: &pieces, clauses: &clauses, knowledge }.read(!facts.is_empty());
    let pools: Vec<(String, Span)> =
        mentions.iter().map(|m| (m.name.clone(), tokens.span(m.first, m.end))).collect();
    Reading {
        does_not_know: context.asked.is_some()
            && facts.is_empty()
            && pieces.iter().any(|piece| piece.is(Role::DontKnow)),
        about: named_numbers(&pieces, knowledge),
        pool: pools.last().map(|(name, _)| name.clone()),
        pools,
        facts,
        asks,
        unread,
    }
}

/// The numbers that pieces name, each once, in order.
fn named_numbers(pieces: &[Piece<'_>], knowledge: &Knowledge) -> Vec<FactId> {
    let mut about: Vec<FactId> = Vec::new();
    for sense in pieces.iter().flat_map(|piece| piece.senses) {
        let Sense::Label(at) = sense else { continue };
        if let Some(label) = knowledge.lexicon.label(*at)
            && !about.contains(&label.fact)
        {
            about.push(label.fact);
        }
    }
    about
}

/// A message with its pieces.
pub struct Message<'a, 'k> {
    /// What was typed.
    pub text: &'a str,
    /// Its tokens.
    pub tokens: &'a Tokens,
    /// Its pieces.
    pub pieces: &'a [Piece<'k>],
}

impl Message<'_, '_> {
    /// The bytes of the message from one piece to another.
    #[must_use]
    pub fn span(&self, first: usize, last: usize) -> Span {
        let start = self.pieces.get(first).map_or(0, |piece| piece.first);
        let end = self.pieces.get(last).map_or(start, |piece| piece.end);
        self.tokens.span(start, end.max(start))
    }

    /// Unknown words and numbers that state nothing, neighbours together.
    fn unread(&self, statements: &[Statement], bound: &[Bound]) -> Vec<Unread> {
        let mut used = vec![false; self.pieces.len()];
        let spoken = statements.iter().flat_map(|s| [s.first, s.last]);
        for at in spoken.chain(bound.iter().map(|b| b.number)) {
            if let Some(slot) = used.get_mut(at) {
                *slot = true;
            }
        }
        let mut runs: Vec<(usize, usize)> = Vec::new();
        for (at, piece) in self.pieces.iter().enumerate() {
            let number = piece
                .measure
                .is_some_and(|m| !matches!(m.nature, Nature::Clock { .. }) && !m.faint)
                && !used.get(at).copied().unwrap_or(false);
            if !(number || piece.is_unknown()) {
                continue;
            }
            match runs.last_mut() {
                Some((_, last)) if *last + 1 == at => *last = at,
                _ => runs.push((at, at)),
            }
        }
        runs.into_iter()
            .map(|(first, last)| {
                let span = self.span(first, last);
                Unread { text: span.of(self.text).to_owned(), span }
            })
            .collect()
    }
}

/// The numbers that count in their mood, as statements.
fn numbers(binder: &Binder<'_, '_>, bound: &[Bound]) -> Vec<Statement> {
    bound.iter().filter_map(|found| number(binder, found)).collect()
}

fn number(binder: &Binder<'_, '_>, found: &Bound) -> Option<Statement> {
    let def = binder.knowledge.vocabulary.get(found.fact)?;
    let canonical = def.unit()?;
    let measure = binder.pieces.get(found.number)?.measure?;
    let denied = found.number.checked_sub(1).and_then(|at| binder.pieces.get(at));
    // "120 no 220" takes the first back.
    let earlier = found.number.checked_sub(2).and_then(|at| binder.pieces.get(at));
    let mends = |piece: &Piece<'_>| {
        piece.is(Role::Denied) && earlier.is_some_and(|before| before.measure.is_some())
    };
    if denied.is_some_and(|piece| piece.is(Role::Not) && !mends(piece)) {
        return None;
    }
    let forecast = binder.knowledge.lexicon.traits(found.fact).is_some_and(|t| t.forecast);
    let lasting = def.fresh_h.is_none();
    let mut value = found.fit.value;
    let mut supposed = false;
    match binder.clauses.mark(found.number).mood {
        // "How much acid to get it from 8 to 7.5": it reads 8.
        Mood::Asked(Keeps::Numbers) if measure.from.is_some() => {
            value = to_canonical(measure.from?, found.fit.unit, canonical);
        }
        Mood::Stated | Mood::Asked(Keeps::All | Keeps::Numbers) => {}
        Mood::Supposed => supposed = true,
        Mood::Unreal if forecast => {}
        // "Tonight is supposed to be 12" wishes nothing; "keep it above 40 tonight" does.
        Mood::Wished if forecast && is_forecast(binder, found.number) => {}
        Mood::Wished
            if forecast
                && found.label.is_some_and(|at| binder.clauses.mark(at).mood != Mood::Wished) => {}
        Mood::Wished if lasting => {}
        // "Lower it from 8.2 ph to 7.5": the number behind "from" is where it stands.
        Mood::Wished if measure.from.is_none() && denied.is_some_and(|p| p.is(Role::From)) => {}
        Mood::Wished => value = to_canonical(measure.from?, found.fit.unit, canonical),
        _ => return None,
    }
    let label = found.label.filter(|label| label.abs_diff(found.number) <= 4);
    let (first, last) = label.map_or((found.number, found.number), |label| {
        (label.min(found.number), label.max(found.number))
    });
    let past = told_of_the_past(binder, found.number, measure.from.is_some())
        && !takes_back(binder, found.number);
    Some(Statement {
        supposed,
        past,
        bounds: bounds(binder, found).or_else(|| {
            measure.range.map(|(low, high)| Bounds {
                low: Some(to_canonical(low, found.fit.unit, canonical)),
                high: Some(to_canonical(high, found.fit.unit, canonical)),
            })
        }),
        ..Statement::new(found.fact, Value::Number(value), first, last)
    })
}

/// "Supposed to be 15 tonight": the word of a wish that also tells of what is to come.
fn is_forecast(binder: &Binder<'_, '_>, number: usize) -> bool {
    (number.saturating_sub(3)..number).any(|n| {
        binder.pieces.get(n).is_some_and(|piece| piece.is(Role::Wish) && piece.is(Role::Ahead))
    })
}

/// "I typed 14 psi but it was 24": behind a word that takes back what was said before, "was" tells of no earlier time.
fn takes_back(binder: &Binder<'_, '_>, number: usize) -> bool {
    let sentence = binder.clauses.mark(number).sentence;
    let taken = |piece: &Piece<'_>| {
        piece.is(Role::Correct)
            || piece.senses.iter().any(|sense| match sense {
                Sense::Ask(at) => {
                    let ask = binder.knowledge.lexicon.ask(*at);
                    ask.is_some_and(|ask| ask.kind == AskKind::Correct)
                }
                _ => false,
            })
    };
    (number.saturating_sub(TAKEN)..number)
        .rev()
        .take_while(|n| binder.clauses.mark(*n).sentence == sentence)
        .any(|n| binder.pieces.get(n).is_some_and(taken))
}

/// Whether a number is told of an earlier time: by the word right after it ("46 yesterday, 43 today"), or by one
/// before it that belongs to no other number.
fn told_of_the_past(binder: &Binder<'_, '_>, number: usize, changed: bool) -> bool {
    let at = |n: Option<usize>| n.and_then(|n| binder.pieces.get(n));
    let next = (number + 1..number + 4).find(|n| {
        !at(Some(*n)).is_some_and(|p| {
            p.is(Role::Preposition)
                || p.is(Role::Definite)
                || p.is_label() && !p.is(Role::Past) && !p.is(Role::Now)
        })
    });
    if let Some(after) = at(next) {
        if after.is(Role::Now) {
            return false;
        }
        if after.is(Role::Past) && !after.is(Role::Filler) && !after.is_label() {
            return true;
        }
    }
    let from = !changed && at(number.checked_sub(1)).is_some_and(|piece| piece.is(Role::From));
    from || (number.saturating_sub(2)..number).any(|n| {
        let free = at(n.checked_sub(1)).is_none_or(|piece| piece.measure.is_none());
        let past = |p: &Piece<'_>| {
            p.is(Role::Formerly) || (p.is(Role::Past) && (free || p.is(Role::Filler)))
        };
        at(Some(n)).is_some_and(past)
    })
}

/// "Under 1", "over 28 psi".
fn bounds(binder: &Binder<'_, '_>, found: &Bound) -> Option<Bounds> {
    let value = Some(found.fit.value);
    for back in 1..=3 {
        let piece = found.number.checked_sub(back).and_then(|at| binder.pieces.get(at))?;
        if piece.is(Role::Under) {
            return Some(Bounds { low: None, high: value });
        }
        if piece.is(Role::Over) {
            return Some(Bounds { low: value, high: None });
        }
        if !piece.is_clear() {
            break;
        }
    }
    None
}
