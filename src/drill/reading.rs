//! What a trainee's words do: which of the needed actions they name, and whether they do harm. Wording is never scored.

use super::clause::{Clause, Plan, Sentence};
use super::cue::pointed;
use super::ear::{Ear, Wording};
use super::example::alike;
use super::right::{Danger, Needed, Right};
use crate::knowledge::{ConceptId, Pattern};
use crate::units::count;

/// So much of an action's own wording makes it that action.
const WORDING: f64 = 0.7;

/// Something dangerous that was said.
#[derive(Debug, Clone, PartialEq)]
pub struct Harm {
    /// The caution that forbids it, or the action that it would be.
    pub id: String,
    /// The words.
    pub words: String,
    /// Why not.
    pub reason: String,
    /// The sections that explain it.
    pub cites: Vec<String>,
}

/// Whether a clause says what a pattern says.
#[must_use]
pub(super) fn says(clause: &Clause, pattern: &Pattern, ear: &Ear<'_>) -> bool {
    holds(clause, pattern, (&[], false), ear)
}

/// The same, a pronoun taken for what it means.
fn says_of_it(clause: &Clause, pattern: &Pattern, ear: &Ear<'_>) -> bool {
    holds(clause, pattern, (meant(clause), false), ear)
}

/// What a pronoun of a clause means: what was spoken of before, else what the case tells.
fn meant(clause: &Clause) -> &[ConceptId] {
    match (clause.refers, clause.spoken.is_empty()) {
        (false, _) => &[],
        (true, false) => &clause.spoken,
        (true, true) => &clause.understood,
    }
}

/// Whether a clause says what a pattern says; for a deed with things that another clause spoke of, and a clause of one
/// word ("cover") says both what is done and with what.
fn holds(
    clause: &Clause,
    pattern: &Pattern,
    (spoken, deed): (&[ConceptId], bool),
    ear: &Ear<'_>,
) -> bool {
    let place =
        |id: &ConceptId| clause.concepts.iter().find(|(found, _)| found == id).map(|(_, at)| *at);
    let mut last = 0;
    let mut own = false;
    let mut deeds: Vec<usize> = Vec::new();
    // One word is not two things: "disconnect the hose" speaks of no breaker.
    let mut taken: Vec<usize> = Vec::new();
    let alone = deed && clause.stems.len() == 1;
    for group in &pattern.all {
        let free = |one: &&(ConceptId, usize)| {
            alone || !(taken.contains(&one.1) && clause.words.contains(one))
        };
        let said = clause.concepts.iter().filter(|one| group.contains(&one.0));
        match said.filter(free).min_by_key(|one| one.1) {
            Some(one) => {
                own = true;
                last = last.max(one.1);
                deeds.extend(ear.is_verb(one.0).then_some(one.1));
                taken.extend(clause.words.contains(one).then_some(one.1));
            }
            None if group.iter().any(|id| spoken.contains(id)) => {}
            None => return false,
        }
    }
    let understood = |group: &Vec<ConceptId>| {
        group.iter().any(|id| place(id).is_some() || clause.understood.contains(id))
    };
    // What was only spoken of before does nothing here.
    if !own || !pattern.understood.iter().all(understood) {
        return false;
    }
    // What is spoken of bars as well: "hose off the tap, then drained" drains no pump.
    if pattern.none.iter().any(|id| place(id).is_some() || clause.spoken.contains(id)) {
        return false;
    }
    // "Nobody lights it till the gas is checked": what is done is denied, though the gas is past the reach.
    let reached = |at: usize| clause.denials.iter().any(|(from, to)| *from <= at && at < *to);
    let denied = reached(last) || deeds.iter().any(|at| reached(*at));
    denied == pattern.denied
}

/// When something was done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Done {
    /// Lower is earlier.
    pub(super) order: f64,
    /// Whether it was said plainly: with its verb, and not only hinted at or asked about. What is only hinted at comes
    /// before nothing: "half empty pot and it's spinning" has emptied no pot.
    pub(super) plainly: bool,
}

