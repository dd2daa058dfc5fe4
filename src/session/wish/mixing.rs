//! Rain that falls and water that is replaced, as messages tell of them.

use super::sentence::Sentence;
use super::{Wanted, says};
use crate::knowledge::{Asking, Knowledge};
use crate::units::Dimension;

/// Shares in words.
const SHARES: [(&str, f64); 9] = [
    ("two thirds", 2.0 / 3.0),
    ("three quarters", 0.75),
    ("a third", 1.0 / 3.0),
    ("one third", 1.0 / 3.0),
    ("1/3", 1.0 / 3.0),
    ("half", 0.5),
    ("a quarter", 0.25),
    ("1/4", 0.25),
    ("a fifth", 0.2),
];

/// Reads rain and replaced water; only of a message that asks.
pub(super) fn read(
    sentences: &[Sentence<'_>],
    lower: &str,
    knowledge: &Knowledge,
    asks: bool,
    wanted: &mut Wanted,
) {
    let asking = &knowledge.dosing.asking;
    if !asks {
        return;
    }
    for sentence in sentences {
        let drains = sentence.holds(&asking.drain) || sentence.text_holds(&asking.drain);
        if drains && wanted.wish.replace.is_none() {
            wanted.wish.replace = share(sentence);
        }
        if sentence.words.iter().any(|word| says(&asking.rain, word.text)) {
            let depth = sentence.numbers().find(|(_, n)| n.dimension == Some(Dimension::Length));
            let inches = sentence
                .numbers()
                .find(|(at, n)| n.dimension.is_none() && sentence.word(at + 1) == "in");
            wanted.wish.rain_mm = depth
                .map(|(_, number)| number.base)
                .or_else(|| inches.map(|(_, number)| number.value * 25.4));
        }
    }
    if wanted.wish.replace.is_some() && fill_water(lower, asking).is_none() {
        // "How much do I have to drain" asks for the share itself.
        wanted.wish.fill.clear();
    }
}

fn share(sentence: &Sentence<'_>) -> Option<f64> {
    let percent = sentence.numbers().find(|(_, n)| n.dimension == Some(Dimension::Share));
    let words: Vec<&str> = sentence.words.iter().map(|word| word.text).collect();
    let text = words.join(" ");
    let said = || SHARES.iter().find(|(words, _)| text.contains(words)).map(|(_, share)| *share);
    let share = percent.map(|(_, number)| number.value / 100.0).or_else(said)?;
    (share > 0.0 && share < 1.0).then_some(share)
}

/// Where what is said of the fill water begins and ends, if anything is.
fn fill_water(lower: &str, asking: &Asking) -> Option<(usize, usize)> {
    let drains = asking.drain.iter().any(|word| lower.contains(word.as_str()));
    if !drains {
        return None;
    }
    let found = asking.fill_water.iter().filter_map(|words| {
        let at = lower.find(words.as_str())?;
        Some((at, at + words.len()))
    });
    let (_, from) = found.min()?;
    let rest = lower.get(from..)?;
    let ends = ["?", ";", ". ", " pool", "\n"].iter().filter_map(|end| rest.find(end));
    Some((from, from + ends.min().unwrap_or(rest.len())))
}

/// A message with what it says of the fill water blanked out, and those words by themselves.
pub(in crate::session) fn without_fill_water(
    message: &str,
    knowledge: &Knowledge,
) -> Option<(String, String)> {
    let lower = message.to_ascii_lowercase();
    let (start, end) = fill_water(&lower, &knowledge.dosing.asking)?;
    let said = message.get(start..end)?.to_owned();
    let has_number = said.contains(|c: char| c.is_ascii_digit());
    let (before, after) = (message.get(..start)?, message.get(end..)?);
    has_number.then(|| (format!("{before}{}{after}", " ".repeat(end - start)), said))
}
