//! Pieces: the longest phrases that the lexicon knows, numbers with their units, signs, and what is left.

use super::measure::Measure;
use super::number::Numbers;
use super::token::{Token, TokenKind, Tokens};
use crate::knowledge::{Lexicon, Manner, Role, Sense, TermId};

/// A stretch of the message that means one thing, or is not known.
#[derive(Debug, Clone)]
pub struct Piece<'k> {
    /// Its first token.
    pub first: usize,
    /// The token after its last.
    pub end: usize,
    /// What it can mean; empty for numbers, signs and unknown words.
    pub senses: &'k [Sense],
    /// The number, if it is one.
    pub measure: Option<Measure>,
    /// The sign, if it is one.
    pub sign: Option<char>,
    /// Whether it ends a line.
    pub line: bool,
    /// Whether its last word ends in "-ing".
    pub gerund: bool,
    /// Whether it ends in a word that wants something after it: "down to", "set at".
    pub leads: bool,
    /// Whether it holds a denial: "no ice".
    pub denies: bool,
    /// Things named inside a phrase that means something else: "on the pool".
    pub inner: Vec<TermId>,
    /// What the first and the last word of a phrase that names no number mean by themselves: "green water".
    pub ends: [&'k [Sense]; 2],
}

impl Piece<'_> {
    /// Whether it plays a part.
    #[must_use]
    pub fn is(&self, role: Role) -> bool {
        self.senses.contains(&Sense::Role(role))
    }

    /// The things it names.
    pub fn things(&self) -> impl Iterator<Item = TermId> {
        named(self.senses).chain(self.inner.iter().copied())
    }

    /// Whether it parts the items of a list: a comma, a slash, "and", the end of a sentence.
    #[must_use]
    pub fn parts_items(&self) -> bool {
        self.ends_sentence() || matches!(self.sign, Some(',' | '/')) || self.is(Role::And)
    }

    /// Whether its mere mention says something.
    #[must_use]
    pub fn tells_alone(&self, lexicon: &Lexicon) -> bool {
        let said = |term: &TermId| !lexicon.mentions(*term).is_empty();
        self.senses.iter().any(|sense| match sense {
            Sense::Thing(term) | Sense::Item(term) | Sense::State(term, _) => said(term),
            _ => false,
        })
    }

    /// Whether it tells a state.
    #[must_use]
    pub fn is_state(&self) -> bool {
        self.senses.iter().any(|sense| matches!(sense, Sense::State(..)))
    }

    /// Whether it tells something that can cease: "leaking", "the leak".
    #[must_use]
    pub fn is_ongoing(&self) -> bool {
        (self.gerund && self.is_state()) || self.is_noun_state()
    }

    /// Whether it tells a state as a noun: "the leak".
    #[must_use]
    pub fn is_noun_state(&self) -> bool {
        self.senses.iter().any(|sense| matches!(sense, Sense::State(_, Manner::Noun)))
    }

    /// Whether it is one of the words that stand only after their thing: off, out.
    #[must_use]
    pub fn is_particle(&self) -> bool {
        self.senses.iter().any(|sense| matches!(sense, Sense::State(_, Manner::Particle)))
    }

    /// Whether it names a thing.
    #[must_use]
    pub fn is_thing(&self) -> bool {
        self.things().next().is_some()
    }

    /// Whether it names a number.
    #[must_use]
    pub fn is_label(&self) -> bool {
        self.senses.iter().any(|sense| matches!(sense, Sense::Label(_)))
    }

    /// Whether it is a word that nothing here knows.
    #[must_use]
    pub fn is_unknown(&self) -> bool {
        self.senses.is_empty() && self.measure.is_none() && self.sign.is_none() && !self.line
    }

    /// Whether it carries nothing between a label and its number, or a thing and its state.
    #[must_use]
    pub fn is_clear(&self) -> bool {
        [
            Role::Filler,
            Role::Definite,
            Role::Indefinite,
            Role::Approx,
            Role::Preposition,
            Role::Now,
            Role::Pronoun,
            Role::Under,
            Role::Over,
        ]
        .into_iter()
        .any(|role| self.is(role))
            || matches!(self.sign, Some(':' | '=' | '~' | '(' | ')' | '"' | '\'' | '*' | '-'))
    }

    /// Whether it ends a sentence.
    #[must_use]
    pub fn ends_sentence(&self) -> bool {
        self.line || matches!(self.sign, Some('.' | '!' | '?' | ';' | '—'))
    }
}

/// Cuts a message into pieces. `skip` marks tokens that are spoken for (the name of a pool).
#[must_use]
pub fn pieces<'k>(
    tokens: &Tokens,
    lexicon: &'k Lexicon,
    skip: &[(usize, usize)],
) -> Vec<Piece<'k>> {
    let numbers = Numbers { tokens, lexicon };
    let mut pieces = Vec::with_capacity(tokens.list.len());
    let mut at = 0;
    while let Some(token) = tokens.get(at) {
        if let Some((_, end)) = skip.iter().find(|(start, _)| *start == at) {
            at = (*end).max(at + 1);
            continue;
        }
        let phrase = longest(numbers, lexicon, at).or_else(|| contracted(tokens, lexicon, at));
        let measure =
            numbers.measure(at).filter(|m| phrase.is_none_or(|(end, senses)| wins(m, end, senses)));
        let piece = match (measure, phrase) {
            (Some(measure), _) => Piece { measure: Some(measure), ..blank(at, measure.end) },
            (None, Some((end, senses))) => known(numbers, lexicon, (at, end), senses),
            (None, None) => single(at, token),
        };
        at = piece.end.max(at + 1);
        pieces.push(piece);
    }
    pieces
}

