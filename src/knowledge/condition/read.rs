//! Reads conditions and conclusions.

use super::arithmetic::{Fault, Sums, fact};
use super::token::{Token, tokens};
use super::{Comparison, Concluded, Conclusion, Condition};
use crate::facts::{ChoiceSet, FactId, Value};
use crate::knowledge::document::{Problems, Text};
use crate::knowledge::range::BandSet;
use crate::knowledge::vocabulary::{FactDef, Kind, Vocabulary};
use crate::problem::{Code, Problem, Span, nearest};
use crate::units::unit;

/// Reads a condition; what is wrong with it is noted at its place.
#[expect(
    clippy::redundant_closure_for_method_calls,
    reason = "the method alone is not general enough over its lifetimes"
)]
pub(in super::super) fn read_condition(
    text: &Text<'_>,
    words: &Vocabulary,
    problems: &Problems,
) -> Option<Condition> {
    report(text, problems, parse(&text.text, words, |parser| parser.whole()))
}

/// Reads `fact is value` or `fact = expression`; what is wrong with it is noted at its place.
#[expect(
    clippy::redundant_closure_for_method_calls,
    reason = "the method alone is not general enough over its lifetimes"
)]
pub(in super::super) fn read_conclusion(
    text: &Text<'_>,
    words: &Vocabulary,
    problems: &Problems,
) -> Option<Conclusion> {
    report(text, problems, parse(&text.text, words, |parser| parser.conclusion()))
}

fn report<T>(text: &Text<'_>, problems: &Problems, read: Result<T, Fault>) -> Option<T> {
    read.map_err(|fault| {
        let code = if fault.units { Code::Units } else { Code::Condition };
        let problem = Problem::error(code, Some(text.place_of(fault.span)), fault.message);
        problems.push(match fault.help {
            Some(help) => problem.help(help),
            None => problem,
        });
    })
    .ok()
}

fn parse<T>(
    text: &str,
    words: &Vocabulary,
    read: impl Fn(&mut Parser<'_, '_>) -> Result<T, Fault>,
) -> Result<T, Fault> {
    let tokens = tokens(text).map_err(|(message, span)| Fault::new(message, span))?;
    let mut parser = Parser { tokens: &tokens, at: 0, words };
    let value = read(&mut parser)?;
    match tokens.get(parser.at) {
        None => Ok(value),
        Some((_, span)) => {
            Err(Fault::new("this is left over", *span).help("join conditions with `and` or `or`"))
        }
    }
}

struct Parser<'t, 'v> {
    tokens: &'t [(Token, Span)],
    at: usize,
    words: &'v Vocabulary,
}

impl Parser<'_, '_> {
    fn peek(&self) -> Option<&str> {
        match self.tokens.get(self.at) {
            Some((Token::Word(word), _)) => Some(word),
            Some((Token::Sign(sign), _)) => Some(sign),
            _ => None,
        }
    }

    fn take(&mut self, word: &str) -> bool {
        let found = self.peek() == Some(word);
        self.at += usize::from(found);
        found
    }

    fn here(&self) -> Span {
        let end = self.tokens.last().map_or(0, |(_, span)| span.end);
        self.tokens.get(self.at).map_or(Span::new(end, end), |(_, span)| *span)
    }

    fn word(&mut self, wanted: &str) -> Result<(String, Span), Fault> {
        match self.tokens.get(self.at) {
            Some((Token::Word(word), span)) => {
                self.at += 1;
                Ok((word.clone(), *span))
            }
            _ => Err(Fault::new(format!("{wanted} is missing here"), self.here())),
        }
    }

    fn whole(&mut self) -> Result<Condition, Fault> {
        let mut parts = vec![self.conjunction()?];
        while self.take("or") {
            parts.push(self.conjunction()?);
        }
        Ok(single(parts, Condition::Any))
    }

    fn conjunction(&mut self) -> Result<Condition, Fault> {
        let mut parts = vec![self.unary()?];
        while self.take("and") {
            parts.push(self.unary()?);
        }
        Ok(single(parts, Condition::All))
    }

