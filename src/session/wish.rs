//! What a message wants of a treatment plan: values to reach, changes, additions, products, rain, fill water.
//!
//! The words stand in `[asking]` of `dosing.toml`; here is how numbers, the words before them and the names
//! around them make a wish.

mod aim;
mod mixing;
mod sentence;

use super::additions::{addition, parts};
use crate::facts::FactId;
use crate::knowledge::{AskKind, Asking, Knowledge};
use crate::language::{Reading, in_figures};
use crate::plan::{Addition, DoseWish, Preferred};
use crate::problem::{Span, nearest};
use crate::units::Dimension;
use aim::aims;
use sentence::{Sentence, sentences};

pub(super) use mixing::without_fill_water;

/// What a message wants.
#[derive(Debug, Clone, Default)]
pub(super) struct Wanted {
    /// The wish itself.
    pub wish: DoseWish,
    /// Readings that it gives by the way: "from 180 to 120".
    pub from: Vec<(FactId, f64)>,
    /// Products that it says are there, by id: all of a list, where one of them was read.
    pub have: Vec<String>,
    /// Where its numbers stand: they are no readings.
    pub used: Vec<Span>,
    /// Where the rest of it stands: amounts, strengths, products.
    pub read: Vec<Span>,
    /// Whether a plan or a forecast is wanted at all.
    pub asked: bool,
}

impl Wanted {
    /// Whether words that were left unread are part of the wish.
    pub fn has_read(&self, unread: Span) -> bool {
        let meets = |span: &Span| unread.start < span.end && span.start < unread.end;
        self.used.iter().chain(&self.read).any(meets)
    }
}

/// Reads a message's wish. `now` gives the readings in hand.
pub(super) fn wanted(
    message: &str,
    reading: &Reading,
    knowledge: &Knowledge,
    now: &dyn Fn(FactId) -> Option<f64>,
) -> Wanted {
    let asking = &knowledge.dosing.asking;
    let lower = message.to_ascii_lowercase();
    let mut sentences = sentences(&lower, knowledge);
    let mut wanted = Wanted { asked: reading.asks.contains(&AskKind::Dose), ..Wanted::default() };
    let asks = lower.contains('?')
        || reading.asks.iter().any(|ask| !matches!(ask, AskKind::Report | AskKind::Correct));
    wanted.have = on_the_van(&sentences, asking);
    wanted.wish.add = additions(&sentences, &lower, knowledge, asks);
    mixing::read(&sentences, &lower, knowledge, asks, &mut wanted);
    if wanted.wish.add.is_empty() {
        let how_much = lower.contains("how much") || lower.contains("how many");
        let dose = wanted.asked || how_much;
        if dose {
            mistyped(&mut sentences, knowledge);
        }
        aims(&sentences, reading, knowledge, dose, now, &mut wanted);
        let named = sentences.iter().any(|s| !s.products.is_empty() || !s.labels.is_empty());
        wanted.asked |= wanted.wish.aims() || (how_much && named);
        if wanted.asked {
            wanted.wish.prefer = preferred(&sentences, knowledge, asking);
        }
    }
    wanted.asked |= !wanted.wish.add.is_empty()
        || wanted.wish.rain_mm.is_some()
        || wanted.wish.replace.is_some();
    if wanted.asked {
        wanted.read.extend(sentences.iter().flat_map(|sentence| sentence.read(asking)));
    }
    wanted
}

/// "blech": in a message that asks for a dose and names no product, the nearest product's name.
fn mistyped(sentences: &mut [Sentence<'_>], knowledge: &Knowledge) {
    if sentences.iter().any(|s| !s.products.is_empty() || !s.labels.is_empty()) {
        return;
    }
    for sentence in sentences {
        let found: Vec<(usize, String)> = sentence
            .words
            .iter()
            .enumerate()
            .filter(|(_, word)| word.number.is_none() && word.text.len() >= 5)
            .filter_map(|(at, word)| {
                let names = knowledge.products.iter().flat_map(|product| &product.words);
                let near = nearest(word.text, names.map(String::as_str))?;
                Some((at, knowledge.product_called(near)?.id.clone()))
            })
            .collect();
        sentence.products.extend(found);
    }
}

/// "Only have bicarb, cal-hypo and muriatic acid": every product after the word.
fn on_the_van(sentences: &[Sentence<'_>], asking: &Asking) -> Vec<String> {
    let after = |sentence: &Sentence<'_>| {
        let have = sentence.words.iter().position(|word| says(&asking.have, word.text));
        let listed = sentence.products.iter().filter(|(at, _)| have.is_some_and(|have| *at > have));
        let plain = |at: usize| at.checked_sub(1).map_or("", |at| sentence.word(at)) != "no";
        listed.filter(|(at, _)| plain(*at)).map(|(_, id)| id.clone()).collect::<Vec<_>>()
    };
    sentences.iter().flat_map(after).collect()
}

/// Whether a list of words holds this one.
fn says(list: &[String], word: &str) -> bool {
    list.iter().any(|known| known == word)
}

/// "what if I add 2 lb of soda ash and a quart of acid": what follows the verb, part by part.
fn additions(
    sentences: &[Sentence<'_>],
    lower: &str,
    knowledge: &Knowledge,
    asks: bool,
) -> Vec<Addition> {
    let asking = &knowledge.dosing.asking;
    let mut found = Vec::new();
    for sentence in sentences {
        let verb = sentence.words.iter().position(|word| {
            says(&asking.adding, word.text) || (asks && says(&asking.added, word.text))
        });
        let Some(first) = verb.and_then(|at| sentence.words.get(at + 1)) else { continue };
        let end = sentence.words.last().map_or(first.span.end, |word| word.span.end);
        let clause = lower.get(first.span.start..end).unwrap_or_default();
        let clause = in_figures(clause, &knowledge.lexicon);
        found.extend(parts(&clause).iter().filter_map(|part| {
            addition(part.trim_start_matches("in ").trim_start_matches("into "), knowledge)
        }));
    }
    found
}

/// Products that the question names, with the strength and the age that stand beside them.
fn preferred(sentences: &[Sentence<'_>], knowledge: &Knowledge, asking: &Asking) -> Vec<Preferred> {
    let mut all: Vec<Preferred> = Vec::new();
    for sentence in sentences {
        for (at, id) in &sentence.products {
            let denied = at.checked_sub(1).and_then(|at| sentence.words.get(at));
            let denied =
                denied.is_some_and(|word| ["no", "not", "without", "of"].contains(&word.text));
            // "Salt 2600" is a reading; "how much salt" asks for the product.
            let as_label = sentence.labels.iter().any(|label| label.at == *at);
            let asked = sentence.text_holds(&asking.only);
            if denied || (as_label && !asked) || all.iter().any(|one| one.product == *id) {
                continue;
            }
            let Some(product) = knowledge.product(id) else { continue };
            let percent = sentence.share_near(*at).map(|percent| {
                let days = sentence.age_days().unwrap_or(0.0);
                product.aged(product.strength(percent), days).percent
            });
            let aged = sentence
                .age_days()
                .map(|days| product.aged(product.usual_strength(), days).percent);
            all.push(Preferred { product: id.clone(), percent: percent.or(aged) });
        }
    }
    all
}

/// Whether a number may be a reading: bare, or a concentration.
const fn readable(dimension: Option<Dimension>) -> bool {
    matches!(dimension, None | Some(Dimension::Plain | Dimension::Concentration))
}
