//! Words of doing (`scenarios/words.toml`): how people say what they do, and how they ask for a fact.
//!
//! A concept is a verb or a thing with the ways to say it. A pattern is a line of concepts that stand together in
//! one clause, in any order: `drain/open pump/plugs` (alternatives by `/`), `start pump -off` (not with `off`),
//! `!start pump` (said in the negative: "don't start the pump"), `crawl ~ice` (the case may tell of the ice: "crawl
//! out to him"), `?keep heater` (only where the case does not call for just that).

use super::document::{Problems, Reader, Text};
use super::stem::{stem, words};
use crate::problem::{Code, Place, Problem, Span};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The place of a concept in [`Doing`].
pub type ConceptId = u16;

/// A verb or a thing, with the ways to say it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Concept {
    /// Its name in patterns.
    pub name: String,
    /// Whether it is something that is done.
    pub verb: bool,
    /// The ways to say it: the stems of their words.
    pub phrases: Vec<Vec<String>>,
    /// Where it is written.
    pub place: Place,
}

/// Concepts that stand together in one clause.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Pattern {
    /// One of each of these.
    pub all: Vec<Vec<ConceptId>>,
    /// One of each of these too, said in the clause or understood from what was told of the case.
    pub understood: Vec<Vec<ConceptId>>,
    /// None of these.
    pub none: Vec<ConceptId>,
    /// Said in the negative.
    pub denied: bool,
    /// Holds only where nothing that the case calls for is said by the same words.
    pub yields: bool,
}

/// The patterns of one action or caution.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Sayings {
    /// The action's or the caution's id.
    pub id: String,
    /// Any of these.
    pub patterns: Vec<Pattern>,
    /// Where it is written.
    pub place: Place,
}

/// Small words that shape a clause.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Shapes {
    /// Denials.
    pub not: Vec<Vec<String>>,
    /// Denials that deny nothing.
    pub idle: Vec<Vec<String>>,
    /// A denial reaches no further than these: "nobody swims until …".
    pub bounds: Vec<Vec<String>>,
    /// Who speaks: "I'd kill the power first".
    pub who: Vec<String>,
    /// Opens a condition: a denial right after it denies nothing that is done.
    pub condition: Vec<Vec<String>>,
    /// Opens a reason: "because …", "otherwise …".
    pub reason: Vec<Vec<String>>,
    /// Opens what is only seen: "it's running dry".
    pub seen: Vec<Vec<String>>,
    /// Before a word in -ing: what goes on, and is not done by who speaks.
    pub being: Vec<String>,
    /// Before `being`: what goes on beside a deed, "while it's running".
    pub circumstance: Vec<String>,
    /// Words in -ing that say what will be done: "it is staying off".
    pub to_be: Vec<String>,
    /// Puts a clause off to a later day.
    pub later: Vec<Vec<String>>,
    /// Two things whose second could be a verb: "plugs and rings".
    pub pairs: Vec<Vec<String>>,
    /// Begins another step.
    pub next: Vec<Vec<String>>,
    /// What follows is done before the rest.
    pub before: Vec<Vec<String>>,
    /// What follows was done before the rest.
    pub after: Vec<Vec<String>>,
    /// The clause comes before all others.
    pub first: Vec<Vec<String>>,
    /// Sayings with such a word that are no order: "first light".
    pub not_first: Vec<Vec<String>>,
    /// Actions that say their own hour: they may be named anywhere in the order.
    pub timed: Vec<String>,
    /// Verbs whose small word stands right behind them: "go in" is not "go home in the dark".
    pub close: Vec<String>,
    /// A line that asks.
    pub asks: Vec<Vec<String>>,
    /// Cautions that hold in every case.
    pub always: Vec<String>,
    /// Names of verbs of looking: a question or a bare noun counts as such.
    pub looks: Vec<String>,
    /// Words that say nothing about which action is meant.
    pub small: Vec<String>,
    /// Words that stand for a thing named before.
    pub pronouns: Vec<String>,
    /// Between two amounts: the second is the first once more, "half a gallon, about 60 oz" …
    pub alike: Vec<String>,
    /// … unless one of these makes it another.
    pub besides: Vec<String>,
    /// The amount beside it is all of it: "in all".
    pub whole: Vec<String>,
    /// What follows is a portion of the amount before: "two halves of".
    pub portions: Vec<String>,
    /// What a product is stirred into: an amount of it is no dose.
    pub stirred_into: Vec<String>,
}

