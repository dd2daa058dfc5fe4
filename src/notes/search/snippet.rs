//! The sentences of a section that are nearest to a question.

use crate::notes::index::Words;
use crate::notes::said::sentences;
use std::collections::BTreeSet;

/// A snippet is filled up to about this many characters.
const LENGTH: usize = 220;

/// The best sentence, and the ones after it as far as the length allows.
pub(super) fn nearest(words: &Words, text: &str, stems: &[(&BTreeSet<String>, f64)]) -> String {
    let sentences = sentences(text);
    let weigh = |sentence: &str| -> f64 {
        let held: BTreeSet<String> =
            words.analyze(sentence).into_iter().map(|(_, stem)| stem).collect();
        let said = stems.iter().filter(|(clause, _)| !clause.is_disjoint(&held));
        said.map(|(_, weight)| weight).sum()
    };
    let mut best = (0, f64::NEG_INFINITY);
    for (at, sentence) in sentences.iter().enumerate() {
        let weight = weigh(sentence);
        if weight > best.1 {
            best = (at, weight);
        }
    }
    let mut snippet = String::new();
    for sentence in sentences.iter().skip(best.0) {
        let longer = snippet.chars().count() + sentence.chars().count() + 1;
        if !snippet.is_empty() && longer > LENGTH {
            break;
        }
        if !snippet.is_empty() {
            snippet.push(' ');
        }
        snippet.push_str(sentence);
    }
    snippet
}
