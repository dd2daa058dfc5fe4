//! A trainee's words as clauses: stems of words, cut where one thing that is done ends and the next begins, in the
//! order in which the things are done.

use super::cut::{parts, sentences};
use super::ear::Ear;
use crate::knowledge::ConceptId;
use std::collections::BTreeSet;

/// So many other words may stand inside a phrase ("turn the big pump off").
const GAP: usize = 4;

/// And so many in one that puts a sentence off: "once it spins, the ice melts" waits for nothing.
const NEAR: usize = 2;

/// So far ahead is what is done before all else.
const LEAD: f64 = 1000.0;

/// One clause.
#[derive(Debug, Clone, PartialEq)]
pub struct Clause {
    /// What was typed.
    pub text: String,
    /// Its stems.
    pub stems: Vec<String>,
    /// The sentence that it stands in.
    pub sentence: usize,
    /// When it is done: lower is earlier.
    pub order: f64,
    /// Its place among the clauses.
    pub place: f64,
    /// Places of denials, each with the place where its reach ends.
    pub denials: Vec<(usize, usize)>,
    /// Whether it is put off to a later day.
    pub later: bool,
    /// Whether it only asks.
    pub asks: bool,
    /// The concepts in it, each as often as it is said: which, and the last word of the saying.
    pub concepts: Vec<(ConceptId, usize)>,
    /// Those of them that are said in one word.
    pub words: Vec<(ConceptId, usize)>,
    /// What the clause before it spoke of, if it names nothing itself: "is the fill stuck? turn it off".
    pub spoken: Vec<ConceptId>,
    /// Whether it speaks by a pronoun of what was named before.
    pub refers: bool,
    /// Whether it supposes something.
    pub supposes: bool,
    /// Whether it tells only why, or what is so: "because the exhaust is blocked", "it's running dry".
    pub reason: bool,
    /// Whether it only names what is looked at.
    pub looked: bool,
    /// Concepts that are understood: what was told of the case.
    pub understood: Vec<ConceptId>,
}

/// A sentence, for comparison with the wording of an action.
#[derive(Debug, Clone, PartialEq)]
pub struct Sentence {
    /// Its stems, small words left out.
    pub stems: BTreeSet<String>,
    /// When its first clause is done.
    pub order: f64,
    /// How many denials it holds.
    pub denials: usize,
    /// Whether it is put off.
    pub later: bool,
}

/// What a trainee said they do.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Plan {
    /// The clauses, as written.
    pub clauses: Vec<Clause>,
    /// The sentences.
    pub sentences: Vec<Sentence>,
    /// What was told of the case.
    pub told: Vec<ConceptId>,
}

/// How a concept is said: which, and its last and first word.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Saying {
    pub(super) id: ConceptId,
    pub(super) last: usize,
    pub(super) first: usize,
}

/// The last word of a phrase that begins right here. The words stand in order, near each other.
fn from_here(words: &[String], phrase: &[String], wide: usize) -> Option<usize> {
    let (head, rest) = phrase.split_first()?;
    let mut last = 0;
    let inside = words.first() == Some(head)
        && rest.iter().all(|wanted| {
            // "Run it": the pronoun stands right behind its verb.
            let gap = if wanted == "it" { 0 } else { wide };
            let near = words.iter().enumerate().skip(last + 1).take(gap + 1);
            let next = near.into_iter().find(|(_, word)| *word == wanted);
            next.inspect(|(place, _)| last = *place).is_some()
        });
    inside.then_some(last)
}

/// Where a phrase stands: its first and last word.
fn find(words: &[String], phrase: &[String], wide: usize) -> Option<(usize, usize)> {
    (0..words.len()).find_map(|at| {
        let last = from_here(words.get(at..)?, phrase, wide)?;
        Some((at, at + last))
    })
}

/// Whether a phrase begins right here, without gaps; gives back how many words it takes.
pub(super) fn begins(words: &[String], at: usize, phrases: &[Vec<String>]) -> Option<usize> {
    let rest = words.get(at..)?;
    let fits = phrases.iter().filter(|phrase| !phrase.is_empty() && rest.starts_with(phrase));
    fits.map(Vec::len).max()
}

impl Plan {
    /// Lets a clause count for nothing: what does harm is no deed that is called for.
    pub(super) fn forget(&mut self, at: usize) {
        if let Some(clause) = self.clauses.get_mut(at) {
            clause.stems.clear();
            clause.concepts.clear();
            clause.words.clear();
            clause.spoken.clear();
        }
    }