/// A phrase of the lexicon as a piece.
fn known<'k>(
    numbers: Numbers<'_>,
    lexicon: &'k Lexicon,
    (at, end): (usize, usize),
    senses: &'k [Sense],
) -> Piece<'k> {
    let last = end.saturating_sub(1);
    let token = numbers.tokens.get(last);
    let ing = |token: &Token| numbers.tokens.text(token).ends_with("ing");
    let gerund = token.is_some_and(ing) || numbers.tokens.get(at).is_some_and(ing);
    let leads = numbers.is(last, Role::To) || numbers.is(last, Role::Clock);
    let denies = (at..end).any(|n| numbers.is(n, Role::Not));
    let inner = inner_things(numbers, at, end, senses);
    let labels = senses.iter().any(|sense| matches!(sense, Sense::Label(_)));
    let word = |at: usize| alone(numbers.tokens, lexicon, at);
    let ends = if end > at + 1 && !labels { [word(at), word(last)] } else { [&[][..]; 2] };
    Piece { senses, gerund, leads, denies, inner, ends, ..blank(at, end) }
}

/// What the word at a place means by itself.
fn alone<'k>(tokens: &Tokens, lexicon: &'k Lexicon, at: usize) -> &'k [Sense] {
    tokens
        .get(at)
        .and_then(|token| token.word)
        .and_then(|word| lexicon.step(lexicon.root(), word))
        .map_or(&[], |step| lexicon.senses(step))
}

/// The things of some senses.
fn named(senses: &[Sense]) -> impl Iterator<Item = TermId> {
    senses.iter().filter_map(|sense| match sense {
        Sense::Thing(id) => Some(*id),
        _ => None,
    })
}

/// The things named inside a phrase of several words that names none itself.
fn inner_things(numbers: Numbers<'_>, at: usize, end: usize, senses: &[Sense]) -> Vec<TermId> {
    let mut things = Vec::new();
    if end < at + 2 || named(senses).next().is_some() {
        return things;
    }
    let mut from = at;
    while from < end {
        let mut step = numbers.lexicon.root();
        let mut found: Option<(usize, &[Sense])> = None;
        for n in from..end {
            let word = numbers.tokens.get(n).and_then(|token| token.word);
            let Some(next) = word.and_then(|word| numbers.lexicon.step(step, word)) else { break };
            step = next;
            let senses = numbers.lexicon.senses(step);
            if named(senses).next().is_some() {
                found = Some((n + 1, senses));
            }
        }
        match found {
            Some((after, senses)) => {
                things.extend(named(senses));
                from = after;
            }
            None => from += 1,
        }
    }
    things
}

/// Whether a number wins over the phrase that begins at the same place.
fn wins(measure: &Measure, end: usize, senses: &[Sense]) -> bool {
    let same = end == measure.end && measure.faint && !lone_number(senses);
    (end <= measure.end && !same) || lone_number(senses)
}

fn lone_number(senses: &[Sense]) -> bool {
    senses.iter().all(|sense| matches!(sense, Sense::Number(_) | Sense::Unit(_)))
}

const fn blank<'k>(first: usize, end: usize) -> Piece<'k> {
    Piece {
        first,
        end,
        senses: &[],
        measure: None,
        sign: None,
        line: false,
        gerund: false,
        leads: false,
        denies: false,
        inner: Vec::new(),
        ends: [&[]; 2],
    }
}

fn single<'k>(at: usize, token: &Token) -> Piece<'k> {
    match token.kind {
        TokenKind::Sign(c) => Piece { sign: Some(c), ..blank(at, at + 1) },
        TokenKind::Line => Piece { line: true, ..blank(at, at + 1) },
        _ => blank(at, at + 1),
    }
}

/// "Tonights supposed to be 12", "phs 7.4": a word with an "s" that means nothing by itself is the word without it.
fn contracted<'k>(
    tokens: &Tokens,
    lexicon: &'k Lexicon,
    at: usize,
) -> Option<(usize, &'k [Sense])> {
    let token =
        tokens.get(at).filter(|token| token.kind == TokenKind::Word && token.word.is_some())?;
    let stem = tokens.text(token).strip_suffix('s').filter(|stem| stem.len() >= 2)?;
    let senses = lexicon.senses(lexicon.step(lexicon.root(), lexicon.word(stem)?)?);
    (!senses.is_empty()).then_some((at + 1, senses))
}

/// The longest phrase that begins at a token and means more than a unit. "The low" and "overnight low" end before what
/// begins a part of a decade: "the low 20s".
fn longest<'k>(
    numbers: Numbers<'_>,
    lexicon: &'k Lexicon,
    start: usize,
) -> Option<(usize, &'k [Sense])> {
    let mut step = lexicon.root();
    let mut found = None;
    let mut at = start;
    while let Some(word) = numbers.tokens.get(at).and_then(|token| token.word) {
        let next = lexicon.step(step, word).or_else(|| {
            // "The street's dark" is "the street is dark".
            let token = numbers.tokens.get(at).filter(|_| at > start)?;
            let short = numbers.tokens.text(token) == "'s";
            lexicon.step(step, lexicon.word(if short { "is" } else { return None })?)
        });
        let Some(next) = next else { break };
        step = next;
        at += 1;
        let senses = lexicon.senses(step);
        let means_more = !lone_number(senses);
        if found.is_some() && numbers.part_of_a_decade(at - 1).is_some() {
            break;
        }
        if means_more || (!senses.is_empty() && found.is_none()) {
            found = Some((at, senses));
        }
    }
    found
}
