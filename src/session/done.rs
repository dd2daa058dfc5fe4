//! What a message says was done now, and the photos it names: "brushed, emptied the baskets, IMG_2041.jpg".

use crate::facts::{Fact, Origin, Value};
use crate::knowledge::{Knowledge, Task};
use crate::logbook::parts_of;
use crate::units::{convert, find_unit, parse_quantity};
use std::collections::BTreeSet;

/// The fact that holds the depth of rain.
const RAIN: &str = "weather.rain_depth";

/// The tasks that a message says were done now, in the order of the rule base. A clause that asks, denies, wishes or
/// speaks of another day says of no task that it was done now.
#[must_use]
pub(super) fn tasks_done<'k>(message: &str, knowledge: &'k Knowledge) -> Vec<&'k Task> {
    let work = &knowledge.work;
    let lower = message.to_lowercase();
    let clauses: Vec<Vec<String>> = clauses(&lower)
        .into_iter()
        .filter(|(_, asks)| !asks)
        .map(|(clause, _)| words_of(clause))
        .collect();
    // Most messages hold the first word of no phrase at all.
    let heard: BTreeSet<&str> = clauses.iter().flatten().map(String::as_str).collect();
    let may = |phrase: &String| first_word(phrase).is_none_or(|first| heard.contains(first));
    let denied = |words: &[String]| work.words.not_done.iter().any(|not| stands(not, words));
    let told = |phrase: &String| {
        may(phrase) && clauses.iter().any(|words| stands(phrase, words) && !denied(words))
    };
    let mut found: Vec<&Task> =
        work.tasks.iter().filter(|task| task.done.iter().any(told)).collect();
    // Both ways to clean a filter share words; the profile decides later which one it is.
    found.dedup_by(|later, first| later.fact.is_some() && later.fact == first.fact);
    found
}

/// The photos that a message names, by the endings of their names.
#[must_use]
pub(super) fn photos(message: &str, knowledge: &Knowledge) -> Vec<String> {
    let endings = &knowledge.work.words.photo_endings;
    let is_photo = |name: &&str| {
        name.rsplit_once('.').is_some_and(|(stem, ending)| {
            !stem.is_empty() && endings.iter().any(|known| known.eq_ignore_ascii_case(ending))
        })
    };
    let names = message
        .split(|c: char| c.is_whitespace() || matches!(c, ',' | ';' | '(' | ')' | '"' | '`'))
        .map(|name| name.trim_end_matches(['.', '!', '?', ':']))
        .filter(is_photo);
    let mut found: Vec<String> = Vec::new();
    for name in names {
        if !found.iter().any(|held| held == name) {
            found.push(name.to_owned());
        }
    }
    found
}

/// How deep the rain was that a message tells of, mm, and its words: "1.2 in of rain", "it rained half an inch".
#[must_use]
pub(super) fn rain_told(message: &str, knowledge: &Knowledge) -> Option<(f64, String)> {
    let lower = message.to_lowercase();
    let sentence = lower.split('?').next().filter(|asked| *asked == lower)?;
    let words: Vec<&str> = sentence
        .split(|c: char| c.is_whitespace() || matches!(c, ',' | ';' | '(' | ')'))
        .map(|word| word.trim_end_matches(['.', '!', ':']))
        .filter(|word| !word.is_empty())
        .collect();
    let rain = |word: &&str| knowledge.work.trend.rain_words.iter().any(|known| known == word);
    let at = words.iter().position(rain)?;
    let before = words.get(..at).unwrap_or_default();
    let before = before.strip_suffix(&["of"]).unwrap_or(before);
    let after = words.get(at + 1..).unwrap_or_default();
    // The longest run of words that is a depth: right before the rain, or right behind it.
    let runs = (1..=4_usize).rev().flat_map(|many| {
        let back = before.len().checked_sub(many).and_then(|from| before.get(from..));
        back.into_iter().chain(after.get(..many))
    });
    runs.filter_map(|run| Some((depth_mm(run)?, run.join(" ")))).next()
}

/// The same as a fact.
#[must_use]
pub(super) fn rain_fact(message: &str, knowledge: &Knowledge) -> Option<Fact> {
    let id = knowledge.vocabulary.find(RAIN)?;
    let (mm, given) = rain_told(message, knowledge)?;
    Some(Fact::stated(id, Value::Number(mm), given, Origin::Message))
}

/// `1.2 in`, `half an inch`, `an inch`, `12mm`, in mm.
fn depth_mm(words: &[&str]) -> Option<f64> {
    let text = words.join(" ");
    let text = match text.as_str() {
        "an inch" | "one inch" => "1 in",
        "half an inch" | "half inch" => "0.5 in",
        "a quarter inch" | "quarter inch" => "0.25 in",
        other => other,
    };
    let (value, from) = parse_quantity(text).ok()?;
    convert(value, from, find_unit("mm")?).filter(|mm| *mm >= 0.0)
}

