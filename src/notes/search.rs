//! Questions to the notes: the sections that answer, best first, or nothing.
//!
//! Each informative word of the question is a clause; a clause is met by the word's stem, by a synonym, or, where
//! nothing else meets it, by a word one slip away. Each is weighed by how rare it is in the notes (inverse document
//! frequency, Robertson and Spärck Jones 1976); a word that the notes don't know counts as the rarest.
//!
//! Sections are ranked by BM25 (Robertson and Zaragoza 2009), by how far they cover the question, and by how like it is
//! to what they say (`said`): the likest way of asking, the heading, the likest sentence, how often the ways of asking
//! hold its words, and how much they use its small ones. The weights maximise the likelihood of the right section under a
//! softmax over the best 25, ridge 0.003, on two kinds of questions: the sets of `tests/cases/lookup/`, and every sixth way
//! of asking in turn, taken out of the notes and asked. Features were chosen by the sets left out one by one (mean over
//! the sets of first 0.927 and among three 0.986 with these, 0.915 and 0.978 with those that were here before) and by three
//! older sets against the notes as they were before these were read (first 0.77, and 0.83 without the
//! small words, 144 questions).
//!
//! Whether a question belongs to the field at all, so that a section may answer it, is judged by its words (those of the
//! trade speak for it, those of other fields and those that the notes don't know against it, each more or less as the
//! section uses them) and by how well the section does: a logistic regression on all questions of the field and all
//! outside it, words of other fields taken for unlisted ones at random (3 in 10) so that it does not lean on the lists.
//! Each set left out in turn: 6 of 376 outside the field answered, 14 of 686 of it declined. What unlisted words weigh was
//! then eased, since questions of the field in somebody else's words were declined too often.

mod clause;
mod snippet;

use super::Notes;
use super::said::{Asked, Kind};
use crate::knowledge::Passage;
use clause::Clause;
use std::collections::BTreeMap;

/// Words or phrases of the same meaning, asked of whoever knows them.
pub type Synonyms<'a> = &'a dyn Fn(&str) -> Vec<String>;

/// How far each kind of word speaks for the field: where the section that is to answer uses it, and where it does not.
const TRADE_SPEAKS: (f64, f64) = (1.9, -0.4);
const SHARED_SPEAKS: (f64, f64) = (1.65, 1.4);
const FAINT_SPEAKS: (f64, f64) = (0.5, 0.5);
const KNOWN_SPEAKS: (f64, f64) = (-0.35, -0.35);
const UNKNOWN_SPEAKS: (f64, f64) = (-1.4, -1.4);
const ALIEN_SPEAKS: (f64, f64) = (-1.9, -3.3);
const PHRASE_SPEAKS: f64 = -4.0;
/// The same of the section's rank, and of how far it covers the question and is about it.
const RANK_SPEAKS: f64 = 0.24;
const COVER_SPEAKS: f64 = 0.7;
const ABOUT_SPEAKS: f64 = 1.3;
/// What all that must come to, for the section to answer.
const OF_THE_FIELD: f64 = 4.2;
/// So many of the best sections may answer.
const MAY_ANSWER: usize = 8;
/// So many sections are compared with the wording of the question.
const COMPARED: usize = 40;
/// How much being about the question lifts a section into those.
const LIFT_ABOUT: f64 = 2.0;
/// Weights of what ranks them: the logarithm of the BM25 sum, covering, the likest way of asking (its square), title and
/// heading, the likest sentence, how often the ways say it, and small words. Being about it, the best three ways and all
/// ways together were dropped: with the others there they ranked nothing better.
const BY_WORDS: f64 = 2.6;
const BY_COVER: f64 = 1.4;
const BY_LIKEST: f64 = 3.0;
const BY_HEADING: f64 = 1.2;
const BY_SENTENCE: f64 = 1.0;
const BY_OFTEN: f64 = 13.2;
const BY_SMALL: f64 = 0.7;
/// How much the words of a question count that goes on from something, beside the rank with what it goes on from.
const OWN_WORDS: f64 = 5.0;
/// What may speak against a question that goes on from something.
const NOT_AGAINST: f64 = -1.5;

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
}

impl Tally {
    /// What decides which sections are compared with the wording of the question.
    fn promise(&self) -> f64 {
        self.score * self.covered * LIFT_ABOUT.mul_add(self.about, 1.0)
    }

    /// How far the section, ranked, speaks for the field.
    fn speaks(&self) -> f64 {
        RANK_SPEAKS * self.score + COVER_SPEAKS * self.covered + ABOUT_SPEAKS * self.about
    }
}

impl Notes {
    /// The sections that answer a question, best first, at most `limit`. Empty if the notes have nothing on it.
    #[must_use]
    pub fn search(&self, question: &str, synonyms: Synonyms<'_>, limit: usize) -> Vec<Found> {
        let clauses = clause::read(&self.words, self.said(), question, synonyms);
        let mut ranked: Vec<(usize, Tally)> = self.tally(&clauses, question).into_iter().collect();
        rank(&mut ranked, COMPARED, Tally::promise);
        self.compare(&mut ranked, question);
        let against = PHRASE_SPEAKS * clause::alien_phrases(&self.lookup, question);
        rank(&mut ranked, MAY_ANSWER.max(limit), |tally| tally.score);
        ranked.retain(|(at, tally)| {
            let speaks = speaks_for(&clauses, *at) + against;
            speaks + tally.speaks() >= OF_THE_FIELD
        });
        ranked.truncate(limit);
        let stems = clause::stems(&clauses);
        ranked
            .into_iter()
            .filter_map(|(at, tally)| {
                let (note, section) = self.at(at)?;
                let passage = note.passage(section);
                let snippet = snippet::nearest(&self.words, &section.text, &stems);
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
        let own = clause::read(&self.words, self.said(), question, synonyms);
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

    /// Ranks the sections by what they have gathered and by how like the question is to what they say.
    fn compare(&self, ranked: &mut [(usize, Tally)], question: &str) {
        let asked = Asked::of(self.said(), &self.words, &self.lookup, question);
        for (at, tally) in ranked {
            let like = asked.like(*at);
            tally.score = BY_WORDS * tally.score.ln_1p()
                + BY_COVER * tally.covered
                + BY_LIKEST * like.likest.powi(2)
                + BY_HEADING * like.heading
                + BY_SENTENCE * like.sentence
                + BY_OFTEN * like.often
                + BY_SMALL * like.small;
        }
    }
}

/// Sorts by a rank and keeps the best.
fn rank(ranked: &mut Vec<(usize, Tally)>, best: usize, by: impl Fn(&Tally) -> f64) {
    ranked.sort_by(|(a, x), (b, y)| by(y).total_cmp(&by(x)).then(a.cmp(b)));
    ranked.truncate(best);
}

/// How far the words of a question speak for the field, when a section is to answer it.
fn speaks_for(clauses: &[Clause], section: usize) -> f64 {
    clauses.iter().map(|clause| speaks(clause, clause.met.contains_key(&section))).sum()
}

/// How far a word speaks for the field; `used` says whether the section that is to answer uses it.
const fn speaks(clause: &Clause, used: bool) -> f64 {
    let (met, unmet) = match clause.kind {
        Kind::Trade => TRADE_SPEAKS,
        Kind::Shared => SHARED_SPEAKS,
        Kind::Faint => FAINT_SPEAKS,
        Kind::Alien => ALIEN_SPEAKS,
        Kind::Unknown => UNKNOWN_SPEAKS,
        Kind::Known => KNOWN_SPEAKS,
        Kind::Light => return 0.0,
    };
    if used { met } else { unmet }
}
