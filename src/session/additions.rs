//! What a message says was put into the water: "added 2 lb of bicarb and a quart of acid".

use super::dose::DOSE;
use crate::advice::Answer;
use crate::knowledge::{Form, Knowledge};
use crate::language::in_figures;
use crate::logbook::Added;
use crate::plan::{Addition, parse_addition};
use crate::units::{System, convert, find_unit, trim_number};

/// An addition names its product within so many words.
const MOST_WORDS: usize = 9;

/// The additions of a message, in order. Questions ("what did I add?") and wishes state none.
#[must_use]
pub(super) fn additions(message: &str, knowledge: &Knowledge) -> Vec<Added> {
    let lower = in_figures(&message.to_lowercase(), &knowledge.lexicon);
    if lower.contains('?') {
        return Vec::new();
    }
    let mut found = Vec::new();
    let mut seen = 0;
    let mut starts: Vec<usize> = knowledge
        .work
        .words
        .added
        .iter()
        .flat_map(|verb| lower.match_indices(verb.as_str()).map(|(at, _)| at + verb.len()))
        .filter(|end| {
            lower.get(*end..).is_some_and(|rest| !rest.starts_with(char::is_alphanumeric))
        })
        .collect();
    starts.sort_unstable();
    for start in starts {
        if start < seen {
            continue;
        }
        let rest = lower.get(start..).unwrap_or_default();
        let sentence = rest.split(['\n', ';']).next().unwrap_or_default();
        for part in parts(sentence) {
            match added(&part, knowledge) {
                Some(one) => found.push(one),
                None => break,
            }
        }
        seen = start + sentence.len();
    }
    found
}

/// Says beside amounts to add what the message tells to have gone in: it may be part of them.
pub(super) fn already_in(message: &str, knowledge: &Knowledge, answer: &mut Answer) {
    let added = additions(message, knowledge);
    let Some(dose) = answer.replies.iter_mut().find(|reply| reply.heading == DOSE) else { return };
    if added.is_empty() {
        return;
    }
    let told = added.iter().map(|one| {
        let name = knowledge.product(&one.product).map(|product| product.name.as_str());
        format!("{} {}", one.given, name.unwrap_or(&one.product))
    });
    let what = told.collect::<Vec<_>>().join(", ");
    dose.lines.insert(0, knowledge.work.words.already_in.replace("{what}", &what));
}

/// The parts of a sentence with its amounts in figures, at commas, "and", "plus".
pub(super) fn parts(sentence: &str) -> Vec<String> {
    let plain = sentence.replace(" and ", ",").replace(" plus ", ",").replace(" then ", ",");
    plain.split(',').map(|part| part.trim().trim_end_matches('.').to_owned()).collect()
}

/// The longest beginning of a part that names an amount and a product.
pub(super) fn addition(part: &str, knowledge: &Knowledge) -> Option<Addition> {
    let words: Vec<&str> = part.split_whitespace().take(MOST_WORDS).collect();
    let read =
        |n: usize| parse_addition(words.get(..n)?.join(" ").trim_end_matches('.'), knowledge).ok();
    (2..=words.len()).rev().find_map(read)
}

/// The same as the record keeps it.
fn added(part: &str, knowledge: &Knowledge) -> Option<Added> {
    let one = addition(part, knowledge)?;
    let product = knowledge.product(&one.product)?;
    Some(Added {
        product: one.product,
        percent: Some(one.percent),
        amount: one.amount,
        unit: if product.form == Form::Liquid { "L" } else { "kg" }.to_owned(),
        given: one.given,
    })
}

/// An amount (`L` or `kg`) as it is measured out: fluid ounces below a gallon, ounces below a pound, mL and g below one.
#[must_use]
pub fn amount_words(amount: f64, unit: &str, system: System) -> String {
    let steps: &[&'static str] = match (unit, system) {
        ("L", System::Us) => &["gal", "fl oz"],
        ("kg", System::Us) => &["lb", "oz"],
        ("L", System::Si) => &["L", "mL"],
        ("kg", System::Si) => &["kg", "g"],
        _ => &[],
    };
    let told = |name: &&'static str| {
        let (from, to) = (find_unit(unit)?, find_unit(name)?);
        Some((convert(amount, from, to)?, *name))
    };
    let large = steps.iter().filter_map(told).find(|(value, _)| *value >= 1.0);
    match large.or_else(|| steps.last().and_then(told)) {
        Some((value, name)) => {
            let decimals = if value < 10.0 { 1 } else { 0 };
            format!("{} {name}", trim_number(value, decimals))
        }
        None => format!("{} {unit}", trim_number(amount, 2)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_half_more_is_added_to_its_amount() {
        let base = crate::session::Base::packed().unwrap();
        let litres = |message: &str| {
            let found = additions(message, base.knowledge());
            found.iter().map(|one| (one.amount * 1000.0).round()).collect::<Vec<_>>()
        };
        // A US pint is 473.18 mL (NIST SP 811, 2008, B.8).
        assert_eq!(litres("added a pint and a half of acid"), [710.0]);
        assert_eq!(litres("added two and a half gallons of bleach"), [9464.0]);
        assert_eq!(litres("added a quart of acid and a pint of bleach"), [946.0, 473.0]);
    }

    /// By hand: 0.05 L are 1.69 US fluid ounces, 3.785 L a gallon, 0.2 kg 7.05 ounces (NIST SP 811, 2008, B.8).
    #[test]
    fn small_amounts_are_told_in_small_units() {
        let told = |amount, unit, system| amount_words(amount, unit, system);
        assert_eq!(told(0.05, "L", System::Us), "1.7 fl oz");
        assert_eq!(told(3.785_412, "L", System::Us), "1 gal");
        assert_eq!(told(0.2, "kg", System::Us), "7.1 oz");
        assert_eq!(told(0.35, "L", System::Si), "350 mL");
        assert_eq!(told(2.5, "kg", System::Si), "2.5 kg");
    }
}
