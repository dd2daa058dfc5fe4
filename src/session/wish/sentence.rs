//! A message as sentences of words, with the readings and products that they name.

use super::says;
use crate::facts::FactId;
use crate::knowledge::{Asking, Knowledge};
use crate::problem::Span;
use crate::units::{Dimension, base_value, find_unit, split_number, unit};

/// Words that look like units and are not, behind a bare number.
const NO_UNITS: [&str; 5] = ["in", "a", "to", "and", "at"];
/// Dimensions of amounts, strengths, ages and depths.
const AMOUNTS: [Dimension; 5] =
    [Dimension::Share, Dimension::Mass, Dimension::Volume, Dimension::Time, Dimension::Length];
/// The longest name of a product or a reading, in words.
const LONGEST: usize = 3;

/// A word, or a number with its unit's dimension.
#[derive(Debug, Clone)]
pub(super) struct Word<'m> {
    pub text: &'m str,
    pub span: Span,
    pub number: Option<Number>,
}

/// A number.
#[derive(Debug, Clone, Copy)]
pub(super) struct Number {
    pub value: f64,
    /// With its unit, in base units.
    pub base: f64,
    pub dimension: Option<Dimension>,
    /// Whether it is written with a plus.
    pub plus: bool,
    /// Words that it takes up, its unit with it.
    pub words: usize,
}

/// A reading's name.
#[derive(Debug, Clone, Copy)]
pub(super) struct Label {
    pub at: usize,
    pub words: usize,
    pub fact: FactId,
}

/// One sentence.
#[derive(Debug, Clone, Default)]
pub(super) struct Sentence<'m> {
    pub words: Vec<Word<'m>>,
    pub labels: Vec<Label>,
    /// Products by place and id.
    pub products: Vec<(usize, String)>,
}

impl Sentence<'_> {
    /// Where amounts, strengths, ages, products and words of a wish stand.
    pub fn read(&self, asking: &Asking) -> Vec<Span> {
        let amount = |word: &Word<'_>| {
            let dimension = word.number.and_then(|number| number.dimension);
            dimension.is_some_and(|dimension| AMOUNTS.contains(&dimension))
        };
        let lists = [&asking.adding, &asking.drain, &asking.rain, &asking.lower, &asking.raise];
        let spoken = |word: &Word<'_>| {
            lists.iter().any(|list| says(list, word.text)) || word.text == "refill"
        };
        let words = self.words.iter().filter(|word| amount(word) || spoken(word));
        let products = self.products.iter().filter_map(|(at, _)| self.words.get(*at));
        words.chain(products).map(|word| word.span).collect()
    }

    /// The word at a place.
    pub fn word(&self, at: usize) -> &str {
        self.words.get(at).map_or("", |word| word.text)
    }

    /// Whether any of these words or phrases stands in it.
    pub fn text_holds(&self, list: &[String]) -> bool {
        let words: Vec<&str> = self.words.iter().map(|word| word.text).collect();
        let text = format!(" {} ", words.join(" "));
        list.iter().any(|phrase| text.contains(&format!(" {phrase} ")))
    }

    /// Whether a word of the list stands in it.
    pub fn holds(&self, list: &[String]) -> bool {
        self.words.iter().any(|word| says(list, word.text))
    }

    /// The numbers with their places.
    pub fn numbers(&self) -> impl Iterator<Item = (usize, Number)> {
        self.words.iter().enumerate().filter_map(|(at, word)| Some((at, word.number?)))
    }

    /// A share (per cent) within four words of a place.
    pub fn share_near(&self, place: usize) -> Option<f64> {
        let shares = self.numbers().filter(|(at, number)| {
            number.dimension == Some(Dimension::Share) && at.abs_diff(place) <= 4
        });
        shares.min_by_key(|(at, _)| at.abs_diff(place)).map(|(_, number)| number.value)
    }

    /// An age in days: "2 months old", "a month old".
    pub fn age_days(&self) -> Option<f64> {
        let old = self.words.iter().position(|word| word.text == "old")?;
        let span = |words: &str| find_unit(words).filter(|u| unit(*u).dimension == Dimension::Time);
        let number = self.numbers().find(|(at, number)| {
            number.dimension == Some(Dimension::Time) && *at < old && old - at <= 2
        });
        let one = || span(self.word(old.checked_sub(1)?)).map(|unit| base_value(1.0, unit));
        number.map(|(_, number)| number.base).or_else(one).map(|hours| hours / 24.0)
    }
}