    /// Hears a question: it counts as looking, and as nothing else.
    pub fn hear_question(&mut self, text: &str, ear: &Ear<'_>) {
        let first = self.clauses.len();
        self.hear(text, ear);
        for clause in self.clauses.iter_mut().skip(first) {
            clause.asks = true;
            ear.add_looks(clause);
        }
        // Its words are no wording of anything that is done.
        let sentence = self.clauses.get(first).map_or(self.sentences.len(), |one| one.sentence);
        self.sentences.iter_mut().skip(sentence).for_each(|one| one.stems.clear());
    }

    /// Gives each new clause what was told of the case, and what the clause before it spoke of.
    fn remember(&mut self, first: usize, ear: &Ear<'_>) {
        // What a pronoun may mean is no thing of the clause's own: "is the fill stuck? turn it off".
        let pronouns = &ear.doing.shapes.pronouns;
        let things = |clause: &Clause| -> Vec<ConceptId> {
            let named = |one: &&(ConceptId, usize)| {
                let word = clause.stems.get(one.1);
                let stands_in =
                    clause.words.contains(one) && word.is_some_and(|word| pronouns.contains(word));
                !ear.is_verb(one.0) && !stands_in
            };
            clause.concepts.iter().filter(named).map(|(id, _)| *id).collect()
        };
        let mut spoken = first.checked_sub(1).and_then(|at| self.clauses.get(at)).map(things);
        for clause in self.clauses.iter_mut().skip(first) {
            clause.understood.clone_from(&self.told);
            clause.supposes |= (0..clause.stems.len())
                .any(|at| begins(&clause.stems, at, &ear.doing.shapes.condition).is_some());
            let own = things(clause);
            clause.refers = ear.refers(clause, own.is_empty());
            if own.is_empty() {
                clause.spoken = spoken.clone().unwrap_or_default();
            } else {
                spoken = Some(own);
            }
        }
    }

    /// Hears what was typed, after what was heard before.
    pub fn hear(&mut self, text: &str, ear: &Ear<'_>) {
        for sentence in sentences(text) {
            let number = self.sentences.len();
            let first = self.clauses.len();
            for part in parts(&sentence) {
                let words: Vec<String> = ear.stems(part);
                let seen = ear.goes_on(part);
                let supposes = begins(&words, 0, &ear.doing.shapes.condition).is_some();
                for piece in ear.pieces(&words) {
                    let order = self.clauses.last().map_or(0.0, |last| last.place + 1.0);
                    let mut clause = ear.clause(piece, number, order);
                    if ear.leads(&clause, self.clauses.len() == first) {
                        clause.order -= LEAD;
                    }
                    clause.reason |= seen;
                    clause.supposes |= supposes;
                    self.clauses.push(Clause { text: part.trim().to_owned(), ..clause });
                }
            }
            let bare = ear.join(&mut self.clauses, first);
            ear.turn(&mut self.clauses, first);
            ear.look(&mut self.clauses, first);
            self.clauses.extend(bare);
            self.remember(first, ear);
            let whole: Vec<String> = ear.stems(&sentence);
            let order = self.clauses.get(first).map_or(f64::INFINITY, |clause| clause.order);
            let small = &ear.doing.shapes.small;
            self.sentences.push(Sentence {
                denials: ear.denials(&whole).len(),
                later: ear.put_off(&whole),
                stems: whole.into_iter().filter(|word| !small.contains(word)).collect(),
                order,
            });
        }
    }
}

