//! Citations → the text of the notes, and questions → the passages that answer them.

use super::base::Base;
use crate::advice::Answer;
use crate::knowledge::{NoteRef, Passage};

/// So many passages stand under an answer.
const SHOWN: usize = 3;

/// The sections that the answer's most urgent actions and findings cite first.
pub(super) fn cited(base: &Base, answer: &Answer) -> Vec<Passage> {
    let mut sections: Vec<&String> = Vec::new();
    let verdicts = answer.verdicts.iter().filter_map(|verdict| verdict.cites.first());
    let replies = answer.replies.iter().filter_map(|reply| reply.cites.first());
    let findings = answer.findings.iter().filter_map(|finding| finding.cites.first());
    let actions = answer.actions.iter().filter_map(|action| action.cites.first());
    for section in verdicts.chain(replies).chain(findings).chain(actions) {
        if !sections.contains(&section) {
            sections.push(section);
        }
    }
    let passages =
        sections.into_iter().filter_map(|section| base.notes.passage(&NoteRef(section.clone())));
    passages.take(SHOWN).collect()
}

/// The passages that answer a question, best first; none if the notes have nothing on it. `about` are the words for what
/// it goes on from, if it leaves out what it is about.
pub(super) fn answering(base: &Base, question: &str, about: Option<&str>) -> Vec<Passage> {
    let words = base.knowledge().vocabulary.thesaurus();
    let synonyms = |phrase: &str| words.of(phrase);
    let found = match about {
        Some(about) => base.notes.search_on(question, about, &synonyms, SHOWN),
        None => base.notes.search(question, &synonyms, SHOWN),
    };
    found.into_iter().map(|found| found.passage).collect()
}
