//! The clauses of a question, and the sections that meet them.

use super::super::index::{Words, plain, rarity};
use super::super::lookup::Lookup;
use super::super::said::{Kind, LONGEST_PHRASE, Said, Stems};
use super::Synonyms;
use std::collections::{BTreeMap, BTreeSet};
use tantivy::query::{EnableScoring, PhraseQuery, Query, TermQuery};
use tantivy::schema::{Field, IndexRecordOption};
use tantivy::{TERMINATED, Term};

/// How far a section is about a word of its note's title, and of the ways of asking for it; its heading is 1.
const ABOUT_TITLE: f64 = 0.5;
const ABOUT_ASKED: f64 = 0.8;
/// How much a synonym counts against the word itself.
const SYNONYM: f64 = 0.8;
/// How much a synonym of the vocabulary counts; it is taken for a word in few sections only.
const VOCABULARY: f64 = 0.6;
/// So many sections are few.
const SCARCE: usize = 2;
/// How much a word one slip away counts.
const SLIP: f64 = 0.8;
/// How much a word that says little weighs.
const LIGHT: f64 = 0.25;
/// How much two words side by side count beyond each by itself.
const NEAR: f64 = 0.5;
/// Words of this many letters or more may hold a slip.
const SLIP_FROM: usize = 6;

/// A section's meeting of a clause.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Met {
    /// BM25 over the fields.
    pub(super) score: f64,
    /// 1 for the word itself, less for a synonym or a slip.
    pub(super) strength: f64,
    /// 1 if it stands in the heading, less in the title or in the ways of asking alone.
    pub(super) about: f64,
}

/// An informative word of the question.
#[derive(Debug, Default)]
pub(super) struct Clause {
    /// Every stem that meets it.
    stems: BTreeSet<String>,
    /// The sections that meet it.
    pub(super) met: BTreeMap<usize, Met>,
    /// How rare it is in the notes.
    pub(super) weight: f64,
    /// Whether it speaks for the field or against it.
    pub(super) kind: Kind,
}

/// For each clause, the stems that meet it and its weight.
pub(super) fn stems(clauses: &[Clause]) -> Vec<(&BTreeSet<String>, f64)> {
    clauses.iter().map(|clause| (&clause.stems, clause.weight)).collect()
}

/// Reads the clauses of a question and looks each up.
pub(super) fn read(
    words: &Words,
    said: &Said,
    question: &str,
    synonyms: Synonyms<'_>,
) -> Vec<Clause> {
    let raw = plain(question);
    let mut clauses: Vec<Clause> = Vec::new();
    let phrases = phrases(words, &raw, said, synonyms);
    for (at, word) in raw.iter().enumerate() {
        let own = words.analyze(word);
        if own.is_empty() {
            continue;
        }
        let mut clause = Clause::default();
        clause.meet(words, &own, 1.0);
        let scarce = clause.met.len() <= SCARCE;
        let others = phrases.iter().filter(|phrase| phrase.covers.contains(&at));
        for other in others.filter(|phrase| phrase.same || scarce) {
            let strength = if other.same { SYNONYM } else { VOCABULARY };
            clause.meet(words, &other.means, strength);
        }
        if clause.met.is_empty() && word.chars().count() >= SLIP_FROM {
            for near in slips(words, &own) {
                clause.meet(words, &[(0, near)], SLIP);
            }
        }
        clause.weight = rarity(clause.met.len(), words.sections());
        let by = |same| phrases.iter().filter(move |p| p.same == same && p.covers.contains(&at));
        let in_phrase = by(true).any(|phrase| phrase.covers.len() > 1);
        let named = scarce && by(false).next().is_some();
        clause.kind = match kind(said, word, &own, clause.met.is_empty()) {
            Kind::Faint | Kind::Alien | Kind::Light if in_phrase => Kind::Shared,
            Kind::Unknown | Kind::Known if in_phrase || named => Kind::Shared,
            kind => kind,
        };
        if clause.kind == Kind::Light {
            clause.weight *= LIGHT;
        }
        clauses.push(clause);
    }
    clauses
}

/// What a word says of the field. Other fields and the trade are known by the stem.
fn kind(said: &Said, word: &str, own: &[(usize, String)], unmet: bool) -> Kind {
    let stem = own.first().map_or(word, |(_, stem)| stem);
    match said.kind(word, stem) {
        Some(kind @ (Kind::Trade | Kind::Shared | Kind::Faint | Kind::Alien)) => kind,
        _ if word.chars().any(|c| c.is_ascii_digit()) => Kind::Light,
        Some(kind) => kind,
        None if unmet => Kind::Unknown,
        None => Kind::Known,
    }
}

/// How many phrases of other fields a question holds: `speed of light`.
pub(super) fn alien_phrases(lookup: &Lookup, question: &str) -> f64 {
    let said = format!(" {} ", plain(question).join(" "));
    let held = lookup.alien.iter().filter(|phrase| phrase.contains(' '));
    held.filter(|phrase| said.contains(&format!(" {phrase} "))).map(|_| 1.0).sum()
}

