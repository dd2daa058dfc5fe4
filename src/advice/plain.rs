//! Conditions and facts in plain words: no names of facts, no signs.

use crate::engine::State;
use crate::facts::{ChoiceSet, FactId, Value};
use crate::knowledge::{BandSet, Comparison, Condition, Expr, FactDef, Kind};
use crate::units::{System, from_base, unit};

/// What an answer calls a fact.
pub(super) fn title(state: &State<'_>, fact: FactId) -> String {
    def(state, fact).map(|def| def.title.clone()).unwrap_or_default()
}

/// A fact with a value in words: `air temperature 19 °F`, `pump stopped`.
#[must_use]
pub fn said_fact(state: &State<'_>, fact: FactId, value: Value, units: System) -> String {
    def(state, fact).map_or_else(String::new, |def| titled(def, &def.show(value, units)))
}

/// A value as it is shown, with the title of its fact; a yes or no says by itself what it is of.
#[must_use]
pub fn titled(def: &FactDef, shown: &str) -> String {
    match def.kind {
        Kind::YesNo { .. } => shown.to_owned(),
        _ => format!("{} {shown}", def.title),
    }
}

/// A fact as it stands in words.
#[must_use]
pub fn said_now(state: &State<'_>, fact: FactId, units: System) -> String {
    match state.memory().value(fact) {
        Some(value) => said_fact(state, fact, value, units),
        None => format!("{} unknown", title(state, fact)),
    }
}

/// A condition in plain words, to stand behind "it needs" or "not while".
pub(super) fn plain(state: &State<'_>, condition: &Condition, units: System) -> String {
    say(state, condition, true, units)
}

fn def<'n>(state: &State<'n>, fact: FactId) -> Option<&'n FactDef> {
    state.network().knowledge().vocabulary.get(fact)
}

/// A condition, or its opposite.
fn say(state: &State<'_>, condition: &Condition, so: bool, units: System) -> String {
    let joined = |parts: &[Condition], word: &str| {
        let said: Vec<String> = parts.iter().map(|part| say(state, part, so, units)).collect();
        said.join(word)
    };
    match condition {
        Condition::All(parts) => joined(parts, if so { " and " } else { " or " }),
        Condition::Any(parts) => joined(parts, if so { " or " } else { " and " }),
        Condition::Not(part) => say(state, part, !so, units),
        Condition::Known(id, known) if *known == so => format!("to know {}", title(state, *id)),
        Condition::Known(id, _) => format!("no word of {}", title(state, *id)),
        Condition::Flag(id, wanted) => match def(state, *id) {
            Some(def) => def.show(Value::Flag(*wanted == so), units),
            None => String::new(),
        },
        Condition::Is(id, set) | Condition::Has(id, set) => choices(state, *id, *set, so),
        Condition::Band(id, bands) => band(state, *id, *bands, so),
        Condition::Compare(a, sign, b) => compare(state, (a, *sign, b), so, units),
    }
}

fn choices(state: &State<'_>, id: FactId, set: ChoiceSet, so: bool) -> String {
    let Some(def) = def(state, id) else { return String::new() };
    let words: Vec<String> =
        set.iter().filter_map(|n| def.values().get(n)).map(|word| word.replace('-', " ")).collect();
    let not = if so { "" } else { "not " };
    format!("{} {not}{}", def.title, words.join(" or "))
}

fn band(state: &State<'_>, id: FactId, bands: BandSet, so: bool) -> String {
    let not = if so { "" } else { "not " };
    let held = (0_u8..).zip(BandSet::NAMES).filter(|(n, _)| bands.holds(*n));
    let words: Vec<String> = held.map(|(_, word)| word.replace('-', " ")).collect();
    format!("{} {not}{}", title(state, id), words.join(" or "))
}

