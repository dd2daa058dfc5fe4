//! Questions to the notes: the sections that answer, best first, or nothing.
//!
//! Each informative word of the question is a clause; a clause is met by the word's stem, by a synonym, or, where
//! nothing else meets it, by a word one slip away. Each is weighed by how rare it is in the notes (inverse document
//! frequency, Robertson and Spärck Jones 1976); a word that the notes don't know counts as the rarest.
//!
//! Sections are ranked by BM25 (Robertson and Zaragoza 2009), by how far they cover the question, and by how far
//! it is what they are *about*: heading, title, and the ways of asking that the author wrote down. A section that
//! merely mentions the words of a question does not answer it; if none is about it, nothing is said. A question
//! without a word of the trade has to be covered almost wholly.

mod clause;
mod snippet;

use super::{Notes, Section};
use crate::knowledge::Passage;
use clause::{Clause, Phrasing};
use std::collections::BTreeMap;

/// Words or phrases of the same meaning, asked of whoever knows them.
pub type Synonyms<'a> = &'a dyn Fn(&str) -> Vec<String>;

/// What a section must reach to answer, by how surely the question is one of the field.
#[derive(Debug, Clone, Copy)]
struct Bar {
    /// The least share of the question covered.
    covered: f64,
    /// The least share of the question that the section is about.
    about: f64,
    /// The least sum of the two.
    both: f64,
    /// The least rarity covered.
    rarity: f64,
}

/// Two words of the trade or more in the question.
const OF_THE_FIELD: Bar = Bar { covered: 0.3, about: 0.05, both: 0.5, rarity: 0.0 };
/// One word of the trade, met by the section.
const TOUCHING: Bar = Bar { covered: 0.5, about: 0.05, both: 0.72, rarity: 0.0 };
/// No word of the trade.
const UNTRADED: Bar = Bar { covered: 0.5, about: 0.05, both: 1.2, rarity: 3.0 };
/// A word of the trade in more than a third of all sections, such as water, tells nothing.
const TELLING: f64 = 1.0;
/// How much being about the question lifts a section.
const LIFT_ABOUT: f64 = 2.0;
/// How much being asked for in nearly these words lifts a section.
const LIFT_ASKED: f64 = 4.0;

/// A section that answers a question.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The passage, whole.
    pub passage: Passage,
    /// The sentences of it that are nearest to the question.
    pub snippet: String,
    /// Its rank, higher is better; to be compared within one question only.
    pub score: f64,
    /// The share of the question that it says something on, 0 to 1, rare words weighing more.
    pub covered: f64,
    /// The share of the question that it is about, 0 to 1.
    pub about: f64,
}

/// What one section has gathered.
#[derive(Debug, Clone, Copy, Default)]
struct Tally {
    score: f64,
    covered: f64,
    about: f64,
    rarity: f64,
    trade: bool,
}

impl Tally {
    /// Whether the section answers, and does not merely mention.
    fn answers(self, of_the_field: bool) -> bool {
        let bar = match (of_the_field, self.trade) {
            (true, _) => OF_THE_FIELD,
            (false, true) => TOUCHING,
            (false, false) => UNTRADED,
        };
        self.covered >= bar.covered
            && self.about >= bar.about
            && self.covered + self.about >= bar.both
            && self.rarity >= bar.rarity
    }
}

impl Notes {
    /// The sections that answer a question, best first, at most `limit`. Empty if the notes have nothing on it.
    #[must_use]
    pub fn search(&self, question: &str, synonyms: Synonyms<'_>, limit: usize) -> Vec<Found> {
        let clauses = clause::read(&self.words, &self.lookup, question, synonyms);
        let telling = |clause: &&Clause| clause.trade && clause.weight >= TELLING;
        let of_the_field = clauses.iter().filter(telling).count() >= 2;
        let mut ranked: Vec<(usize, Tally)> = self
            .tally(&clauses, question)
            .into_iter()
            .filter(|(_, tally)| tally.answers(of_the_field))
            .collect();
        self.lift(&mut ranked, question);
        ranked.sort_by(|(a, x), (b, y)| y.score.total_cmp(&x.score).then(a.cmp(b)));
        ranked.truncate(limit);
        let stems = clause::stems(&clauses);
        ranked
            .into_iter()
            .filter_map(|(at, tally)| {
                let (note, section) = self.at(at)?;
                let passage = note.passage(section);
                let snippet = snippet::nearest(&self.words.analyzer, &section.text, &stems);
                let Tally { score, covered, about, .. } = tally;
                Some(Found { passage, snippet, score, covered, about })
            })
            .collect()
    }

    /// What each section gathers from the clauses; shares are of the whole question.
    fn tally(&self, clauses: &[Clause], question: &str) -> BTreeMap<usize, Tally> {
        let total: f64 = clauses.iter().map(|clause| clause.weight).sum();
        let mut tallies: BTreeMap<usize, Tally> = BTreeMap::new();
        for clause in clauses {
            let share = clause.weight / total;
            for (at, met) in &clause.met {
                let tally = tallies.entry(*at).or_default();
                tally.score += met.score;
                tally.covered += share * met.strength;
                tally.about += share * met.about;
                tally.rarity += clause.weight * met.strength;
                tally.trade |= clause.trade;
            }
        }
        for (at, score) in clause::near(&self.words, question) {
            if let Some(tally) = tallies.get_mut(&at) {
                tally.score += score;
            }
        }
        tallies
    }

    /// Lifts the sections that cover more, that are about it, and that are asked for in nearly these words.
    fn lift(&self, ranked: &mut [(usize, Tally)], question: &str) {
        let asked = Phrasing::of(&self.words, question);
        let like = |section: &Section| {
            let ways = section.asked.iter().chain([&section.title]);
            ways.map(|way| asked.like(&Phrasing::of(&self.words, way))).fold(0.0, f64::max)
        };
        for (at, tally) in ranked {
            let like = self.at(*at).map_or(0.0, |(_, section)| like(section));
            tally.score *= tally.covered;
            tally.score *= LIFT_ABOUT.mul_add(tally.about, 1.0);
            tally.score *= LIFT_ASKED.mul_add(like, 1.0);
        }
    }
}

/// Inverse document frequency of a word met by `met` of `all` sections.
fn rarity(met: usize, all: usize) -> f64 {
    let number = |n: usize| u32::try_from(n).map_or(f64::MAX, f64::from);
    let (met, all) = (number(met), number(all));
    (1.0 + (all - met + 0.5) / (met + 0.5)).ln()
}
