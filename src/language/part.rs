//! Several pools in one message: where the words about one end and those about the next begin.

use super::number::Numbers;
use super::pool::PoolMention;
use super::reading::ReadingContext;
use super::spelling::mend;
use super::token::{TokenKind, Tokens, tokenize};
use crate::knowledge::{Knowledge, Role};
use crate::problem::Span;

/// The stretches of a message that speak of one pool each, in order; the whole message if it speaks of one pool, of
/// none, or of several in one breath ("both lost power").
#[must_use]
pub fn parts(text: &str, context: &ReadingContext<'_>, knowledge: &Knowledge) -> Vec<Span> {
    let whole = vec![Span::new(0, text.len())];
    let Some(pools) = context.pools else { return whole };
    let mut tokens = tokenize(text, &knowledge.lexicon);
    mend(&mut tokens, &knowledge.lexicon);
    let mut mentions = pools.find(&tokens, &knowledge.lexicon);
    mentions.dedup_by(|next, before| next.name == before.name);
    if mentions.len() < 2 {
        return whole;
    }
    let numbers = Numbers { tokens: &tokens, lexicon: &knowledge.lexicon };
    let mut bounds = vec![0];
    for (before, next) in mentions.iter().zip(mentions.iter().skip(1)) {
        bounds.push(boundary(numbers, before, next));
    }
    bounds.push(tokens.list.len());
    let spans: Vec<(usize, usize)> =
        bounds.iter().zip(bounds.iter().skip(1)).map(|(a, b)| (*a, *b)).collect();
    let told = spans.iter().zip(&mentions).all(|(span, mention)| says(numbers, *span, mention));
    if !told {
        return whole;
    }
    let start = |at: usize| tokens.get(at).map_or(text.len(), |token| token.span.start);
    spans
        .iter()
        .map(|(first, end)| Span::new(if *first == 0 { 0 } else { start(*first) }, start(*end)))
        .collect()
}

/// Copies of a message that says one thing of several pools in one breath ("mill road and birch court both lost power"),
/// each with the names of all pools but one blanked, places kept. Empty if it doesn't, or tells numbers, which may be
/// one pool's only.
#[must_use]
pub fn in_one_breath(
    text: &str,
    context: &ReadingContext<'_>,
    knowledge: &Knowledge,
) -> Vec<String> {
    let Some(pools) = context.pools else { return Vec::new() };
    let mut tokens = tokenize(text, &knowledge.lexicon);
    mend(&mut tokens, &knowledge.lexicon);
    let mentions = pools.find(&tokens, &knowledge.lexicon);
    let numbers = Numbers { tokens: &tokens, lexicon: &knowledge.lexicon };
    let named = |at: usize| mentions.iter().any(|m| (m.first..m.end).contains(&at));
    let joined = mentions.iter().zip(mentions.iter().skip(1)).all(|(before, next)| {
        before.name != next.name
            && (before.end..next.first).any(|at| parts_words(numbers, at))
            && (before.end..next.first).all(|at| {
                (tokens.sign(at) == Some(',') || leads(numbers, at)) && !numbers.is(at, Role::Turn)
            })
    });
    let told = |at: usize| !named(at) && numbers.read(at).is_some_and(|number| !number.faint);
    if mentions.len() < 2 || !joined || (0..tokens.list.len()).any(told) {
        return Vec::new();
    }
    let blanked = |name: &str| {
        let mut copy = text.to_owned();
        for other in mentions.iter().filter(|m| m.name != name) {
            let span = tokens.span(other.first, other.end);
            let blank = " ".repeat(span.end.saturating_sub(span.start));
            copy.replace_range(span.start..span.end, &blank);
        }
        copy
    };
    mentions.iter().map(|mention| blanked(&mention.name)).collect()
}

fn parts_words(numbers: Numbers<'_>, at: usize) -> bool {
    let token = numbers.tokens.get(at);
    let sign = token.is_some_and(|t| {
        matches!(t.kind, TokenKind::Line | TokenKind::Sign('.' | ',' | ';' | '!' | '?' | '—'))
    });
    sign || numbers.is(at, Role::And) || numbers.is(at, Role::Turn)
}

fn leads(numbers: Numbers<'_>, at: usize) -> bool {
    [Role::Preposition, Role::Definite, Role::Clock, Role::And, Role::Turn]
        .into_iter()
        .any(|role| numbers.is(at, role))
}

/// Where the words about the next pool begin: after the last mark before it if its name comes first there, else after
/// the first mark behind the name before ("pump off at Mill Road, pH 7.2 at Quarry Lane").
fn boundary(numbers: Numbers<'_>, before: &PoolMention, next: &PoolMention) -> usize {
    let mut at = next.first;
    while at > before.end && leads(numbers, at - 1) {
        at -= 1;
    }
    if at < next.first || (at > before.end && parts_words(numbers, at - 1)) {
        let led = (before.end..at).next_back().is_some_and(|n| parts_words(numbers, n));
        if led || parts_words(numbers, at) {
            return at;
        }
    }
    (before.end..next.first).find(|n| parts_words(numbers, *n)).map_or(next.first, |n| n + 1)
}

/// Whether a stretch says anything but the name of its pool.
fn says(numbers: Numbers<'_>, (first, end): (usize, usize), mention: &PoolMention) -> bool {
    let tokens: &Tokens = numbers.tokens;
    (first..end).filter(|n| !(mention.first..mention.end).contains(n)).any(|n| {
        tokens.get(n).is_some_and(|t| matches!(t.kind, TokenKind::Word | TokenKind::Number(_)))
            && !leads(numbers, n)
            && !numbers.is(n, Role::Filler)
    })
}