/// Everything of `scenarios/words.toml`.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Doing {
    /// Every concept.
    pub concepts: Vec<Concept>,
    /// How actions are said.
    pub said: Vec<Sayings>,
    /// What a caution forbids.
    pub never: Vec<Sayings>,
    /// Actions that are done at one time with others: which is named first says nothing.
    pub together: Vec<(String, Vec<String>, Place)>,
    /// How facts are asked for, beside their titles: a fact's name and phrases.
    pub asked: Vec<(String, Vec<Vec<String>>, Place)>,
    /// Other spellings, each with the word: short forms, forms that no ending tells.
    pub spelled: BTreeMap<String, String>,
    /// Verbs that undo each other.
    pub opposites: Vec<(ConceptId, ConceptId)>,
    /// Small words.
    pub shapes: Shapes,
    /// What people said who did something.
    pub examples: Vec<super::Examples>,
}

impl Doing {
    /// The stems of the words of a text, other spellings put right: "brkrs" is "breaker".
    #[must_use]
    pub fn stems(&self, text: &str) -> Vec<String> {
        words(text).iter().map(|word| self.stem(word)).collect()
    }

    fn stem(&self, word: &str) -> String {
        // "brkrs" is "brkr", but "ring" is no "r".
        let bare = || {
            let ends = ["s", "es", "ed", "ing"].iter();
            ends.filter_map(|end| word.strip_suffix(end)).find(|left| left.len() > 2)
        };
        let meant = self.spelled.get(word).or_else(|| self.spelled.get(bare()?));
        stem(meant.map_or(word, String::as_str))
    }

    /// Whether two actions are done at one time.
    #[must_use]
    pub fn at_one_time(&self, a: &str, b: &str) -> bool {
        let pair = |a: &str, b: &str| {
            let mut of_a = self.together.iter().filter(|(id, ..)| id == a);
            of_a.any(|(_, others, _)| others.iter().any(|id| id == b))
        };
        pair(a, b) || pair(b, a)
    }

    /// Whether a pattern names something that is done, and not only a thing.
    #[must_use]
    pub fn acts(&self, pattern: &Pattern) -> bool {
        let verb = |id: &ConceptId| self.concepts.get(usize::from(*id)).is_some_and(|one| one.verb);
        pattern.all.iter().flatten().any(verb)
    }

    /// How an action is said, beside its own wording.
    pub fn of_action(&self, id: &str) -> impl Iterator<Item = &Pattern> {
        self.said.iter().filter(move |one| one.id == id).flat_map(|one| &one.patterns)
    }

    /// What a caution forbids.
    pub fn of_caution(&self, id: &str) -> impl Iterator<Item = &Pattern> {
        self.never.iter().filter(move |one| one.id == id).flat_map(|one| &one.patterns)
    }
}

/// Reads `scenarios/words.toml`.
pub(super) fn read_doing(top: &Reader<'_, '_>) -> Doing {
    let mut doing = Doing::default();
    if let Some(table) = top.table("spelled") {
        for (name, texts) in table.lists() {
            let ways = texts.iter().map(|text| (text.text.clone(), name.text.clone()));
            doing.spelled.extend(ways);
        }
    }
    doing.concepts = read_concepts(top, &doing);
    let ids: BTreeMap<String, ConceptId> = doing
        .concepts
        .iter()
        .enumerate()
        .filter_map(|(at, one)| Some((one.name.clone(), u16::try_from(at).ok()?)))
        .collect();
    doing.said = read_sayings(top, "said", &ids);
    doing.never = read_sayings(top, "never", &ids);
    if let Some(table) = top.table("asked") {
        for (name, texts) in table.lists() {
            let phrases = texts.iter().map(|text| doing.stems(&text.text)).collect();
            doing.asked.push((name.text.clone(), phrases, name.place()));
        }
    }
    if let Some(table) = top.table("opposite") {
        for (name, texts) in table.lists() {
            let of = |text: &Text<'_>| concept(&text.text, text.place(), &ids, table.problems());
            let pairs = texts.iter().filter_map(|text| Some((of(&name)?, of(text)?)));
            doing.opposites.extend(pairs);
        }
    }
    if let Some(table) = top.table("together") {
        for (name, texts) in table.lists() {
            let others = texts.into_iter().map(|text| text.text).collect();
            doing.together.push((name.text.clone(), others, name.place()));
        }
    }
    if let Some(table) = top.table("shape") {
        doing.shapes = read_shapes(&table, &doing);
        table.finish();
    }
    doing
}

