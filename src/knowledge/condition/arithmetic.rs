//! Types of arithmetic: what may be added to what, and what a literal means beside it.

use super::{Expr, token::Token};
use crate::facts::FactId;
use crate::knowledge::vocabulary::{FactDef, Vocabulary};
use crate::problem::Span;
use crate::units::{Dimension, UnitId, base_value, unit};

/// An expression before it is known what its literals stand beside.
#[derive(Debug, Clone)]
pub(super) enum Term {
    Literal(f64, UnitId, Span),
    Fact(FactId, Span),
    Both(Box<Term>, &'static str, Box<Term>),
}

/// What went wrong, where, and what to do.
pub(super) struct Fault {
    pub message: String,
    pub span: Span,
    pub help: Option<String>,
    pub units: bool,
}

impl Fault {
    pub fn new(message: impl Into<String>, span: Span) -> Self {
        Self { message: message.into(), span, help: None, units: false }
    }

    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }

    fn units(message: impl Into<String>, span: Span) -> Self {
        Self { units: true, ..Self::new(message, span) }
    }
}

impl Term {
    fn span(&self) -> Span {
        match self {
            Self::Literal(.., span) | Self::Fact(_, span) => *span,
            Self::Both(a, _, b) => a.span().join(b.span()),
        }
    }

    /// What it measures; a literal without a unit fits anything, hence `None`.
    pub fn dimension(&self, words: &Vocabulary) -> Result<Option<Dimension>, Fault> {
        match self {
            Self::Literal(_, id, _) => {
                let dimension = unit(*id).dimension;
                Ok((dimension != Dimension::Plain).then_some(dimension))
            }
            Self::Fact(id, span) => match words.get(*id).and_then(FactDef::unit) {
                Some(id) => Ok(Some(unit(id).dimension)),
                None => Err(Fault::new(format!("`{}` is not a number", words.name(*id)), *span)),
            },
            Self::Both(a, sign, b) => self.joined(a.dimension(words)?, sign, b.dimension(words)?),
        }
    }

    fn joined(
        &self,
        a: Option<Dimension>,
        sign: &str,
        b: Option<Dimension>,
    ) -> Result<Option<Dimension>, Fault> {
        use Dimension::{Plain, Temperature, TemperatureDifference};
        let literal_right = matches!(self, Self::Both(_, _, b) if matches!(**b, Self::Literal(..)));
        match (sign, a, b) {
            ("+" | "-", Some(Temperature), _) if literal_right => Ok(Some(Temperature)),
            ("-", Some(Temperature), Some(Temperature)) => Ok(Some(TemperatureDifference)),
            ("+" | "-", Some(x), Some(y)) if x != y => {
                Err(Fault::units("these do not measure the same", self.span()))
            }
            ("+" | "-", x, y) => Ok(x.or(y)),
            ("*", x, None | Some(Plain)) => Ok(x),
            ("*", None | Some(Plain), y) => Ok(y),
            ("/", x, None | Some(Plain)) => Ok(x),
            ("/", Some(x), Some(y)) if x == y => Ok(Some(Plain)),
            _ => Err(Fault::units("no unit comes of this", self.span())
                .help("multiply and divide by bare numbers, or divide two of a kind")),
        }
    }

    /// The expression in base units, its literals read as what stands beside them.
    pub fn lower(&self, wanted: Option<Dimension>, words: &Vocabulary) -> Result<Expr, Fault> {
        match self {
            Self::Fact(id, _) => {
                let unit = words.get(*id).and_then(FactDef::unit).map(unit);
                let (factor, offset) = unit.map_or((1.0, 0.0), |unit| (unit.factor, unit.offset));
                Ok(Expr::Fact { id: *id, factor, offset })
            }
            Self::Literal(value, id, span) => literal(*value, *id, *span, wanted),
            Self::Both(a, sign, b) => {
                let (left, right) = (a.dimension(words)?, b.dimension(words)?);
                let (for_a, for_b) = match *sign {
                    "+" | "-" => {
                        let own = left.or(right).or(wanted);
                        let moved = wanted == Some(Dimension::Temperature)
                            || left == Some(Dimension::Temperature);
                        let shift = matches!(**b, Self::Literal(..)) && moved;
                        (own, if shift { Some(Dimension::TemperatureDifference) } else { own })
                    }
                    _ => (left, right),
                };
                let a = Box::new(a.lower(for_a, words)?);
                let b = Box::new(b.lower(for_b, words)?);
                Ok(match *sign {
                    "+" => Expr::Add(a, b),
                    "-" => Expr::Sub(a, b),
                    "*" => Expr::Mul(a, b),
                    _ => Expr::Div(a, b),
                })
            }
        }
    }
}