/// For each needed action when the trainee does it; `None` for what they do not.
#[must_use]
pub(super) fn when(plan: &Plan, needed: &[Needed], ear: &Ear<'_>) -> Vec<Option<Done>> {
    let mut when: Vec<Option<Done>> = needed.iter().map(|one| done(plan, &one.id, ear)).collect();
    if when.iter().any(Option::is_none) {
        let told: Vec<&Clause> = plan.clauses.iter().filter(|clause| !clause.asks).collect();
        let spent: Vec<Vec<usize>> = told.iter().map(|one| spent(one, needed, ear)).collect();
        let all = told.iter().copied().zip(&spent);
        let open: Vec<&Clause> =
            all.clone().filter(|(_, spent)| spent.is_empty()).map(|(clause, _)| clause).collect();
        let cues = pointed(all, needed, ear);
        for (when, (cue, like)) in
            when.iter_mut().zip(cues.into_iter().zip(alike(&open, needed, ear)))
        {
            let hinted = |order| Done { order, plainly: false };
            *when = when.or(cue.or(like).map(hinted));
        }
    }
    when
}

/// The places of words that say outright that something needed is done: they hint at nothing else besides.
fn spent(clause: &Clause, needed: &[Needed], ear: &Ear<'_>) -> Vec<usize> {
    let patterns = needed.iter().flat_map(|one| ear.doing.of_action(&one.id));
    let said = patterns.filter(|pattern| pattern.all.len() > 1 && says(clause, pattern, ear));
    let ids: Vec<ConceptId> = said.flat_map(|pattern| &pattern.all).flatten().copied().collect();
    let words = clause.concepts.iter().filter(|(id, _)| ids.contains(id));
    words.map(|(_, place)| *place).collect()
}

/// When the trainee does an action: where its fullest saying stands; `None` if they do not.
#[must_use]
fn done(plan: &Plan, id: &str, ear: &Ear<'_>) -> Option<Done> {
    let worded = ear.wording_of(id).and_then(|wording| worded(&plan.sentences, wording));
    if let Some(order) = worded {
        return Some(Done { order, plainly: true });
    }
    // The fullest saying; any deed before an opening question.
    let mut best: Option<((bool, usize), Done)> = None;
    for clause in &plan.clauses {
        let looks = |pattern: &&Pattern| {
            pattern.all.iter().any(|group| group.iter().any(|id| ear.looks.contains(id)))
        };
        // A bare noun that another clause spoke of is no deed of this one.
        let spoken = |pattern: &Pattern| {
            if pattern.all.len() > 1 { clause.spoken.as_slice() } else { &[] }
        };
        let fits = ear.doing.of_action(id);
        let fits = fits.filter(|pattern| holds(clause, pattern, (spoken(pattern), true), ear));
        let fits = fits.filter(|pattern| !clause.asks || looks(pattern));
        let verbs = |pattern: &Pattern| pattern.all.iter().flatten().any(|id| ear.is_verb(*id));
        let plain = |pattern: &Pattern| {
            let only_told = clause.asks || clause.reason || (clause.looked && looks(&pattern));
            verbs(pattern) && !only_told
        };
        let fits = fits.map(|pattern| (pattern.all.len(), plain(pattern)));
        let Some((full, plainly)) = fits.max() else { continue };
        // Who asks before doing anything wants to know, and has looked at nothing yet.
        let opening = |one: &Clause| clause.asks && (one.asks || one.place >= clause.place);
        let fullness = (!plan.clauses.iter().all(opening), full);
        if best.is_none_or(|(known, _)| fullness > known) {
            best = Some((fullness, Done { order: clause.order, plainly }));
        }
    }
    best.map(|(_, done)| done)
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
        || wording.parts.iter().filter(|part| part.len() > 2).any(|part| {
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
    for (at, clause) in plan.clauses.iter().enumerate().skip(from) {
        if clause.later || clause.asks || clause.reason {
            continue;
        }
        let sentence = plan.sentences.get(clause.sentence);
        if sentence.is_some_and(|sentence| sentence.later) {
            continue;
        }
        let says_any = |danger: &Danger<'_>| {
            let says = if danger.outright { says_of_it } else { says };
            danger.patterns.iter().any(|pattern| says(clause, pattern, ear))
        };
        if !right.dangers.iter().any(says_any) {
            continue;
        }
        // Only now: what the case calls for is looked up in all that was said.
        let called = called(plan, right, ear);
        let needed = called.says(clause);
        let hit = |danger: &&Danger<'_>| {
            let says = if danger.outright { says_of_it } else { says };
            let mut said = danger.patterns.iter().filter(|pattern| says(clause, pattern, ear));
            let hit = said.any(|one| !((one.yields && needed) || called.due(clause, one)));
            let checked = || danger.against.is_some_and(|at| called.checked(at, clause));
            hit && (danger.outright || !(needed || clause.supposes || checked()))
        };
        let Some(danger) = right.dangers.iter().find(hit) else { continue };
        // A sentence that is the wording of what is called for is no danger, whatever its words could mean.
        let worded = right.answer.actions.iter().filter_map(|one| ear.wording_of(&one.id));
        if sentence.is_some_and(|sentence| worded.into_iter().any(|w| quotes(sentence, w))) {
            continue;
        }
        let (reason, cites) = (danger.reason.clone(), danger.cites.clone());
        let (id, words) = (danger.id.clone(), clause.text.clone());
        return Some((at, Harm { id, words, reason, cites }));
    }
    None
}