/// The verbs and the things.
fn read_concepts(top: &Reader<'_, '_>, doing: &Doing) -> Vec<Concept> {
    let mut concepts = Vec::new();
    for (key, verb) in [("verb", true), ("thing", false)] {
        if let Some(table) = top.table(key) {
            for (name, texts) in table.lists() {
                let phrases = texts.iter().map(|text| doing.stems(&text.text)).collect();
                concepts.push(Concept { place: name.place(), name: name.text, verb, phrases });
            }
        }
    }
    concepts
}

/// The small words.
fn read_shapes(table: &Reader<'_, '_>, doing: &Doing) -> Shapes {
    let list = |key| table.strings(key).iter().map(|text| doing.stems(text)).collect();
    let one = |key| table.strings(key).iter().map(|word| doing.stem(word)).collect();
    Shapes {
        not: list("not"),
        idle: list("idle"),
        condition: list("condition"),
        bounds: list("bounds"),
        reason: list("reason"),
        pairs: list("pairs"),
        seen: list("seen"),
        who: one("who"),
        later: list("later"),
        next: list("next"),
        before: list("before"),
        after: list("after"),
        first: list("first"),
        not_first: list("not_first"),
        close: one("close"),
        asks: list("asks"),
        always: table.strings("always"),
        pronouns: one("pronouns"),
        alike: table.strings("alike"),
        stirred_into: table.strings("stirred_into"),
        besides: table.strings("besides"),
        being: table.strings("being"),
        to_be: table.strings("to_be"),
        circumstance: table.strings("circumstance"),
        whole: table.strings("whole"),
        portions: table.strings("portions"),
        timed: table.strings("timed"),
        looks: table.strings("looks"),
        small: one("small"),
    }
}

fn read_sayings(
    top: &Reader<'_, '_>,
    key: &'static str,
    ids: &BTreeMap<String, ConceptId>,
) -> Vec<Sayings> {
    let Some(table) = top.table(key) else { return Vec::new() };
    let read = |(name, texts): (Text<'_>, Vec<Text<'_>>)| {
        let patterns = texts.iter().filter_map(|text| read_pattern(text, ids, top.problems()));
        Sayings { place: name.place(), patterns: patterns.collect(), id: name.text }
    };
    table.lists().into_iter().map(read).collect()
}

/// A concept by its name; an unknown one is noted.
fn concept(
    name: &str,
    place: Place,
    ids: &BTreeMap<String, ConceptId>,
    problems: &Problems,
) -> Option<ConceptId> {
    let found = ids.get(name).copied();
    if found.is_none() {
        let message = format!("no verb or thing is called `{name}`");
        let problem = Problem::error(Code::UnknownName, Some(place), message);
        problems.push(problem.did_you_mean(name, ids.keys().map(String::as_str)));
    }
    found
}

/// Reads one pattern; unknown concepts are noted.
fn read_pattern(
    text: &Text<'_>,
    ids: &BTreeMap<String, ConceptId>,
    problems: &Problems,
) -> Option<Pattern> {
    let denied = text.text.starts_with('!');
    let yields = text.text.starts_with('?');
    let (all, understood, none) = (Vec::new(), Vec::new(), Vec::new());
    let mut pattern = Pattern { all, understood, none, denied, yields };
    for word in text.text.trim_start_matches(['!', '?']).split_whitespace() {
        let barred = word.starts_with('-');
        let mut group = Vec::new();
        for name in word.trim_start_matches(['-', '~']).split('/') {
            let at = text.text.find(word).unwrap_or(0);
            let place = text.place_of(Span::new(at, at + word.len()));
            group.push(concept(name, place, ids, problems)?);
        }
        if barred {
            pattern.none.append(&mut group);
        } else if word.starts_with('~') {
            pattern.understood.push(group);
        } else {
            pattern.all.push(group);
        }
    }
    if pattern.all.is_empty() {
        let message = format!("`{}` names nothing that is done", text.text);
        problems.push(Problem::error(Code::Value, Some(text.place()), message));
        return None;
    }
    Some(pattern)
}