/// Cuts a message (in lower case) into sentences.
pub(super) fn sentences<'m>(lower: &'m str, knowledge: &Knowledge) -> Vec<Sentence<'m>> {
    let mut all = Vec::new();
    let mut sentence = Sentence::default();
    for (text, start) in raw_words(lower) {
        let ends = text.ends_with(['?', '!', ';', '\n']) || text.ends_with('.');
        let from = text.len() - text.trim_start_matches(['(', '"', '\'']).len();
        let bare = text.trim_matches(['(', ')', '"', '\'', ',', ';', '?', '!', ':', '\n']);
        let bare = bare.trim_end_matches('.');
        if !bare.is_empty() {
            let span = Span::new(start + from, start + from + bare.len());
            sentence.words.push(Word { text: bare, span, number: None });
        }
        if ends && !sentence.words.is_empty() {
            all.push(std::mem::take(&mut sentence));
        }
    }
    if !sentence.words.is_empty() {
        all.push(sentence);
    }
    for sentence in &mut all {
        number(sentence);
        name(sentence, knowledge);
    }
    all
}

/// Words between blanks, arrows apart.
fn raw_words(lower: &str) -> Vec<(&str, usize)> {
    let mut words = Vec::new();
    let mut start = 0;
    for piece in lower.split_inclusive([' ', '\t', '\n']) {
        let mut at = start;
        let mut rest = piece;
        while let Some((place, arrow)) =
            ["->", "→"].iter().filter_map(|arrow| Some((rest.find(arrow)?, *arrow))).min()
        {
            let (before, after) = rest.split_at(place);
            words.push((before, at));
            words.push((after.get(..arrow.len()).unwrap_or_default(), at + place));
            at += place + arrow.len();
            rest = after.get(arrow.len()..).unwrap_or_default();
        }
        words.push((rest.trim_end_matches([' ', '\t']), at));
        start += piece.len();
    }
    words
}

fn number(sentence: &mut Sentence<'_>) {
    let texts: Vec<&str> = sentence.words.iter().map(|word| word.text).collect();
    for (at, word) in sentence.words.iter_mut().enumerate() {
        let text = word.text.trim_start_matches(['~', '=', '+']);
        let Some((value, rest)) = split_number(text) else { continue };
        let (value, rest) = match rest.strip_prefix('k') {
            Some(rest) => (value * 1e3, rest),
            None => (value, rest),
        };
        let next = |n: usize| texts.get(at + 1..at + 1 + n).map(|words| words.join(" "));
        let behind = || {
            (1..=2).rev().find_map(|n| {
                let words = next(n).filter(|words| !NO_UNITS.contains(&words.as_str()))?;
                Some((find_unit(&words)?, n))
            })
        };
        let (found, taken) = match rest {
            "" => behind().map_or((None, 0), |(unit, n)| (Some(unit), n)),
            rest => (find_unit(rest), 0),
        };
        if !rest.is_empty() && found.is_none() {
            continue;
        }
        let base = found.map_or(value, |from| base_value(value, from));
        let dimension = found.map(|from| unit(from).dimension);
        word.number = Some(Number {
            value: if dimension == Some(Dimension::Concentration) { base } else { value },
            base,
            dimension,
            plus: word.text.starts_with('+'),
            words: 1 + taken,
        });
    }
}

fn name(sentence: &mut Sentence<'_>, knowledge: &Knowledge) {
    let texts: Vec<&str> = sentence.words.iter().map(|word| word.text).collect();
    let phrase = |at: usize, n: usize| texts.get(at..at + n).map(|words| words.join(" "));
    let names = &knowledge.dosing.asking.names;
    let mut at = 0;
    while at < texts.len() {
        let product = (1..=LONGEST).rev().find_map(|n| {
            let words = phrase(at, n)?;
            // "ph down" names a product on a shelf, a wish in a message.
            let wish = n > 1 && (words.ends_with(" up") || words.ends_with(" down"));
            let found = (!wish).then(|| knowledge.product_called(&words)).flatten()?;
            Some((found.id.clone(), n))
        });
        let label = (1..=LONGEST).rev().find_map(|n| {
            let words = phrase(at, n)?;
            let (fact, _) = names.iter().find(|(_, called)| called.contains(&words))?;
            Some(Label { at, words: n, fact: *fact })
        });
        let mut taken = 1;
        if let Some((id, n)) = product {
            sentence.products.push((at, id));
            taken = n;
        }
        if let Some(label) = label.filter(|label| label.words >= taken) {
            sentence.labels.push(label);
            taken = label.words;
        }
        at += taken;
    }
}
