//! The tree of phrases: one step a word, laid out breadth first.

use super::{Lexicon, Node, Sense};

/// Which letters a word has, as bits.
pub(super) fn letters(word: &str) -> u32 {
    word.bytes().filter(u8::is_ascii_lowercase).fold(0, |set, b| set | 1 << (b - b'a'))
}

/// Lays the sorted phrases out as a tree, breadth first, so that the edges of a node lie together.
pub(super) fn grow(lexicon: &mut Lexicon, phrases: &[(Vec<u32>, Vec<Sense>)]) {
    let place = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    lexicon.nodes.push(Node::default());
    let mut queue = std::collections::VecDeque::from([(0usize, phrases, 0usize)]);
    while let Some((node, mut rest, depth)) = queue.pop_front() {
        let mut at = Node { edges: (place(lexicon.edges.len()), 0), senses: (0, 0) };
        at.senses.0 = place(lexicon.senses.len());
        if let Some(((_, senses), after)) = rest.split_first().filter(|(p, _)| p.0.len() == depth) {
            lexicon.senses.extend(senses);
            rest = after;
        }
        at.senses.1 = place(lexicon.senses.len());
        while let Some(word) = rest.first().and_then(|phrase| phrase.0.get(depth)).copied() {
            let end = rest.partition_point(|phrase| phrase.0.get(depth) <= Some(&word));
            let (inside, after) = rest.split_at_checked(end).unwrap_or((rest, &[]));
            lexicon.edges.push((word, place(lexicon.nodes.len())));
            queue.push_back((lexicon.nodes.len(), inside, depth + 1));
            lexicon.nodes.push(Node::default());
            rest = after;
        }
        at.edges.1 = place(lexicon.edges.len());
        if let Some(slot) = lexicon.nodes.get_mut(node) {
            *slot = at;
        }
    }
}