/// What the case calls for, and when the trainee did it.
struct Called<'a> {
    plan: &'a Plan,
    right: &'a Right<'a>,
    ear: &'a Ear<'a>,
    when: Vec<Option<Done>>,
}

fn called<'a>(plan: &'a Plan, right: &'a Right<'a>, ear: &'a Ear<'a>) -> Called<'a> {
    Called { plan, right, ear, when: when(plan, &right.needed, ear) }
}

impl Called<'_> {
    /// The needed actions that a clause says.
    fn said(&self, clause: &Clause) -> impl Iterator<Item = usize> {
        let says =
            |id: &str| self.ear.doing.of_action(id).any(|pattern| says(clause, pattern, self.ear));
        let places = self.right.needed.iter().enumerate();
        places.filter(move |(_, one)| says(&one.id)).map(|(at, _)| at)
    }

    fn says(&self, clause: &Clause) -> bool {
        self.said(clause).next().is_some()
    }

    fn before(&self, at: usize, clause: &Clause) -> bool {
        self.when.get(at).copied().flatten().is_some_and(|when| when.order < clause.order)
    }

    /// Whether it was done in an earlier sentence: who starts it once more does something else.
    fn done_already(&self, at: usize, clause: &Clause) -> bool {
        let when = self.when.get(at).copied().flatten().map(|when| when.order.to_bits());
        let mut clauses = self.plan.clauses.iter();
        clauses.any(|one| Some(one.order.to_bits()) == when && one.sentence < clause.sentence)
    }

    /// Whether a clause does what is called for when its turn has come: all that comes right before it is done, and
    /// half of all that comes before. "… the relief open, and start it" ends a thaw, and begins none. Only what the deed
    /// itself is: who adds the acid in its turn may still add it with the chlorine.
    fn due(&self, clause: &Clause, danger: &Pattern) -> bool {
        self.said(clause).filter(|at| self.is_that(*at, clause, danger)).any(|at| {
            let mut earlier: Vec<usize> = Vec::new();
            let mut open = vec![at];
            while let Some(next) = open.pop() {
                let firsts = self.right.order.iter().filter(|(_, later)| *later == next);
                for (first, _) in firsts {
                    if !earlier.contains(first) {
                        earlier.push(*first);
                        open.push(*first);
                    }
                }
            }
            let mut right_before = self.right.order.iter().filter(|(_, later)| *later == at);
            let done = earlier.iter().filter(|one| self.before(**one, clause)).count();
            !earlier.is_empty()
                && !self.done_already(at, clause)
                && 2 * done >= earlier.len()
                && right_before.all(|(first, _)| self.before(*first, clause))
        })
    }

    /// Whether a danger is no more than what is called for: some saying of it has all the things of the danger.
    fn is_that(&self, at: usize, clause: &Clause, danger: &Pattern) -> bool {
        let id = self.right.needed.get(at).map_or("", |one| one.id.as_str());
        let verb = |group: &Vec<ConceptId>| group.iter().any(|id| self.ear.is_verb(*id));
        let mut own =
            self.ear.doing.of_action(id).filter(|pattern| says(clause, pattern, self.ear));
        // What a pronoun may mean is no thing that was named.
        !says(clause, danger, self.ear)
            || own.any(|own| {
                danger.all.iter().all(|group| {
                    verb(group) || own.all.iter().flatten().any(|concept| group.contains(concept))
                })
            })
    }

    /// Whether what a deed goes against is only a look that was taken before: who looked for ice may prime.
    fn checked(&self, at: usize, clause: &Clause) -> bool {
        let id = self.right.needed.get(at).map_or("", |one| one.id.as_str());
        let looks = self.ear.doing.of_action(id).any(|pattern| {
            pattern.all.iter().flatten().any(|concept| self.ear.looks.contains(concept))
        });
        looks && self.before(at, clause)
    }
}