fn compare(
    state: &State<'_>,
    (a, sign, b): (&Expr, Comparison, &Expr),
    so: bool,
    units: System,
) -> String {
    // The fact stands first in the sentence, whatever stood first in the rule.
    let turned = matches!((a, b), (Expr::Number(_), Expr::Fact { .. }));
    let (left, right, sign) = if turned { (b, a, mirrored(sign)) } else { (a, b, sign) };
    let sign = if so { sign } else { opposite(sign) };
    let words = expression(state, left, units);
    let other = match (left, right) {
        (Expr::Fact { id, .. }, Expr::Number(n)) => number(state, *id, *n, units),
        (_, Expr::Number(n)) => match facts_of(left).first() {
            Some(id) => span(state, *id, *n, units),
            None => String::new(),
        },
        _ => expression(state, right, units),
    };
    match sign {
        Comparison::Less => format!("{words} under {other}"),
        Comparison::AtMost => format!("{words} {other} or less"),
        Comparison::More => format!("{words} over {other}"),
        Comparison::AtLeast => format!("{words} {other} or more"),
        Comparison::Equal => format!("{words} just {other}"),
        Comparison::Unequal => format!("{words} other than {other}"),
    }
}

const fn mirrored(sign: Comparison) -> Comparison {
    match sign {
        Comparison::Less => Comparison::More,
        Comparison::AtMost => Comparison::AtLeast,
        Comparison::More => Comparison::Less,
        Comparison::AtLeast => Comparison::AtMost,
        same => same,
    }
}

const fn opposite(sign: Comparison) -> Comparison {
    match sign {
        Comparison::Less => Comparison::AtLeast,
        Comparison::AtMost => Comparison::More,
        Comparison::More => Comparison::AtMost,
        Comparison::AtLeast => Comparison::Less,
        Comparison::Equal => Comparison::Unequal,
        Comparison::Unequal => Comparison::Equal,
    }
}

/// A number of the base unit as a value of a fact.
fn number(state: &State<'_>, id: FactId, base: f64, units: System) -> String {
    let Some(def) = def(state, id) else { return String::new() };
    match def.kind {
        Kind::Number { unit, .. } => def.show(Value::Number(from_base(base, unit)), units),
        _ => String::new(),
    }
}

/// A difference of the base unit, in the unit of a fact: of temperatures the degrees, not the point.
fn span(state: &State<'_>, id: FactId, base: f64, units: System) -> String {
    let Some(Kind::Number { unit: canonical, decimals }) = def(state, id).map(|def| &def.kind)
    else {
        return String::new();
    };
    if unit(*canonical).name != "°C" {
        return number(state, id, base, units);
    }
    let degrees = if units == System::Us { base * 1.8 } else { base };
    let name = if units == System::Us { "°F" } else { "°C" };
    format!("{} {name}", crate::units::trim_number(degrees, *decimals))
}

fn facts_of(expr: &Expr) -> Vec<FactId> {
    let mut facts = Vec::new();
    expr.facts(&mut |id| facts.push(id));
    facts
}

fn expression(state: &State<'_>, expr: &Expr, units: System) -> String {
    let pair = |a: &Expr, word: &str, b: &Expr| {
        let near = |part: &Expr, beside: &Expr| match (part, facts_of(beside).first()) {
            (Expr::Number(n), Some(id)) => span(state, *id, *n, units),
            _ => expression(state, part, units),
        };
        format!("{} {word} {}", near(a, b), near(b, a))
    };
    match expr {
        Expr::Number(n) => crate::units::trim_number(*n, 2),
        Expr::Fact { id, .. } => title(state, *id),
        Expr::Add(a, b) => pair(a, "plus", b),
        Expr::Sub(a, b) => pair(a, "less", b),
        Expr::Mul(a, b) => {
            format!("{} times {}", expression(state, a, units), expression(state, b, units))
        }
        Expr::Div(a, b) => {
            format!("{} by {}", expression(state, a, units), expression(state, b, units))
        }
    }
}
