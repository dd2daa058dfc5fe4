//! Amounts as a trainee says them: how much of a product in all.

use super::mark::SaidAmount;
use super::right::NeededAmount;
use crate::knowledge::{Knowledge, Product};
use crate::plan::parse_addition;
use crate::units::{find_unit, parse_quantity, unit};

/// Numbers that are said as words.
const WORDS: [(&str, f64); 15] = [
    ("a", 1.0),
    ("an", 1.0),
    ("one", 1.0),
    ("two", 2.0),
    ("three", 3.0),
    ("four", 4.0),
    ("five", 5.0),
    ("six", 6.0),
    ("seven", 7.0),
    ("eight", 8.0),
    ("nine", 9.0),
    ("ten", 10.0),
    ("twelve", 12.0),
    ("half", 0.5),
    ("quarter", 0.25),
];

/// The number that a word is: `2.5`, `3/4`, `half`.
fn number(word: &str) -> Option<f64> {
    let said = WORDS.iter().find(|(one, _)| *one == word).map(|(_, n)| *n);
    let parts = || {
        let (above, below) = word.split_once('/')?;
        let (above, below) = (above.parse::<f64>().ok()?, below.parse::<f64>().ok()?);
        (below > 0.0).then(|| above / below)
    };
    said.or_else(|| word.parse().ok()).or_else(parts)
}

/// Amounts with words and fractions as plain numbers: "a pound and a half" is `1.5 pound`, "3/4 lb" `0.75 lb`.
fn plain(said: &str) -> String {
    let lines = said.lines().map(|line| {
        let words: Vec<&str> = line.split_whitespace().collect();
        let mut out: Vec<String> = Vec::new();
        let mut at = 0;
        while let Some(word) = words.get(at) {
            match measured(&words, at) {
                Some((value, unit, taken)) => {
                    out.push(format!("{value} {unit}"));
                    at += taken;
                }
                None => {
                    out.push((*word).to_owned());
                    at += 1;
                }
            }
        }
        out.join(" ")
    });
    lines.collect::<Vec<_>>().join("\n")
}

/// A number with its unit that begins here, and how many words it takes.
fn measured<'w>(words: &[&'w str], at: usize) -> Option<(f64, &'w str, usize)> {
    let word = |n: usize| words.get(at + n).map(|word| word.trim_matches([',', '(', ')']));
    let lower = |n: usize| word(n).map(str::to_lowercase);
    let value = |n: usize| lower(n).and_then(|word| number(&word));
    let is_unit = |n: usize| word(n).is_some_and(|word| find_unit(word).is_some());
    let part = |n: usize| value(n).filter(|part| *part < 1.0);
    let and_part = |n: usize| {
        let joins = lower(n).as_deref() == Some("and");
        let article = usize::from(lower(n + 1).as_deref() == Some("a"));
        let part = part(n + 1 + article).filter(|_| joins)?;
        Some((part, 2 + article))
    };
    let first = value(0)?;
    // "Half a gallon", "a half pound", "1 1/2 lb", "two and a half pounds".
    let (amount, next) = if first < 1.0 && lower(1).is_some_and(|word| word == "a" || word == "an")
    {
        (first, 2)
    } else if let Some(part) = part(1) {
        (if lower(0).as_deref() == Some("a") { part } else { first + part }, 2)
    } else if let Some((part, taken)) = and_part(1) {
        (first + part, 1 + taken)
    } else {
        (first, 1)
    };
    let unit = word(next).filter(|_| is_unit(next))?;
    let (more, taken) = and_part(next + 1).unwrap_or((0.0, 0));
    Some((amount + more, unit, next + 1 + taken))
}

/// The amount of one product among what was said.
pub(super) fn amount(needed: &NeededAmount, said: &str, knowledge: &Knowledge) -> SaidAmount {
    let product = knowledge.products.iter().find(|product| product.id == needed.product);
    let plain = plain(said);
    let clauses = plain.split([';', '\n']).flat_map(|part| part.split(". "));
    let parts = clauses.flat_map(|part| part.split(" then "));
    let spoken: f64 = parts.filter_map(|part| product.and_then(|p| of(part, p, knowledge))).sum();
    let said = (spoken > 0.0).then_some(spoken);
    let right =
        said.is_some_and(|said| (said - needed.amount).abs() <= needed.tolerance * needed.amount);
    SaidAmount { needed: needed.clone(), said, right }
}

/// Every amount in a stretch of text, as so much of the product; other products in it count for themselves.
fn of(text: &str, product: &Product, knowledge: &Knowledge) -> Option<f64> {
    let lower = text.to_lowercase().replace('-', " ");
    let names = |one: &Product| {
        let own = [one.name.to_lowercase(), one.id.replace('-', " ")];
        own.iter()
            .chain(&one.words)
            .filter(|word| lower.contains(word.as_str()))
            .map(String::len)
            .max()
    };
    let best = knowledge
        .products
        .iter()
        .filter_map(|one| Some((names(one)?, one)))
        .max_by_key(|(n, _)| *n);
    if best.is_some_and(|(_, one)| one.id != product.id && one.family != product.family) {
        return None;
    }
    let words: Vec<&str> =
        lower.split_whitespace().map(|word| word.trim_matches([',', '(', ')'])).collect();
    let mut total = 0.0;
    let mut at = 0;
    let mut behind = 0;
    while at < words.len() {
        let Some((n, text)) = (1..=3).rev().find_map(|n| quantity(words.get(at..at + n)?)) else {
            at += 1;
            continue;
        };
        if let Ok(added) = parse_addition(&format!("{text} {}", product.id), knowledge) {
            let between = words.get(behind..at).unwrap_or(&[]);
            total = if again(between) { added.amount } else { total + added.amount };
        }
        at += n;
        behind = at;
    }
    (total > 0.0).then_some(total)
}

/// Whether words between two amounts say that the second is the first once more: "half a gallon, about 60 oz".
fn again(between: &[&str]) -> bool {
    let says = |list: &[&str]| between.iter().any(|word| list.contains(word));
    says(&["about", "roughly", "approx", "or", "so", "around", "="])
        && !says(&["and", "then", "plus", "now", "later", "+", "another", "more", "again", "after"])
}

/// An amount that these words are, and how many words it takes.
fn quantity(words: &[&str]) -> Option<(usize, String)> {
    let text = words.join(" ");
    let (value, from) = parse_quantity(&text).ok()?;
    let dimension = unit(from).dimension;
    let mass = find_unit("lb").map(unit)?.dimension;
    let volume = find_unit("gal").map(unit)?.dimension;
    let measured = dimension == mass || dimension == volume;
    // The pool's own volume is no dose.
    let pool = dimension == volume && crate::units::base_value(value, from) > 400.0;
    (measured && value > 0.0 && !pool).then_some((words.len(), text))
}

#[cfg(test)]
mod tests {
    use super::plain;

    #[test]
    fn amounts_in_words_become_numbers() {
        for (said, wanted) in [
            ("12 and a half pounds of soda", "12.5 pounds of soda"),
            ("a quart and a half of acid", "1.5 quart of acid"),
            ("3/4 lb", "0.75 lb"),
            ("1 1/2 lb now", "1.5 lb now"),
            ("half a gallon", "0.5 gallon"),
            ("a half gallon", "0.5 gallon"),
            ("three lb of it, then a break", "3 lb of it, then a break"),
            ("12 lb 8 oz", "12 lb 8 oz"),
        ] {
            assert_eq!(plain(said), wanted, "{said}");
        }
    }
}
