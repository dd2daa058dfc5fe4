//! Rain that falls and water that is replaced, as messages tell of them.

use super::sentence::Sentence;
use super::{Wanted, says};
use crate::knowledge::{Asking, Knowledge};
use crate::units::Dimension;

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
            wanted.wish.replace = share(sentence, asking);
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

fn share(sentence: &Sentence<'_>, asking: &Asking) -> Option<f64> {
    let percent = sentence.numbers().find(|(_, n)| n.dimension == Some(Dimension::Share));
    let words: Vec<&str> = sentence.words.iter().map(|word| word.text).collect();
    let text = words.join(" ");
    let said = || {
        let mut shares = asking.shares.iter();
        shares.find(|(words, _)| text.contains(words)).map(|(_, share)| *share)
    };
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