fn literal(value: f64, id: UnitId, span: Span, wanted: Option<Dimension>) -> Result<Expr, Fault> {
    let unit = unit(id);
    match wanted {
        Some(Dimension::TemperatureDifference) if unit.dimension == Dimension::Temperature => {
            Ok(Expr::Number(value * unit.factor))
        }
        Some(wanted) if wanted != unit.dimension && !wanted.accepts(unit.dimension) => {
            let told = if unit.name.is_empty() {
                "a bare number".to_owned()
            } else {
                format!("`{}`", unit.name)
            };
            Err(Fault::units(format!("{told} does not fit here"), span)
                .help(format!("give the number with its unit, such as {}", example_unit(wanted))))
        }
        _ => Ok(Expr::Number(base_value(value, id))),
    }
}

fn example_unit(dimension: Dimension) -> String {
    let known = crate::units::UNITS.iter().filter(|unit| unit.dimension == dimension);
    let names: Vec<String> = known.take(3).map(|unit| format!("`{}`", unit.name)).collect();
    if dimension == Dimension::Plain { "none at all".to_owned() } else { names.join(", ") }
}

/// Reads sums of products of facts, numbers and brackets.
pub(super) struct Sums<'t, 'v> {
    pub tokens: &'t [(Token, Span)],
    pub at: usize,
    pub words: &'v Vocabulary,
}

impl Sums<'_, '_> {
    pub fn sign(&mut self, among: &[&'static str]) -> Option<&'static str> {
        match self.tokens.get(self.at) {
            Some((Token::Sign(sign), _)) if among.contains(sign) => {
                self.at += 1;
                Some(sign)
            }
            _ => None,
        }
    }

    pub fn sum(&mut self) -> Result<Term, Fault> {
        let mut left = self.product()?;
        while let Some(sign) = self.sign(&["+", "-"]) {
            left = Term::Both(Box::new(left), sign, Box::new(self.product()?));
        }
        Ok(left)
    }

    fn product(&mut self) -> Result<Term, Fault> {
        let mut left = self.factor()?;
        while let Some(sign) = self.sign(&["*", "/"]) {
            left = Term::Both(Box::new(left), sign, Box::new(self.factor()?));
        }
        Ok(left)
    }

    fn factor(&mut self) -> Result<Term, Fault> {
        let end = self.tokens.last().map_or(0, |(_, span)| span.end);
        let Some((token, span)) = self.tokens.get(self.at) else {
            return Err(Fault::new("something is missing here", Span::new(end, end)));
        };
        self.at += 1;
        match token {
            Token::Number(value, unit) => Ok(Term::Literal(*value, *unit, *span)),
            Token::Word(word) => fact(word, *span, self.words).map(|id| Term::Fact(id, *span)),
            Token::Sign("-") => match self.factor()? {
                Term::Literal(value, unit, literal) => {
                    Ok(Term::Literal(-value, unit, span.join(literal)))
                }
                _ => Err(Fault::new("only a number can be negative", *span)),
            },
            Token::Sign("(") => {
                let inner = self.sum()?;
                self.sign(&[")"]).ok_or_else(|| Fault::new("this bracket is not closed", *span))?;
                Ok(inner)
            }
            Token::Sign(sign) => Err(Fault::new(format!("`{sign}` does not belong here"), *span)),
        }
    }
}

/// The fact of a name.
pub(super) fn fact(word: &str, span: Span, words: &Vocabulary) -> Result<FactId, Fault> {
    words.find(word).ok_or_else(|| {
        let fault = Fault::new(format!("no fact is called `{word}`"), span);
        match crate::problem::nearest(word, words.names()) {
            Some(near) => fault.help(format!("did you mean `{near}`?")),
            None => fault
                .help("declare it in `vocabulary.toml`, or as a [[derived]] fact of a rule file"),
        }
    })
}