/// Two informative words side by side in a question and in a section: what that adds to the section's score.
pub(super) fn near(words: &Words, question: &str) -> Vec<(usize, f64)> {
    let tokens = words.analyze(&plain(question).join(" "));
    let pairs = tokens.iter().zip(tokens.iter().skip(1)).filter(|((a, _), (b, _))| b - a <= 3);
    let mut found = Vec::new();
    for ((first, one), (second, two)) in pairs {
        let field = words.fields.all;
        let terms = vec![(0, term(field, one)), (second - first, term(field, two))];
        let query = PhraseQuery::new_with_offset_and_slop(terms, 1);
        found.extend(scores(words, &query).map(|(at, score)| (at, score * NEAR)));
    }
    found
}

impl Clause {
    /// Lets the sections that hold these stems, side by side, meet the clause.
    fn meet(&mut self, words: &Words, stems: &[(usize, String)], strength: f64) {
        let Some(query) = query(words.fields.all, stems) else { return };
        let about = about(words, stems);
        self.stems.extend(stems.iter().map(|(_, stem)| stem.clone()));
        for (at, score) in scores(words, query.as_ref()) {
            let (score, about) = (score * strength, about.get(&at).copied().unwrap_or(0.0));
            let met = self.met.entry(at).or_insert(Met { score, strength, about: 0.0 });
            met.score = met.score.max(score);
            met.strength = met.strength.max(strength);
            met.about = met.about.max(about * strength);
        }
    }
}

/// How far sections are about these stems.
fn about(words: &Words, stems: &[(usize, String)]) -> BTreeMap<usize, f64> {
    let fields = words.fields;
    let worths = [(fields.title, ABOUT_TITLE), (fields.asked, ABOUT_ASKED), (fields.heading, 1.0)];
    let mut about: BTreeMap<usize, f64> = BTreeMap::new();
    for (field, worth) in worths {
        let Some(query) = query(field, stems) else { continue };
        for (at, _) in scores(words, query.as_ref()) {
            let known = about.entry(at).or_default();
            *known = known.max(worth);
        }
    }
    about
}

/// The sections that hold these stems side by side; none for no stem.
fn query(field: Field, stems: &[(usize, String)]) -> Option<Box<dyn Query>> {
    match stems {
        [] => None,
        [(_, one)] => {
            Some(Box::new(TermQuery::new(term(field, one), IndexRecordOption::WithFreqs)))
        }
        many => {
            let terms = many.iter().map(|(at, stem)| (*at, term(field, stem)));
            Some(Box::new(PhraseQuery::new_with_offset(terms.collect())))
        }
    }
}

/// A phrase of the same meaning as some words of the question.
#[derive(Debug)]
struct Phrase {
    /// The words that it stands for, by number.
    covers: std::ops::Range<usize>,
    /// The stems of the phrase with their positions.
    means: Stems,
    /// Whether `lookup.toml` says so; otherwise the vocabulary does.
    same: bool,
}

/// The synonyms of every run of one to three words. A group is found by the stems of its words.
fn phrases(words: &Words, raw: &[String], said: &Said, synonyms: Synonyms<'_>) -> Vec<Phrase> {
    let mut phrases = Vec::new();
    for length in 1..=LONGEST_PHRASE {
        for (at, run) in raw.windows(length).enumerate() {
            let run = run.join(" ");
            let own: Vec<String> = words.analyze(&run).into_iter().map(|(_, stem)| stem).collect();
            let covers = at..at + length;
            if own.len() == length {
                let same = said.groups.others(&own).map(|means| (means.clone(), true));
                let known = synonyms(&run).into_iter().map(|means| (words.analyze(&means), false));
                let phrase = |(means, same)| Phrase { covers: covers.clone(), means, same };
                phrases.extend(same.chain(known).map(phrase));
            }
        }
    }
    phrases
}

/// The known stems one slip (Damerau) away from an unknown one, first letter kept.
fn slips(words: &Words, stems: &[(usize, String)]) -> Vec<String> {
    let ([(_, stem)], Some(segment)) = (stems, words.segment()) else { return Vec::new() };
    let Some(first) = stem.chars().next() else { return Vec::new() };
    let mut near = BTreeSet::new();
    let from = first.to_string();
    let Ok(inverted) = segment.inverted_index(words.fields.all) else { return Vec::new() };
    let Ok(mut terms) = inverted.terms().range().ge(from.as_bytes()).into_stream() else {
        return Vec::new();
    };
    while terms.advance() {
        let Ok(known) = std::str::from_utf8(terms.key()) else { continue };
        if !known.starts_with(first) {
            break;
        }
        if strsim::damerau_levenshtein(known, stem) == 1 {
            near.insert(known.to_owned());
        }
    }
    near.into_iter().collect()
}

fn term(field: Field, stem: &str) -> Term {
    Term::from_field_text(field, stem)
}

/// The sections that a query finds, with their BM25.
fn scores(words: &Words, query: &dyn Query) -> impl Iterator<Item = (usize, f64)> {
    let scoring = EnableScoring::enabled_from_searcher(words.searcher());
    let scorer = words.segment().and_then(|segment| {
        query.weight(scoring).and_then(|weight| weight.scorer(segment, 1.0)).ok()
    });
    let mut found = Vec::new();
    if let Some(mut scorer) = scorer {
        while scorer.doc() != TERMINATED {
            if let Ok(at) = usize::try_from(scorer.doc()) {
                found.push((at, f64::from(scorer.score())));
            }
            scorer.advance();
        }
    }
    found.into_iter()
}
