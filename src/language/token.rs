//! Words, numbers and signs, with their bytes in the message.
//!
//! Text is compared in a folded form: compatibility forms are resolved (full-width digits, `½`, `℃`), accents
//! dropped, letters lowered. Every token still knows the bytes of the message that it came from.

use crate::knowledge::{Lexicon, Sense};
use crate::problem::Span;
use unicode_normalization::UnicodeNormalization;

/// What a token is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TokenKind {
    /// A word.
    Word,
    /// A number in digits.
    Number(f64),
    /// Digits that are no number: a model, a version, a date with dots.
    Code,
    /// Any other sign.
    Sign(char),
    /// The end of a line.
    Line,
}

/// A word, number or sign.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Token {
    /// What it is.
    pub kind: TokenKind,
    /// Its place among the known words.
    pub word: Option<u32>,
    /// Whether it follows the one before without a space.
    pub joined: bool,
    /// Its bytes in the message.
    pub span: Span,
    /// Its bytes in the folded text.
    pub folded: Span,
}

/// A message taken apart.
#[derive(Debug)]
pub struct Tokens {
    /// The folded text.
    pub folded: String,
    /// The tokens in order.
    pub list: Vec<Token>,
}

impl Tokens {
    /// A token's folded text.
    #[must_use]
    pub fn text(&self, token: &Token) -> &str {
        token.folded.of(&self.folded)
    }

    /// The token at a place.
    #[must_use]
    pub fn get(&self, at: usize) -> Option<&Token> {
        self.list.get(at)
    }

    /// The sign at a place.
    #[must_use]
    pub fn sign(&self, at: usize) -> Option<char> {
        match self.get(at)?.kind {
            TokenKind::Sign(c) => Some(c),
            _ => None,
        }
    }

    /// The number at a place.
    #[must_use]
    pub fn number(&self, at: usize) -> Option<f64> {
        match self.get(at)?.kind {
            TokenKind::Number(n) => Some(n),
            _ => None,
        }
    }

    /// The bytes of the message from one token up to and without another.
    #[must_use]
    pub fn span(&self, first: usize, end: usize) -> Span {
        let start = self.get(first).map_or(0, |token| token.span.start);
        let stop = end.checked_sub(1).and_then(|last| self.get(last)).map_or(start, |t| t.span.end);
        Span::new(start, stop.max(start))
    }
}

/// Takes a message apart. The time is linear in its length.
#[must_use]
pub fn tokenize(text: &str, lexicon: &Lexicon) -> Tokens {
    let folded = fold(text);
    let mut scan = Scan {
        text: &folded.text,
        chars: folded.text.char_indices().peekable(),
        lexicon,
        list: Vec::with_capacity(text.len() / 4),
        space: true,
    };
    while scan.next_token() {}
    let mut list = scan.list;
    if let Some(origins) = &folded.origins {
        for token in &mut list {
            let start = origins.get(token.folded.start).map_or(0, |o| o.start);
            let last = token.folded.end.checked_sub(1).and_then(|at| origins.get(at));
            token.span = Span::new(start, last.map_or(start, |o| o.end));
        }
    }
    Tokens { folded: folded.text, list }
}

struct Folded {
    text: String,
    /// For each byte of the text, the bytes of the message; `None` if they are the same.
    origins: Option<Vec<Span>>,
}

fn fold(text: &str) -> Folded {
    if text.is_ascii() {
        return Folded { text: text.to_ascii_lowercase(), origins: None };
    }
    let mut folded = String::with_capacity(text.len());
    let mut origins = Vec::with_capacity(text.len());
    for (at, c) in text.char_indices() {
        let origin = Span::new(at, at + c.len_utf8());
        let mut push = |c: char| {
            folded.push(c);
            origins.extend(std::iter::repeat_n(origin, c.len_utf8()));
        };
        match c {
            'º' | '˚' => push('°'),
            '’' | '‘' | 'ʼ' | '´' | '′' => push('\''),
            '“' | '”' | '″' => push('"'),
            '–' | '−' | '‐' | '‑' => push('-'),
            '—' => push('—'),
            '\u{200b}'..='\u{200f}' | '\u{feff}' => {}
            '½' | '¼' | '¾' | '⅓' | '⅔' | '⅛' | '⅜' | '⅝' | '⅞' => {
                // "1½" must not become "11/2".
                push(' ');
                std::iter::once(c).nfkd().for_each(push);
            }
            c => std::iter::once(c)
                .nfkd()
                .filter(|c| !('\u{300}'..='\u{36f}').contains(c))
                .flat_map(char::to_lowercase)
                .for_each(push),
        }
    }
    Folded { text: folded, origins: Some(origins) }
}

struct Scan<'t> {
    text: &'t str,
    chars: std::iter::Peekable<std::str::CharIndices<'t>>,
    lexicon: &'t Lexicon,
    list: Vec<Token>,
    space: bool,
}

