//! The sentences of a section that are nearest to a question.

use super::clause::analyze;
use std::collections::BTreeSet;
use tantivy::tokenizer::TextAnalyzer;

/// A snippet is filled up to about this many characters.
const LENGTH: usize = 220;

/// The best sentence, and the ones after it as far as the length allows.
pub(super) fn nearest(
    analyzer: &TextAnalyzer,
    text: &str,
    stems: &[(&BTreeSet<String>, f64)],
) -> String {
    let sentences = sentences(text);
    let weigh = |sentence: &str| -> f64 {
        let held: BTreeSet<String> =
            analyze(analyzer, sentence).into_iter().map(|(_, stem)| stem).collect();
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

/// The sentences of a text: up to a stop that is followed by a space and a capital or a line's end.
fn sentences(text: &str) -> Vec<&str> {
    let mut sentences = Vec::new();
    for line in text.lines() {
        let mut start = 0;
        for (at, _) in line.match_indices(['.', '?', '!']) {
            let after = line.get(at + 1..).unwrap_or("");
            let mut next = after.chars();
            if next.next() == Some(' ') && next.next().is_some_and(char::is_uppercase) {
                sentences.extend(line.get(start..=at).map(str::trim));
                start = at + 1;
            }
        }
        sentences.extend(line.get(start..).map(str::trim));
    }
    sentences.retain(|sentence| !sentence.is_empty());
    sentences
}

#[cfg(test)]
mod tests {
    use super::sentences;

    #[test]
    fn sentences_end_at_a_stop_before_a_capital() {
        assert_eq!(
            sentences("Hold 40 °F. It is 7.5 today. Is it? yes"),
            ["Hold 40 °F.", "It is 7.5 today.", "Is it? yes"]
        );
    }
}
