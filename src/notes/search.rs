//! Questions to the notes: the sections that answer, best first, or nothing.
//!
//! Each informative word of the question is a clause; a clause is met by the word's stem, by a synonym, or, where
//! nothing else meets it, by a word one slip away. Each is weighed by how rare it is in the notes (inverse document
//! frequency, Robertson and Spärck Jones 1976); a word that the notes don't know counts as the rarest.
//!
//! Sections are ranked by BM25 (Robertson and Zaragoza 2009), by how far they cover the question, by how far it
//! is what they are *about* (heading, title, and the ways of asking that the author wrote down), and by how like the
//! question is to those ways: the likest, the best three, and all their words together. The weights were fitted to the
//! questions of `tests/cases/lookup/` (a softmax over the sections, each set scored by weights fitted to the others). Whether a question belongs to the field at all is judged by its words: those of
//! the trade speak for it, those of other fields and those that the notes don't know against it.

mod clause;
mod snippet;

use super::Notes;
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
/// How much a word that the notes don't know speaks against it, a word of another field, and one of these that the
/// section itself uses.
const UNKNOWN_SPEAKS: f64 = -0.6;
/// How much a word that the notes use, and everyday English seldom does, speaks for it.
const KNOWN_SPEAKS: f64 = 0.06;
const ALIEN_SPEAKS: f64 = -2.0;
const USED_SPEAKS: f64 = -1.3;
/// A question so like a way of asking that the author wrote down is answered if nothing speaks against it.
const ASKED_FOR: f64 = 0.6;
/// The same, if two telling words of it are said.
const ASKED_TWICE: f64 = 0.45;
/// What may speak against a question that is asked for so.
const NOT_AGAINST: f64 = -0.3;
/// So many sections are compared with the wording of the question.
const COMPARED: usize = 40;
/// How much being about the question lifts a section into those.
const LIFT_ABOUT: f64 = 2.0;
/// Weights of what ranks them: the logarithm of the BM25 sum, covering, being about, the likest way of asking (its square),
/// the mean of the best three, the heading, and the words of all ways together.
const BY_WORDS: f64 = 1.5;
const BY_COVER: f64 = 1.7;
const BY_ABOUT: f64 = 3.2;
const BY_LIKEST: f64 = 6.4;
const BY_BEST: f64 = 5.4;
const BY_HEADING: f64 = 2.2;
const BY_ALL_WAYS: f64 = 4.7;
/// How much the words of a question count that goes on from something, beside the rank with what it goes on from.
const OWN_WORDS: f64 = 5.0;
/// So many ways of asking are the best.
const BEST: usize = 3;

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
    /// The sum of BM25, and then the rank.
    score: f64,
    covered: f64,
    about: f64,
    like: Like,
}

impl Tally {
    /// What decides which sections are compared with the wording of the question.
    fn promise(&self) -> f64 {
        self.score * self.covered * LIFT_ABOUT.mul_add(self.about, 1.0)
    }
}