    fn unary(&mut self) -> Result<Condition, Fault> {
        if self.take("not") {
            return Ok(Condition::Not(Box::new(self.unary()?)));
        }
        if self.peek() == Some("(") && self.bracket_holds_condition() {
            let open = self.here();
            self.at += 1;
            let inner = self.whole()?;
            return if self.take(")") {
                Ok(inner)
            } else {
                Err(Fault::new("this bracket is not closed", open))
            };
        }
        self.test()
    }

    /// Whether a bracket opens a condition and not a sum: a comparison stands inside it.
    fn bracket_holds_condition(&self) -> bool {
        let mut depth = 0i32;
        for (token, _) in self.tokens.get(self.at..).unwrap_or(&[]) {
            match token {
                Token::Sign("(") => depth += 1,
                Token::Sign(")") => {
                    depth -= 1;
                    if depth == 0 {
                        return false;
                    }
                }
                Token::Sign("<" | "<=" | ">" | ">=" | "=" | "!=") => return true,
                Token::Word(word) if matches!(word.as_str(), "is" | "has" | "lacks") => {
                    return true;
                }
                _ => {}
            }
        }
        false
    }

    fn test(&mut self) -> Result<Condition, Fault> {
        if let (Some((Token::Word(name), span)), Some((Token::Word(verb), _))) =
            (self.tokens.get(self.at), self.tokens.get(self.at + 1))
        {
            let (name, span, verb) = (name.clone(), *span, verb.clone());
            if matches!(verb.as_str(), "is" | "has" | "lacks") {
                let id = fact(&name, span, self.words)?;
                self.at += 2;
                return if verb == "is" { self.is(id) } else { self.has(id, verb == "lacks") };
            }
        }
        self.comparison()
    }

    fn comparison(&mut self) -> Result<Condition, Fault> {
        let mut sums = Sums { tokens: self.tokens, at: self.at, words: self.words };
        let left = sums.sum()?;
        let Some(sign) = sums.sign(&["<=", ">=", "!=", "<", ">", "="]) else {
            let at = self.tokens.get(sums.at).map_or(self.here(), |(_, span)| *span);
            return Err(Fault::new("a comparison is missing here", at)
                .help("write `fact <= number unit`, `fact is value`, or `fact has value`"));
        };
        let right = sums.sum()?;
        self.at = sums.at;
        let wanted = left.dimension(self.words)?.or(right.dimension(self.words)?);
        if let (Some(a), Some(b)) = (left.dimension(self.words)?, right.dimension(self.words)?)
            && a != b
            && !a.accepts(b)
            && !b.accepts(a)
        {
            let span =
                self.tokens.first().map_or(Span::default(), |(_, s)| *s).join(self.previous());
            let mut fault = Fault::new("the two sides do not measure the same", span);
            fault.units = true;
            return Err(fault);
        }
        let sign = match sign {
            "<" => Comparison::Less,
            "<=" => Comparison::AtMost,
            ">" => Comparison::More,
            ">=" => Comparison::AtLeast,
            "=" => Comparison::Equal,
            _ => Comparison::Unequal,
        };
        Ok(Condition::Compare(
            left.lower(wanted, self.words)?,
            sign,
            right.lower(wanted, self.words)?,
        ))
    }

    fn previous(&self) -> Span {
        self.at
            .checked_sub(1)
            .and_then(|at| self.tokens.get(at))
            .map_or(Span::default(), |(_, span)| *span)
    }

