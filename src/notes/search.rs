//! Questions to the notes: the sections that answer, best first, or nothing.
//!
//! Each informative word of the question is a clause; a clause is met by the word's stem, by a synonym, or, where
//! nothing else meets it, by a word one slip away. Each is weighed by how rare it is in the notes (inverse document
//! frequency, Robertson and Spärck Jones 1976); a word that the notes don't know counts as the rarest.
//!
//! Sections are ranked by BM25 (Robertson and Zaragoza 2009), by how far they cover the question, by how far it
//! is what they are *about* (heading, title, and the ways of asking that the author wrote down), and by how like the
//! question is to one of those ways. Whether a question belongs to the field at all is judged by its words: those of
//! the trade speak for it, those of other fields and those that the notes don't know against it.

mod clause;
mod snippet;

use super::{Notes, Section};
use crate::knowledge::Passage;
use clause::{Clause, Groups, Kind, Like, Phrasing};
use std::collections::BTreeMap;

/// Words or phrases of the same meaning, asked of whoever knows them.
pub type Synonyms<'a> = &'a dyn Fn(&str) -> Vec<String>;

/// What a section must cover of the question, and be about, to answer it.
const ENOUGH: f64 = 0.3;
/// What speaks for the field at least, for a question to be answered.
const OF_THE_FIELD: f64 = 0.5;
/// How much a word of the trade speaks for it, and one that the trade shares with other fields.
const TRADE_SPEAKS: f64 = 1.0;
const SHARED_SPEAKS: f64 = 0.4;
/// How much a word that the notes don't know speaks against it, and a word of another field.
const UNKNOWN_SPEAKS: f64 = -0.6;
const ALIEN_SPEAKS: f64 = -2.0;
/// A question so like a way of asking that the author wrote down is answered if nothing speaks against it.
const ASKED_FOR: f64 = 0.6;
/// The same, if two telling words of it are said.
const ASKED_TWICE: f64 = 0.45;
/// What may speak against a question that is asked for so.
const NOT_AGAINST: f64 = -0.3;
/// So many sections are compared with the wording of the question.
const COMPARED: usize = 40;
/// How much being about the question lifts a section.
const LIFT_ABOUT: f64 = 2.0;
/// How much being asked for in nearly these words lifts a section.
const LIFT_ASKED: f64 = 8.0;
/// BM25 sums are brought nearer together by this power, so that the wording of the question weighs more.
const SPREAD: f64 = 0.4;

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
    like: Like,
}

impl Notes {
    /// The sections that answer a question, best first, at most `limit`. Empty if the notes have nothing on it.
    #[must_use]
    pub fn search(&self, question: &str, synonyms: Synonyms<'_>, limit: usize) -> Vec<Found> {
        let groups = Groups::of(&self.words, &self.lookup);
        let clauses = clause::read(&self.words, &self.lookup, &groups, question, synonyms);
        let mut ranked: Vec<(usize, Tally)> = self.tally(&clauses, question).into_iter().collect();
        rank(&mut ranked, COMPARED);
        self.lift(&mut ranked, &groups, question);
        let speaks =
            speaks_for(&clauses) + ALIEN_SPEAKS * clause::alien_phrases(&self.lookup, question);
        ranked.retain(|(_, tally)| {
            let like = tally.like;
            let asked_for = like.share >= if like.telling > 1 { ASKED_TWICE } else { ASKED_FOR };
            let asked_for = asked_for && speaks >= NOT_AGAINST;
            asked_for || (speaks >= OF_THE_FIELD && tally.covered + tally.about >= ENOUGH)
        });
        rank(&mut ranked, limit);
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
            }
        }
        for (at, score) in clause::near(&self.words, question) {
            if let Some(tally) = tallies.get_mut(&at) {
                tally.score += score;
            }
        }
        for tally in tallies.values_mut() {
            tally.score *= tally.covered;
            tally.score *= LIFT_ABOUT.mul_add(tally.about, 1.0);
        }
        tallies
    }

    /// Lifts the sections that are asked for in nearly these words.
    fn lift(&self, ranked: &mut [(usize, Tally)], groups: &Groups<'_>, question: &str) {
        let asked = Phrasing::of(&self.words, groups, question);
        let like = |section: &Section| {
            let ways = section.asked.iter().chain([&section.title]);
            let likes = ways.map(|way| asked.like(&Phrasing::of(&self.words, groups, way)));
            let nearer = |best: Like, like: Like| if like.share > best.share { like } else { best };
            likes.fold(Like::default(), nearer)
        };
        for (at, tally) in ranked {
            tally.like = self.at(*at).map_or(Like::default(), |(_, section)| like(section));
            tally.score = tally.score.powf(SPREAD);
            tally.score *= LIFT_ASKED.mul_add(tally.like.share.powi(2), 1.0);
        }
    }
}

/// Sorts by score and keeps the best.
fn rank(ranked: &mut Vec<(usize, Tally)>, best: usize) {
    ranked.sort_by(|(a, x), (b, y)| y.score.total_cmp(&x.score).then(a.cmp(b)));
    ranked.truncate(best);
}

/// How far the words of a question speak for the field.
fn speaks_for(clauses: &[Clause]) -> f64 {
    let speaks = |clause: &Clause| match clause.kind {
        Kind::Trade => TRADE_SPEAKS,
        Kind::Shared => SHARED_SPEAKS,
        Kind::Alien => ALIEN_SPEAKS,
        Kind::Unknown => UNKNOWN_SPEAKS,
        Kind::Light | Kind::Known => 0.0,
    };
    clauses.iter().map(speaks).sum()
}

/// Inverse document frequency of a word met by `met` of `all` sections.
fn rarity(met: usize, all: usize) -> f64 {
    let number = |n: usize| u32::try_from(n).map_or(f64::MAX, f64::from);
    let (met, all) = (number(met), number(all));
    (1.0 + (all - met + 0.5) / (met + 0.5)).ln()
}