impl Notes {
    /// The sections that answer a question, best first, at most `limit`. Empty if the notes have nothing on it.
    #[must_use]
    pub fn search(&self, question: &str, synonyms: Synonyms<'_>, limit: usize) -> Vec<Found> {
        let groups = Groups::of(&self.words, &self.lookup);
        let clauses = clause::read(&self.words, &self.lookup, &groups, question, synonyms);
        let mut ranked: Vec<(usize, Tally)> = self.tally(&clauses, question).into_iter().collect();
        rank(&mut ranked, COMPARED, Tally::promise);
        self.compare(&mut ranked, &groups, question);
        let against = ALIEN_SPEAKS * clause::alien_phrases(&self.lookup, question);
        ranked.retain(|(at, tally)| {
            let speaks = speaks_for(&clauses, *at) + against;
            let like = tally.like;
            let asked_for = like.share >= if like.telling > 1 { ASKED_TWICE } else { ASKED_FOR };
            let asked_for = asked_for && speaks >= NOT_AGAINST;
            asked_for || (speaks >= OF_THE_FIELD && tally.covered + tally.about >= ENOUGH)
        });
        rank(&mut ranked, limit, |tally| tally.score);
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

    /// The sections that answer a question which leaves out what it is about ("and the timer?"), with words for that. A
    /// section that says nothing on the question's own words answers none of it.
    #[must_use]
    pub fn search_on(
        &self,
        question: &str,
        about: &str,
        synonyms: Synonyms<'_>,
        limit: usize,
    ) -> Vec<Found> {
        let groups = Groups::of(&self.words, &self.lookup);
        let own = clause::read(&self.words, &self.lookup, &groups, question, synonyms);
        if own.iter().map(|clause| speaks(clause, false)).sum::<f64>() < NOT_AGAINST {
            return Vec::new();
        }
        let telling = own.iter().any(|clause| clause.kind != Kind::Light);
        let mut met: BTreeMap<(&str, &str), f64> = BTreeMap::new();
        for clause in own.iter().filter(|clause| clause.kind != Kind::Light) {
            for (at, one) in &clause.met {
                let Some((note, section)) = self.at(*at) else { continue };
                *met.entry((&note.name, &section.name)).or_default() += one.strength + one.about;
            }
        }
        let own_words = |one: &Found| {
            let name = (one.passage.note.as_str(), one.passage.section.as_str());
            met.get(&name).copied().unwrap_or_default()
        };
        let mut found = self.search(&format!("{question} {about}"), synonyms, COMPARED);
        found.retain(|one| !telling || own_words(one) > 0.0);
        // What the question itself says weighs more than what it goes on from.
        let rank = |one: &Found| OWN_WORDS.mul_add(own_words(one), one.score);
        found.sort_by(|a, b| rank(b).total_cmp(&rank(a)));
        found.truncate(limit);
        found
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
        tallies
    }

    /// Ranks the sections by what they have gathered and by how like the question is to the ways of asking for them.
    fn compare(&self, ranked: &mut [(usize, Tally)], groups: &Groups<'_>, question: &str) {
        let asked = Phrasing::of(&self.words, groups, question);
        for (at, tally) in ranked {
            let Some((note, section)) = self.at(*at) else { continue };
            let of = |way: &str| Phrasing::of(&self.words, groups, way);
            let ways: Vec<Phrasing> = section.asked.iter().map(|way| of(way)).collect();
            let mut likes: Vec<Like> = ways.iter().map(|way| asked.like(way)).collect();
            likes.push(asked.like(&of(&section.title)));
            likes.sort_by(|a, b| b.share.total_cmp(&a.share));
            tally.like = likes.first().copied().unwrap_or_default();
            let best: f64 = likes.iter().take(BEST).map(|like| like.share).sum();
            let heading = asked.like(&of(&format!("{} {}", note.title, section.title))).share;
            tally.score = BY_WORDS * tally.score.ln_1p()
                + BY_COVER * tally.covered
                + BY_ABOUT * tally.about
                + BY_LIKEST * tally.like.share.powi(2)
                + BY_BEST * best / number(BEST)
                + BY_HEADING * heading
                + BY_ALL_WAYS * asked.within(&ways);
        }
    }
}

/// Sorts by a rank and keeps the best.
fn rank(ranked: &mut Vec<(usize, Tally)>, best: usize, by: impl Fn(&Tally) -> f64) {
    ranked.sort_by(|(a, x), (b, y)| by(y).total_cmp(&by(x)).then(a.cmp(b)));
    ranked.truncate(best);
}

/// How far the words of a question speak for the field, when a section is to answer it: a word of another field speaks less
/// against it if the section itself uses it.
fn speaks_for(clauses: &[Clause], section: usize) -> f64 {
    clauses.iter().map(|clause| speaks(clause, clause.met.contains_key(&section))).sum()
}

/// How far a word speaks for the field; `used` says whether the section that is to answer uses it.
const fn speaks(clause: &Clause, used: bool) -> f64 {
    match clause.kind {
        Kind::Alien if used => USED_SPEAKS,
        Kind::Trade => TRADE_SPEAKS,
        Kind::Shared => SHARED_SPEAKS,
        Kind::Alien => ALIEN_SPEAKS,
        Kind::Unknown => UNKNOWN_SPEAKS,
        Kind::Known => KNOWN_SPEAKS,
        Kind::Light => 0.0,
    }
}

fn number(n: usize) -> f64 {
    u32::try_from(n).map_or(f64::MAX, f64::from)
}

/// Inverse document frequency of a word met by `met` of `all` sections.
fn rarity(met: usize, all: usize) -> f64 {
    let (met, all) = (number(met), number(all));
    (1.0 + (all - met + 0.5) / (met + 0.5)).ln()
}