    fn is(&mut self, id: FactId) -> Result<Condition, Fault> {
        if self.take("known") {
            return Ok(Condition::Known(id, true));
        }
        let kind = self.words.get(id).map(|def| def.kind.clone());
        // A value of a fact may itself be called "unknown": then the word means that value.
        let named =
            matches!(&kind, Some(Kind::OneOf(values)) if values.iter().any(|v| v == "unknown"));
        if !named && self.take("unknown") {
            return Ok(Condition::Known(id, false));
        }
        let negated = self.take("not");
        match kind {
            Some(Kind::YesNo { .. }) => {
                let (word, span) = self.word("`yes` or `no`")?;
                match word.as_str() {
                    "yes" => Ok(Condition::Flag(id, !negated)),
                    "no" => Ok(Condition::Flag(id, negated)),
                    _ => Err(Fault::new(format!("`{word}` is neither yes nor no"), span)),
                }
            }
            Some(Kind::OneOf(values)) => {
                let set = self.values(&values)?;
                let set = if negated { ChoiceSet::all(values.len()).minus(set) } else { set };
                Ok(Condition::Is(id, set))
            }
            Some(Kind::Number { .. }) => {
                let names: Vec<String> =
                    BandSet::NAMES.iter().map(|name| (*name).to_owned()).collect();
                let set = BandSet::from_choices(self.values(&names)?);
                Ok(Condition::Band(id, if negated { set.complement() } else { set }))
            }
            _ => Err(Fault::new(
                format!("`{}` takes several values", self.words.name(id)),
                self.previous(),
            )
            .help("write `has value` or `lacks value`")),
        }
    }

    fn has(&mut self, id: FactId, lacks: bool) -> Result<Condition, Fault> {
        let Some(Kind::SeveralOf(values)) = self.words.get(id).map(|def| def.kind.clone()) else {
            return Err(Fault::new(
                format!("`{}` does not take several values", self.words.name(id)),
                self.previous(),
            )
            .help("write `is value`"));
        };
        let condition = Condition::Has(id, self.values(&values)?);
        Ok(if lacks { Condition::Not(Box::new(condition)) } else { condition })
    }

    /// A value, or `one of` several with commas between them.
    fn values(&mut self, known: &[String]) -> Result<ChoiceSet, Fault> {
        let several = self.take("one") && self.take("of");
        let mut set = ChoiceSet::default();
        loop {
            let (word, span) = self.word("a value")?;
            let Some(at) = known.iter().position(|value| *value == word) else {
                let fault =
                    Fault::new(format!("`{word}` is not one of {}", known.join(", ")), span);
                return Err(match nearest(&word, known.iter().map(String::as_str)) {
                    Some(near) => fault.help(format!("did you mean `{near}`?")),
                    None => fault,
                });
            };
            set = set.with(at);
            if !(several && self.take(",")) {
                return Ok(set);
            }
        }
    }

    fn conclusion(&mut self) -> Result<Conclusion, Fault> {
        let (name, span) = self.word("a fact")?;
        let id = fact(&name, span, self.words)?;
        if self.take("=") {
            let mut sums = Sums { tokens: self.tokens, at: self.at, words: self.words };
            let term = sums.sum()?;
            self.at = sums.at;
            let Some(canonical) = self.words.get(id).and_then(FactDef::unit) else {
                return Err(Fault::new(format!("`{name}` is not a number"), span)
                    .help("write `fact is value`"));
            };
            let wanted = Some(unit(canonical).dimension);
            if let Some(got) = term.dimension(self.words)?
                && Some(got) != wanted
            {
                let mut fault =
                    Fault::new(format!("this does not measure what `{name}` does"), span);
                fault.units = true;
                return Err(fault);
            }
            return Ok(Conclusion {
                fact: id,
                value: Concluded::Expr(term.lower(wanted, self.words)?),
            });
        }
        if !self.take("is") {
            return Err(Fault::new("`is` or `=` is missing here", self.here()));
        }
        let value = match self.is(id)? {
            Condition::Flag(_, flag) => Value::Flag(flag),
            Condition::Is(_, set) if set.len() == 1 => {
                let at = set.iter().next().and_then(|n| u8::try_from(n).ok()).unwrap_or(0);
                Value::Choice(at)
            }
            _ => return Err(Fault::new("this is no single value", self.previous())),
        };
        Ok(Conclusion { fact: id, value: Concluded::Value(value) })
    }
}

fn single(mut parts: Vec<Condition>, join: fn(Vec<Condition>) -> Condition) -> Condition {
    if parts.len() == 1 { parts.remove(0) } else { join(parts) }
}