impl Scan<'_> {
    fn next_token(&mut self) -> bool {
        let Some(&(at, c)) = self.chars.peek() else { return false };
        if c == '\n' {
            self.chars.next();
            self.push(TokenKind::Line, at, at + 1);
            self.space = true;
        } else if c.is_whitespace() || c.is_control() {
            self.chars.next();
            self.space = true;
        } else if c.is_ascii_digit() || (c == '.' && self.digit_after(at + 1)) {
            self.number(at);
        } else if c.is_alphanumeric() {
            self.word(at);
        } else {
            self.chars.next();
            self.sign(at, c);
        }
        true
    }

    fn rest(&self, at: usize) -> &str {
        self.text.get(at..).unwrap_or("")
    }

    fn digit_after(&self, at: usize) -> bool {
        self.rest(at).starts_with(|c: char| c.is_ascii_digit())
            && (self.space
                || !self.list.last().is_some_and(|t| t.kind == TokenKind::Word && !self.names(t)))
    }

    /// "cc.5": the point begins the number of a reading.
    fn names(&self, token: &Token) -> bool {
        let word = token.word.and_then(|word| self.lexicon.step(self.lexicon.root(), word));
        word.is_some_and(|step| {
            self.lexicon.senses(step).iter().any(|s| matches!(s, Sense::Label(_)))
        })
    }

    fn skip_to(&mut self, end: usize) {
        while self.chars.next_if(|(at, _)| *at < end).is_some() {}
    }

    fn push(&mut self, kind: TokenKind, start: usize, end: usize) {
        let span = Span::new(start, end);
        let text = self.text.get(start..end).unwrap_or("");
        let known = match kind {
            TokenKind::Code | TokenKind::Line => None,
            TokenKind::Number(_) if text.len() > 3 => None,
            _ => self.lexicon.word(text),
        };
        self.list.push(Token { kind, word: known, joined: !self.space, span, folded: span });
        self.space = false;
    }

    fn sign(&mut self, at: usize, c: char) {
        if c == '\'' {
            let rest = self.rest(at + 1);
            let after_word =
                !self.space && self.list.last().is_some_and(|t| t.kind == TokenKind::Word);
            let ends = |n: usize| !rest.get(n..).unwrap_or("").starts_with(char::is_alphanumeric);
            if after_word && rest.starts_with('s') && ends(1) {
                self.skip_to(at + 2);
                return self.push(TokenKind::Word, at, at + 2);
            }
        }
        // "in-ground": a hyphen inside a word parts it and says nothing.
        let after_word = !self.space && self.list.last().is_some_and(|t| t.kind == TokenKind::Word);
        if c == '-' && after_word && self.rest(at + 1).starts_with(char::is_alphabetic) {
            return;
        }
        // "a.m.", "m.p.h": a point inside an abbreviation ends nothing.
        let one_letter =
            |t: &Token| t.kind == TokenKind::Word && t.folded.end - t.folded.start == 1;
        if c == '.' && !self.space && self.list.last().is_some_and(one_letter) {
            return;
        }
        self.push(TokenKind::Sign(c), at, at + c.len_utf8());
    }

    /// A word: letters and digits after a letter, apostrophes inside left out ("isn't").
    fn word(&mut self, start: usize) {
        let rest = self.rest(start);
        let plain = rest.find(|c: char| !c.is_alphanumeric()).unwrap_or(rest.len());
        let letters = rest.find(|c: char| !c.is_alphabetic()).unwrap_or(rest.len());
        let word = rest.get(..plain).unwrap_or(rest);
        if letters < plain && self.lexicon.word(word).is_none() {
            // "ph7.2" is a label and its number; "sp2610" is a model.
            let label = rest.get(..letters).unwrap_or("");
            if letters > 1 && self.lexicon.word(label).is_some() {
                self.skip_to(start + letters);
                return self.push(TokenKind::Word, start, start + letters);
            }
            let code =
                rest.find(|c: char| !(c.is_alphanumeric() || c == '-')).unwrap_or(rest.len());
            self.skip_to(start + code);
            return self.push(TokenKind::Code, start, start + code);
        }
        let after = rest.get(plain..).unwrap_or("");
        let tail = after.strip_prefix('\'').unwrap_or("");
        let tail_len = tail.find(|c: char| !c.is_alphabetic()).unwrap_or(tail.len());
        if tail_len > 0 && tail.get(..tail_len) != Some("s") {
            // The apostrophe stays in the span, and is left out of the word.
            let end = start + plain + 1 + tail_len;
            let mut joined = word.to_owned();
            joined.push_str(tail.get(..tail_len).unwrap_or(""));
            self.skip_to(end);
            self.push(TokenKind::Word, start, end);
            let known = self.lexicon.word(&joined);
            if let Some(token) = self.list.last_mut().filter(|token| token.word.is_none()) {
                token.word = known;
            }
            return;
        }
        self.skip_to(start + plain);
        self.push(TokenKind::Word, start, start + plain);
    }

    /// Digits: one number, or several parted by commas.
    fn number(&mut self, start: usize) {
        let rest = self.rest(start);
        let run = rest
            .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == ','))
            .map_or(rest, |end| rest.get(..end).unwrap_or(rest))
            .trim_end_matches(['.', ','])
            .to_owned();
        self.skip_to(start + run.len());
        let groups: Vec<&str> = run.split(',').collect();
        let whole = |text: &str| text.bytes().all(|b| b.is_ascii_digit());
        let thousands = groups.len() > 1
            && groups.first().is_some_and(|g| (1..=3).contains(&g.len()) && whole(g))
            && groups
                .iter()
                .skip(1)
                .all(|g| g.split('.').next().is_some_and(|w| w.len() == 3 && whole(w)))
            && groups.iter().skip(1).rev().skip(1).all(|g| whole(g));
        let decimal =
            groups.len() == 2 && groups.iter().all(|g| (1..=2).contains(&g.len()) && whole(g));
        if thousands || decimal {
            let text = run.replace(',', if thousands { "" } else { "." });
            return self.digits(&text, start, start + run.len());
        }
        let mut at = start;
        for group in groups {
            if at > start {
                self.push(TokenKind::Sign(','), at - 1, at);
            }
            if !group.is_empty() {
                self.digits(group, at, at + group.len());
            }
            at += group.len() + 1;
        }
    }

    fn digits(&mut self, text: &str, start: usize, end: usize) {
        let value = text.parse::<f64>().ok().filter(|n| n.is_finite() && text.len() <= 15);
        self.push(value.map_or(TokenKind::Code, TokenKind::Number), start, end);
    }
}
