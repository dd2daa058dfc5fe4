//! Headings of pools that nobody has named before: "smith pool: ph 7.2, alk 90. jones pool: ph 7.8".

use super::number::Numbers;
use super::token::{Token, TokenKind, Tokens, tokenize};
use crate::knowledge::{Knowledge, Role};
use crate::problem::Span;

/// A heading has so many words at most.
const MOST_WORDS: usize = 4;

/// What a message tells under a heading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Headed {
    /// What the heading calls it, as typed.
    pub name: String,
    /// Whether the heading says by itself that it names a pool ("smith pool").
    pub sure: bool,
    /// What stands under it.
    pub span: Span,
}

/// What a message tells under two headings or more, which may be names of pools; empty for every other message.
#[must_use]
pub fn headed(text: &str, knowledge: &Knowledge) -> Vec<Headed> {
    if text.matches(':').count() < 2 {
        return Vec::new();
    }
    let tokens = tokenize(text, &knowledge.lexicon);
    let numbers = Numbers { tokens: &tokens, lexicon: &knowledge.lexicon };
    let heads = &knowledge.talk.heads;
    let mut found: Vec<(Headed, usize)> = Vec::new();
    for first in 0..tokens.list.len() {
        let begins = first == 0 || first.checked_sub(1).is_some_and(|n| parts(&tokens, n));
        if let Some((headed, end)) = begins.then(|| heading(numbers, first, text, heads)).flatten()
        {
            found.push((headed, end));
        }
    }
    // What stands before the first heading is of no pool in particular.
    if found.len() < 2 || found.first().is_none_or(|(_, end)| *end > MOST_WORDS + 1) {
        return Vec::new();
    }
    let begins: Vec<usize> = found.iter().skip(1).map(|(one, _)| one.span.start).collect();
    let ends = begins.into_iter().chain([text.len()]);
    let place = |at: usize| tokens.get(at).map_or(text.len(), |token| token.span.start);
    let under = |((one, end), until): ((Headed, usize), usize)| {
        let begin = place(end).min(until);
        Headed { span: Span::new(begin, until), ..one }
    };
    found.into_iter().zip(ends).map(under).collect()
}

fn parts(tokens: &Tokens, at: usize) -> bool {
    tokens.get(at).is_some_and(|token| {
        matches!(token.kind, TokenKind::Line | TokenKind::Sign('.' | ',' | ';' | '!'))
    })
}

/// The heading that begins at a token, with the token behind its colon; its span is, for now, that of the heading.
fn heading(
    numbers: Numbers<'_>,
    first: usize,
    text: &str,
    heads: &[String],
) -> Option<(Headed, usize)> {
    let tokens = numbers.tokens;
    let colon = (first..=first + MOST_WORDS).find(|at| tokens.sign(*at) == Some(':'))?;
    let list = tokens.list.get(first..colon)?;
    let is_word = |token: &Token| matches!(token.kind, TokenKind::Word | TokenKind::Number(_));
    if list.is_empty() || !list.iter().all(is_word) {
        return None;
    }
    let word = |at: usize| tokens.get(at).map(|token| tokens.text(token));
    let head = |at: usize| word(at).is_some_and(|word| heads.iter().any(|head| head == word));
    let begin = first + usize::from(numbers.is(first, Role::Definite));
    let end = if colon > begin + 1 && head(colon - 1) { colon - 1 } else { colon };
    let numbered = colon == begin + 2 && head(begin);
    let unknown =
        list.iter().any(|token| matches!(token.kind, TokenKind::Word) && token.word.is_none());
    if end == colon && !numbered && !unknown {
        return None;
    }
    let name = tokens.span(begin, end).of(text).trim().to_owned();
    let sure = end < colon || numbered;
    let start = tokens.get(first)?.span.start;
    (!name.is_empty()).then(|| (Headed { name, sure, span: Span::new(start, start) }, colon + 1))
}
