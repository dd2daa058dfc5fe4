//! What a message says was put into the water: "added 2 lb of bicarb and a quart of acid".

use crate::knowledge::{Form, Knowledge};
use crate::logbook::Added;
use crate::plan::parse_addition;

/// An addition names its product within so many words.
pub(super) const MOST_WORDS: usize = 9;

/// The additions of a message, in order. Questions ("what did I add?") and wishes state none.
#[must_use]
pub(super) fn additions(message: &str, knowledge: &Knowledge) -> Vec<Added> {
    let lower = message.to_lowercase();
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
            match addition(&part, knowledge) {
                Some(one) => found.push(one),
                None => break,
            }
        }
        seen = start + sentence.len();
    }
    found
}

/// The parts of a sentence, at commas, "and", "plus".
fn parts(sentence: &str) -> Vec<String> {
    let plain = sentence.replace(" and ", ",").replace(" plus ", ",").replace(" then ", ",");
    plain.split(',').map(|part| part.trim().trim_end_matches('.').to_owned()).collect()
}

/// "a quart", "half a pound" with their numbers written out.
pub(super) fn spelled(part: &str) -> String {
    part.strip_prefix("a ")
        .or_else(|| part.strip_prefix("an "))
        .or_else(|| part.strip_prefix("one "))
        .map(|rest| {
            rest.strip_prefix("half ").map_or(format!("1 {rest}"), |rest| format!("0.5 {rest}"))
        })
        .or_else(|| part.strip_prefix("half a ").map(|rest| format!("0.5 {rest}")))
        .unwrap_or_else(|| part.to_owned())
}

/// The longest beginning of a part that names an amount and a product.
pub(super) fn addition(part: &str, knowledge: &Knowledge) -> Option<Added> {
    let spelled = spelled(part);
    let words: Vec<&str> = spelled.split_whitespace().take(MOST_WORDS).collect();
    let read = |n: usize| parse_addition(&words.get(..n)?.join(" "), knowledge).ok();
    let one = (2..=words.len()).rev().find_map(read)?;
    let product = knowledge.product(&one.product)?;
    Some(Added {
        product: one.product,
        percent: Some(one.percent),
        amount: one.amount,
        unit: if product.form == Form::Liquid { "L" } else { "kg" }.to_owned(),
        given: one.given,
    })
}