/// How a reading was measured: the first way to measure that a sentence names behind it, or else the last one before.
#[must_use]
pub(super) fn method_of(fact: &Fact, message: &str, knowledge: &Knowledge) -> Option<String> {
    let span = fact.span?;
    let lower = message.to_ascii_lowercase();
    let ends = |text: &str| {
        let stops = |(at, c): (usize, char)| {
            let rest = text.get(at + c.len_utf8()..).unwrap_or_default();
            matches!(c, ';' | '\n') || c == '.' && !rest.starts_with(|c: char| c.is_ascii_digit())
        };
        text.char_indices().find(|one| stops(*one)).map_or(text.len(), |(at, _)| at)
    };
    let from =
        lower.get(..span.start).unwrap_or_default().rfind([';', '\n']).map_or(0, |at| at + 1);
    let behind = lower.get(span.start..).unwrap_or_default();
    let behind = behind.get(..ends(behind)).unwrap_or_default();
    let before = lower.get(from..span.start).unwrap_or_default();
    let before = before.rsplit(". ").next().unwrap_or_default();
    let places = |text: &str| {
        let words = words_of(text);
        let known = knowledge.work.words.methods.iter();
        let mut found: Vec<(usize, usize, String)> = known
            .flat_map(|method| {
                let parts = parts_of(method);
                let many = parts.len();
                let at = words.windows(many.max(1)).enumerate();
                let at: Vec<usize> = at.filter(|(_, w)| *w == parts).map(|(n, _)| n).collect();
                at.into_iter().map(move |at| (at, usize::MAX - many, method.clone()))
            })
            .collect();
        found.sort();
        found
    };
    let first = places(behind).into_iter().next();
    first.or_else(|| places(before).into_iter().next_back()).map(|(.., method)| method)
}

/// The clauses of a message, and whether each belongs to a question.
fn clauses(text: &str) -> Vec<(&str, bool)> {
    let ends = |c: char| matches!(c, '.' | ';' | '!' | '?' | '\n');
    let mut found = Vec::new();
    for sentence in text.split_inclusive(ends) {
        let asks = sentence.ends_with('?');
        let parts = sentence.split([',', ':']).flat_map(|part| part.split(" but "));
        found.extend(parts.map(|part| (part, asks)));
    }
    found
}

/// The words of a clause; an apostrophe stays within its word.
pub(super) fn words_of(clause: &str) -> Vec<String> {
    let plain = clause.replace('\u{2019}', "'");
    let words = plain.split(|c: char| !c.is_alphanumeric() && c != '\'');
    words.filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

/// Whether a phrase stands among words, whole.
pub(super) fn stands(phrase: &str, words: &[String]) -> bool {
    // Most phrases stand in no message: their first word tells, without a list of words being made.
    if first_word(phrase).is_some_and(|first| !words.iter().any(|word| word == first)) {
        return false;
    }
    let phrase = if phrase.contains('\'') { words_of(phrase) } else { parts_of(phrase) };
    !phrase.is_empty() && words.windows(phrase.len()).any(|window| window == phrase.as_slice())
}

/// The first word of a phrase of plain letters in lower case; of others nothing is told.
fn first_word(phrase: &str) -> Option<&str> {
    let plain = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit();
    let end = phrase.bytes().position(|byte| !plain(byte)).unwrap_or(phrase.len());
    let (first, rest) = phrase.split_at_checked(end)?;
    let cut = rest.is_empty() || rest.starts_with([' ', '-']);
    (cut && !first.is_empty() && !phrase.contains('\'')).then_some(first)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn done(message: &str) -> String {
        let base = crate::session::Base::packed().unwrap();
        let found = tasks_done(message, base.knowledge());
        found.iter().map(|task| task.id.as_str()).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn work_told_in_passing_is_read_and_what_was_not_done_is_not() {
        assert_eq!(done("Brushed, emptied both baskets; backwashed."), "baskets brush backwash");
        assert_eq!(done("ph 7.4, skimmed and vacuumed"), "skim vacuum");
        assert_eq!(done("tested the freeze sensor, all good"), "freeze-sensor-test");
        assert_eq!(done("hosed off the cartridge"), "cartridge");
        for not in [
            "didn't get it brushed",
            "brushed yesterday",
            "not vacuumed",
            "should be brushed tomorrow",
            "have you backwashed?",
            "vacuumed 3 days ago",
            "needs to be vacuumed",
            "the filter was last cleaned in may",
        ] {
            assert_eq!(done(not), "", "{not}");
        }
        assert_eq!(done("skimmed but not vacuumed"), "skim");
    }

    #[test]
    fn rain_is_read_by_its_depth() {
        let base = crate::session::Base::packed().unwrap();
        let mm = |message: &str| rain_told(message, base.knowledge()).map(|(mm, _)| mm.round());
        assert_eq!(mm("ph 7.4, 1.2 in of rain since Monday"), Some(30.0));
        assert_eq!(mm("it rained half an inch"), Some(13.0));
        assert_eq!(mm("an inch of rain"), Some(25.0));
        assert_eq!(mm("12mm rain, 44 water"), Some(12.0));
        for none in ["heavy rain tonight", "3 days of rain", "raining", "1 inch of rain?"] {
            assert_eq!(mm(none), None, "{none}");
        }
    }

    #[test]
    fn a_photo_is_known_by_its_ending() {
        let base = crate::session::Base::packed().unwrap();
        let found =
            photos("crack (see IMG_2041.JPG, pad/left side.heic). ph 7.4.", base.knowledge());
        assert_eq!(found, ["IMG_2041.JPG", "side.heic"]);
    }
}
