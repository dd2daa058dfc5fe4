//! Conditions of three values: true, false, unknown.

use super::{Memory, Network};
use crate::facts::{FactId, Value};
use crate::knowledge::{BandSet, Comparison, Condition, Expr, Rule};

/// The truth of a condition. Unknown is not false.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Truth {
    /// It is so.
    True,
    /// It is not so.
    False,
    /// It waits for facts.
    Unknown,
}

impl Truth {
    const fn of(truth: bool) -> Self {
        if truth { Self::True } else { Self::False }
    }

    const fn not(self) -> Self {
        match self {
            Self::True => Self::False,
            Self::False => Self::True,
            Self::Unknown => Self::Unknown,
        }
    }
}

/// Typed numbers must not fall off a threshold by the last bit: 40 °F is 4.444… °C either way.
const SLACK: f64 = 1e-9;

/// The truth of one condition.
pub(super) fn condition(wanted: &Condition, memory: &Memory, network: &Network) -> Truth {
    match wanted {
        Condition::All(parts) => all(parts, memory, network),
        Condition::Any(parts) => {
            let mut truth = Truth::False;
            for part in parts {
                match condition(part, memory, network) {
                    Truth::True => return Truth::True,
                    Truth::Unknown => truth = Truth::Unknown,
                    Truth::False => {}
                }
            }
            truth
        }
        Condition::Not(part) => condition(part, memory, network).not(),
        Condition::Known(id, known) => Truth::of(memory.value(*id).is_some() == *known),
        Condition::Compare(a, sign, b) => match (number(a, memory), number(b, memory)) {
            (Some(a), Some(b)) => Truth::of(compare(a, *sign, b)),
            _ => Truth::Unknown,
        },
        Condition::Flag(id, wanted) => match memory.value(*id).and_then(Value::flag) {
            Some(flag) => Truth::of(flag == *wanted),
            None => Truth::Unknown,
        },
        Condition::Is(id, set) | Condition::Has(id, set) => {
            match memory.value(*id).and_then(Value::choices) {
                Some(choices) => Truth::of(choices.meets(*set)),
                None => Truth::Unknown,
            }
        }
        Condition::Band(id, bands) => band(*id, *bands, memory, network),
    }
}

/// The truth of all of some conditions.
pub(super) fn all(parts: &[Condition], memory: &Memory, network: &Network) -> Truth {
    let mut truth = Truth::True;
    for part in parts {
        match condition(part, memory, network) {
            Truth::False => return Truth::False,
            Truth::Unknown => truth = Truth::Unknown,
            Truth::True => {}
        }
    }
    truth
}

/// The truth of a rule: `when` must be true, and nothing of `unless`; unknown exceptions pass.
pub(super) fn rule(rule: &Rule, memory: &Memory, network: &Network) -> Truth {
    let stopped = || rule.unless.iter().any(|part| condition(part, memory, network) == Truth::True);
    match all(&rule.when, memory, network) {
        Truth::False => Truth::False,
        truth if stopped() => {
            let _ = truth;
            Truth::False
        }
        truth => truth,
    }
}

/// The value of an expression in base units, if all its facts are known.
pub(super) fn number(expr: &Expr, memory: &Memory) -> Option<f64> {
    let value = match expr {
        Expr::Number(n) => *n,
        Expr::Fact { id, factor, offset } => memory.value(*id)?.number()?.mul_add(*factor, *offset),
        Expr::Add(a, b) => number(a, memory)? + number(b, memory)?,
        Expr::Sub(a, b) => number(a, memory)? - number(b, memory)?,
        Expr::Mul(a, b) => number(a, memory)? * number(b, memory)?,
        Expr::Div(a, b) => number(a, memory)? / number(b, memory)?,
    };
    value.is_finite().then_some(value)
}

fn compare(a: f64, sign: Comparison, b: f64) -> bool {
    let slack = SLACK * a.abs().max(b.abs()).max(1.0);
    match sign {
        Comparison::Less => a < b - slack,
        Comparison::AtMost => a <= b + slack,
        Comparison::More => a > b + slack,
        Comparison::AtLeast => a >= b - slack,
        Comparison::Equal => (a - b).abs() <= slack,
        Comparison::Unequal => (a - b).abs() > slack,
    }
}

fn band(id: FactId, bands: BandSet, memory: &Memory, network: &Network) -> Truth {
    let Some(value) = memory.value(id).and_then(Value::number) else {
        return Truth::Unknown;
    };
    match network.range(id, memory) {
        Some(range) => Truth::of(bands.holds(range.band(value))),
        None => Truth::Unknown,
    }
}
