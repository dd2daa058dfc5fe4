//! What a trainee's words do: which of the needed actions they name, and whether they do harm. Wording is never scored.

use super::clause::{Clause, Plan, Sentence};
use super::ear::{Ear, Wording};
use super::right::{Danger, Right};
use crate::knowledge::{ConceptId, Pattern};
use crate::units::count;

/// So much of an action's own wording makes it that action.
const WORDING: f64 = 0.7;

/// Something dangerous that was said.
#[derive(Debug, Clone, PartialEq)]
pub struct Harm {
    /// The words.
    pub words: String,
    /// Why not.
    pub reason: String,
    /// The sections that explain it.
    pub cites: Vec<String>,
}

/// Whether a clause says what a pattern says.
#[must_use]
pub(super) fn says(clause: &Clause, pattern: &Pattern) -> bool {
    holds(clause, pattern, &[])
}

/// Whether a clause says what a pattern says, with things that another clause spoke of.
fn holds(clause: &Clause, pattern: &Pattern, spoken: &[ConceptId]) -> bool {
    let place =
        |id: &ConceptId| clause.concepts.iter().find(|(found, _)| found == id).map(|(_, at)| *at);
    let mut last = 0;
    for group in &pattern.all {
        match group.iter().filter_map(place).min() {
            Some(at) => last = last.max(at),
            None if group.iter().any(|id| spoken.contains(id)) => {}
            None => return false,
        }
    }
    let understood = |group: &Vec<ConceptId>| {
        group.iter().any(|id| place(id).is_some() || clause.understood.contains(id))
    };
    if !pattern.understood.iter().all(understood) {
        return false;
    }
    if pattern.none.iter().any(|id| place(id).is_some()) {
        return false;
    }
    let denied = clause.denials.iter().any(|(from, to)| *from <= last && last < *to);
    denied == pattern.denied
}

/// When the trainee does an action: where its fullest saying stands; `None` if they do not.
#[must_use]
pub(super) fn done(plan: &Plan, id: &str, ear: &Ear<'_>) -> Option<f64> {
    let worded = ear.wording_of(id).and_then(|wording| worded(&plan.sentences, wording));
    if worded.is_some() {
        return worded;
    }
    let mut best: Option<(usize, f64)> = None;
    for clause in &plan.clauses {
        let looks = |pattern: &&Pattern| {
            pattern.all.iter().any(|group| group.iter().any(|id| ear.looks.contains(id)))
        };
        // A bare noun that another clause spoke of is no deed of this one.
        let spoken = |pattern: &Pattern| {
            if pattern.all.len() > 1 { clause.spoken.as_slice() } else { &[] }
        };
        let fits = ear.doing.of_action(id);
        let fits = fits.filter(|pattern| holds(clause, pattern, spoken(pattern)));
        let fits = fits.filter(|pattern| !clause.asks || looks(pattern));
        let Some(fullness) = fits.map(|pattern| pattern.all.len()).max() else { continue };
        if best.is_none_or(|(known, _)| fullness > known) {
            best = Some((fullness, clause.order));
        }
    }
    best.map(|(_, order)| order)
}

/// When an action's own wording is said, or most of it.
fn worded(sentences: &[Sentence], wording: &Wording) -> Option<f64> {
    if wording.stems.len() < 2 {
        return None;
    }
    let parts = wording.parts.len().clamp(1, sentences.len().max(1));
    sentences.windows(parts).find_map(|window| {
        let said = |word: &&String| window.iter().any(|one| one.stems.contains(*word));
        let found = wording.stems.iter().filter(said).count();
        let denials: usize = window.iter().map(|sentence| sentence.denials).sum();
        let order = window.first().map(|sentence| sentence.order);
        let most = count(found) >= WORDING * count(wording.stems.len());
        (most && denials <= wording.denials).then_some(order).flatten()
    })
}

/// Whether a sentence is an action's wording, or one sentence of it.
fn quotes(sentence: &Sentence, wording: &Wording) -> bool {
    worded(std::slice::from_ref(sentence), wording).is_some()
        || wording.parts.iter().filter(|part| part.len() > 1).any(|part| {
            let found = part.iter().filter(|word| sentence.stems.contains(*word)).count();
            count(found) >= WORDING * count(part.len()) && sentence.denials <= wording.denials
        })
}

/// The first dangerous thing that the trainee says they do, from a clause on, and in which clause.
#[must_use]
pub(super) fn harm(
    plan: &Plan,
    from: usize,
    right: &Right<'_>,
    ear: &Ear<'_>,
) -> Option<(usize, Harm)> {
    let needed = |clause: &Clause| {
        right.needed.iter().any(|one| ear.doing.of_action(&one.id).any(|p| says(clause, p)))
    };
    for (at, clause) in plan.clauses.iter().enumerate().skip(from) {
        if clause.later || clause.asks {
            continue;
        }
        let sentence = plan.sentences.get(clause.sentence);
        if sentence.is_some_and(|sentence| sentence.later) {
            continue;
        }
        let hit = |danger: &&Danger<'_>| {
            danger.patterns.iter().any(|pattern| says(clause, pattern))
                && (danger.outright || !(needed(clause) || clause.supposes))
        };
        let Some(danger) = right.dangers.iter().find(hit) else { continue };
        // A sentence that is the wording of what is called for is no danger, whatever its words could mean.
        let called = right.answer.actions.iter().filter_map(|one| ear.wording_of(&one.id));
        if sentence.is_some_and(|sentence| called.into_iter().any(|w| quotes(sentence, w))) {
            continue;
        }
        let (reason, cites) = (danger.reason.clone(), danger.cites.clone());
        return Some((at, Harm { words: clause.text.clone(), reason, cites }));
    }
    None
}
