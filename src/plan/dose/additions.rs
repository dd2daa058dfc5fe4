//! Additions as people say them: `muriatic-acid 31.45 % 500 mL`, `2 lb of soda ash`.

use super::amount::{as_is, per_mole};
use super::pick::Picked;
use super::schedule::Portion;
use crate::knowledge::{Form, Knowledge, Product, Strength};
use crate::problem::{Code, Problem};
use crate::units::{Dimension, UnitId, base_value, find_unit, parse_quantity, trim_number, unit};

/// A product somebody means to add.
#[derive(Debug, Clone, PartialEq)]
pub struct Addition {
    /// The product's id.
    pub product: String,
    /// Its strength, per cent, age taken off.
    pub percent: f64,
    /// L of a liquid, kg of a powder.
    pub amount: f64,
    /// The amount as it was said.
    pub given: String,
}

/// Words that are neither product nor amount.
const FILLERS: [&str; 9] = ["of", "the", "a", "an", "some", "old", "at", "add", "and"];

/// Reads an addition: a product, an amount, and if need be its strength and its age (`30 d old`).
///
/// # Errors
/// Says what is missing, unknown or impossible.
pub fn parse_addition(text: &str, knowledge: &Knowledge) -> Result<Addition, Problem> {
    let wrong = |message: String| {
        Problem::error(Code::Value, None, message)
            .help("write it like `muriatic-acid 31.45 % 500 mL` or `2 lb soda ash`")
    };
    if text.split_whitespace().any(|word| word.strip_prefix(['-', '−']).is_some_and(is_numeral)) {
        return Err(wrong(format!("an amount of `{}` is below zero", text.trim())));
    }
    let (quantities, name) = parts(text);
    let Some(product) = knowledge.product_called(&name) else {
        let known = knowledge.products.iter().map(|product| product.id.as_str());
        let listed: Vec<&str> = known.clone().collect();
        let problem =
            Problem::error(Code::UnknownName, None, format!("no product is called `{name}`"));
        return Err(match crate::problem::nearest(&name, known) {
            Some(near) => problem.help(format!("did you mean `{near}`?")),
            None => problem.help(format!("products: {}", listed.join(", "))),
        });
    };
    let mut strength = product.usual_strength();
    let mut amount = 0.0;
    let mut days = 0.0;
    let mut given = Vec::new();
    for (value, from, words) in &quantities {
        let base = base_value(*value, *from);
        match unit(*from).dimension {
            Dimension::Share if (0.0..=100.0).contains(value) && *value > 0.0 => {
                strength = product.strength(*value);
            }
            Dimension::Time if *value >= 0.0 => days += base / 24.0,
            Dimension::Mass | Dimension::Volume if *value > 0.0 => {
                amount += measure(product, strength, base, *from);
                given.push(words.clone());
            }
            _ => return Err(wrong(format!("`{words}` is not an amount, a strength or an age"))),
        }
    }
    if amount <= 0.0 {
        return Err(wrong(format!("`{}` names no amount", text.trim())));
    }
    let percent = product.aged(strength, days).percent;
    Ok(Addition { product: product.id.clone(), percent, amount, given: given.join(" ") })
}

fn is_numeral(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_digit() || c == '.')
}

/// An amount in the product's own measure: L of a liquid, kg of a powder.
fn measure(product: &Product, strength: Strength, base: f64, from: UnitId) -> f64 {
    let weighed = unit(from).dimension == Dimension::Mass;
    match (product.form, weighed) {
        // Ounces of a liquid are fluid ounces, whatever people write.
        (Form::Liquid, true) if unit(from).name == "oz" => {
            let fluid = find_unit("fl oz").map_or(base, |fluid| base_value(1.0, fluid));
            let ounce = base_value(1.0, from);
            base / ounce * fluid
        }
        (Form::Liquid, true) => base / strength.density_kg_l,
        (Form::Dry, false) => base * strength.density_kg_l,
        _ => base,
    }
}

/// Numbers with their units, and the words that are left: the product.
fn parts(text: &str) -> (Vec<(f64, UnitId, String)>, String) {
    let words: Vec<&str> = text.split_whitespace().collect();
    let mut quantities = Vec::new();
    let mut name = Vec::new();
    let mut rest = words.as_slice();
    while let [first, after @ ..] = rest {
        if !first.starts_with(|c: char| c.is_ascii_digit() || c == '.') {
            if !FILLERS.contains(&first.to_lowercase().as_str()) {
                name.push(*first);
            }
            rest = after;
            continue;
        }
        // `500mL`, or `500 mL`, or `21 fl oz`: the longest that is a quantity.
        let taken = (1..=3.min(rest.len())).rev().find_map(|n| {
            let words = rest.get(..n)?.join(" ");
            let (value, from) = parse_quantity(&words).ok()?;
            (unit(from).dimension != Dimension::Plain).then_some((n, value, from, words))
        });
        let Some((n, value, from, words)) = taken else {
            name.push(*first);
            rest = after;
            continue;
        };
        quantities.push((value, from, words));
        rest = rest.get(n..).unwrap_or_default();
    }
    (quantities, name.join(" "))
}

/// The additions as portions for so many litres of pool, in the order given.
pub(super) fn portions<'a>(
    additions: &[Addition],
    knowledge: &'a Knowledge,
    litres: f64,
) -> Vec<Portion<'a>> {
    let portion = |addition: &Addition| {
        let picked = Picked::of(knowledge.product(&addition.product)?)?;
        let strength = picked.product.strength(addition.percent);
        let each_mole = per_mole(picked.product, strength)?;
        Some(Portion {
            product: picked.product,
            substance: picked.substance,
            strength: format!("{} %", trim_number(strength.percent, 2)),
            amount: as_is(addition.amount, picked.product.form, addition.given.clone()),
            mol_per_kg: addition.amount / each_mole / litres,
            number: 1,
            of: 1,
        })
    };
    additions.iter().filter_map(portion).collect()
}