impl Ear<'_> {
    /// The concepts that a text names, each once.
    pub(super) fn named(&self, text: &str) -> Vec<ConceptId> {
        let found = sentences(text).into_iter().flat_map(|one| self.concepts(&self.stems(&one)));
        let mut named: Vec<ConceptId> = found.map(|one| one.id).collect();
        named.sort_unstable();
        named.dedup();
        named
    }

    /// The things that a text names.
    pub(super) fn things(&self, text: &str) -> Vec<ConceptId> {
        self.named(text).into_iter().filter(|id| !self.is_verb(*id)).collect()
    }

    /// The stems of a text, other spellings and slips mended.
    pub(super) fn stems(&self, text: &str) -> Vec<String> {
        self.doing.stems(text).iter().map(|word| self.mend(word)).collect()
    }

    /// A known word for a misspelt one, if exactly one is a slip away.
    fn mend(&self, word: &str) -> String {
        let known = &self.known;
        if word.len() < 5 || known.contains(word) || !word.is_ascii() {
            return word.to_owned();
        }
        let first = word.get(..1).unwrap_or("");
        let near = known.range(first.to_owned()..).take_while(|other| other.starts_with(first));
        let slip = |other: &&String| {
            other.len() >= 4
                && other.len().abs_diff(word.len()) <= 1
                && strsim::osa_distance(other, word) == 1
        };
        let mut found = near.filter(slip);
        match (found.next(), found.next()) {
            (Some(one), None) => one.clone(),
            _ => word.to_owned(),
        }
    }

    pub(super) fn clause(&self, stems: Vec<String>, sentence: usize, order: f64) -> Clause {
        let mut clause = Clause {
            text: stems.join(" "),
            sentence,
            order,
            place: order,
            denials: self.denials(&stems),
            later: self.later(&stems),
            asks: false,
            concepts: Vec::new(),
            words: Vec::new(),
            understood: Vec::new(),
            spoken: Vec::new(),
            refers: false,
            supposes: false,
            looked: false,
            reason: self.only_tells(&stems),
            stems,
        };
        let said = self.concepts(&clause.stems);
        let one = said.iter().filter(|one| one.first == one.last);
        clause.words = one.map(|one| (one.id, one.last)).collect();
        clause.concepts = said.iter().map(|one| (one.id, one.last)).collect();
        clause.concepts.dedup();
        clause
    }

    /// Whether words tell why something is done, or what is so, and do nothing.
    fn only_tells(&self, words: &[String]) -> bool {
        let shapes = &self.doing.shapes;
        begins(words, 0, &shapes.reason).is_some() || begins(words, 0, &shapes.seen).is_some()
    }

    pub(super) fn is_verb(&self, id: ConceptId) -> bool {
        self.doing.concepts.get(usize::from(id)).is_some_and(|concept| concept.verb)
    }

    /// The concepts in some words, each as often as it is said, the nearest saying first.
    fn concepts(&self, words: &[String]) -> Vec<Saying> {
        let mut found: Vec<Saying> = Vec::new();
        for (first, word) in words.iter().enumerate() {
            let close = self.doing.shapes.close.contains(word);
            let rest = words.get(first..).unwrap_or_default();
            for (id, phrase) in self.heads.get(word.as_str()).into_iter().flatten() {
                let last = from_here(rest, phrase, if close { 1 } else { GAP });
                found.extend(last.map(|last| Saying { id: *id, last: first + last, first }));
            }
        }
        found.sort_unstable();
        found
    }

    /// Where denials stand; those that deny nothing are left out.
    pub(super) fn denials(&self, words: &[String]) -> Vec<(usize, usize)> {
        let shapes = &self.doing.shapes;
        let idle: Vec<(usize, usize)> = (0..words.len())
            .filter_map(|at| Some((at, at + begins(words, at, &shapes.idle)?)))
            .collect();
        // "If it won't prime, drain": what is denied is the condition.
        let supposed = |at: usize| {
            (at.saturating_sub(3)..at).any(|n| begins(words, n, &shapes.condition).is_some())
        };
        let bound = |at: usize| {
            let mut behind = at + 1..words.len();
            behind.find(|n| begins(words, *n, &shapes.bounds).is_some()).unwrap_or(words.len())
        };
        let free = |at: &usize| {
            !supposed(*at) && !idle.iter().any(|(first, end)| (first..end).contains(&at))
        };
        (0..words.len())
            .filter(|at| begins(words, *at, &shapes.not).is_some())
            .filter(free)
            .map(|at| (at, bound(at)))
            .collect()
    }

    /// Whether a clause speaks by a pronoun of what was named before: it names nothing else, or does it to the pronoun.
    fn refers(&self, clause: &Clause, bare: bool) -> bool {
        let pronouns = &self.doing.shapes.pronouns;
        let places = (0..clause.stems.len())
            .filter(|at| clause.stems.get(*at).is_some_and(|word| pronouns.contains(word)));
        let done_to = |at: usize| {
            let verb = |(id, place): &(ConceptId, usize)| self.is_verb(*id) && place + 1 == at;
            clause.words.iter().any(verb)
        };
        places.into_iter().any(|at| bare || done_to(at))
    }

    /// Whether a whole sentence is put off: "once all has thawed" holds for all of it, "tomorrow" for its own clause.
    fn put_off(&self, words: &[String]) -> bool {
        let mut whole = self.doing.shapes.later.iter().filter(|phrase| phrase.len() > 1);
        whole.any(|phrase| find(words, phrase, NEAR).is_some())
    }

    fn later(&self, words: &[String]) -> bool {
        self.doing.shapes.later.iter().any(|phrase| find(words, phrase, GAP).is_some())
    }
}
