//! Words and phrases: how messages name facts, states, times and wishes.
//!
//! A fact's own words stand in its `[fact.words]` table:
//!
//! | key | holds |
//! |---|---|
//! | `label` | phrases that name a number: "free chlorine", "fc" |
//! | `weak` | phrases that name it only right beside a fitting number: "water" for a temperature |
//! | `past`, `ahead` | labels that hold only when the sentence tells of the past, or of what is to come |
//! | `about` + `subject` | labels that hold only of certain things: "set to" of `["heater"]` |
//! | `default` | true: a number of this dimension without a label is this fact |
//! | `during` | `"pump.running is no"`: a duration told with that state is this fact |
//! | `done` | words of a finished task: "vacuumed" |
//! | `yes`, `no`, `[fact.words.is]` | patterns that state a value |
//! | `denied` | the value when a pattern of `is` is denied: "none" |
//! | `of` | things a mere mention is said of: "no ice in the pump" is nothing of the pool |
//! | `barred` | states that keep a mere mention from stating the fact: `["added"]` |
//! | `by_the_clock` | true: hours from one time of the day to another, told of the things in `subject`, are this fact |
//! | `uses_up` | true: a thing found by a pair of this fact states nothing else |
//! | `forecast` | true: also stated by what is to come |
//! | `greater` | the fact that the greatest of several values told in one message belongs to |
//! | `start` | true: what a number was when the state of a duration began |
//!
//! A pattern is a phrase ("variable speed"), a phrase that counts only between commas (`[salt]`), a thing or a state of the lexicon (`{spa}`), or a thing with a
//! state or phrase said of it (`{pump} {off}`, `{pump} keeps cycling`), in whichever order they stand.

mod ask;
mod compile;
mod role;
mod split;
mod tree;
mod words;

pub use ask::{AskKind, AskWords, Keeps};
pub use role::Role;
pub(super) use split::is_nearly;
pub use split::{plain_words, split_phrase};
pub use words::{Phrase, Words};

pub(super) use compile::compile;
pub(super) use words::read_words;

use crate::facts::{FactId, Value};
use crate::units::UnitId;
use serde::{Deserialize, Serialize};

/// A thing or a state of the lexicon.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct TermId(pub u16);

/// How a word that tells a state stands to the thing it is said of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Manner {
    /// Before or after it.
    Plain,
    /// Only after it: "pump off".
    Particle,
    /// Before or after it; takes it as an object: "lost power".
    Verb,
    /// Only before it: "no power", "without power".
    Before,
    /// A noun; the thing is where it is: "ice in the skimmer".
    Noun,
}

/// What a phrase can mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Sense {
    /// A thing.
    Thing(TermId),
    /// A state of a thing.
    State(TermId, Manner),
    /// A word that states something only as an item of a list, or alone: "plaster, DE, salt".
    Item(TermId),
    /// A part in the sentence.
    Role(Role),
    /// The name of a number, by its place among the labels.
    Label(u16),
    /// A finished task.
    Done(u16),
    /// A unit.
    Unit(UnitId),
    /// A number word, by its place among the numbers.
    Number(u16),
    /// A word that sounds like a number ("to point five"), by the number's place among the numbers.
    Heard(u16),
    /// A question or request, by its place among the asks.
    Ask(u16),
}

/// When a label holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum LabelKind {
    /// Always.
    Strong,
    /// Only right beside a fitting number.
    Weak,
    /// In a sentence about the past.
    Past,
    /// In a sentence about what is to come.
    Ahead,
    /// Only of certain things.
    About,
}

/// A name of a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Label {
    /// What it names.
    pub fact: FactId,
    /// When it holds.
    pub kind: LabelKind,
}

/// What a pattern states.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Effect {
    /// The fact.
    pub fact: FactId,
    /// Its value.
    pub value: Value,
    /// Its value when the pattern is denied.
    pub denied: Option<Value>,
}

/// What holds of a fact's words beyond the phrases themselves.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Traits {
    /// Things its `about` labels hold of.
    pub subjects: Vec<TermId>,
    /// A number of its dimension without a label is this fact.
    pub default: bool,
    /// The state whose duration it is.
    pub during: Option<(FactId, Value)>,
    /// States that keep a mere mention from stating it.
    pub barred: Vec<TermId>,
    /// Things a mere mention is said of: a place named after it must be one of them.
    pub of: Vec<TermId>,
    /// A thing found by a pair of this fact states nothing else.
    pub uses_up: bool,
    /// Also stated by what is to come.
    pub forecast: bool,
    /// Hours from one time of the day to another, told of its subjects, are this fact.
    pub by_the_clock: bool,
    /// The fact that the greatest of several values told in one message belongs to.
    pub greater: Option<FactId>,
    /// What a number was when the state of a duration began.
    pub start: bool,
}

#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
struct Node {
    edges: (u32, u32),
    senses: (u32, u32),
}

/// Every word and phrase, compiled for reading.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Lexicon {
    /// All words, sorted.
    words: Vec<String>,
    /// Other spellings of words, sorted.
    same: Vec<(String, u32)>,
    /// Short forms in names with what they stand for, sorted: "rd", "road".
    short: Vec<(String, String)>,
    /// For each word: whether a misspelling may be read as it, and its letters as bits.
    shapes: Vec<(bool, u32)>,
    nodes: Vec<Node>,
    edges: Vec<(u32, u32)>,
    senses: Vec<Sense>,
    terms: Vec<String>,
    labels: Vec<Label>,
    numbers: Vec<f64>,
    asks: Vec<AskWords>,
    done: Vec<FactId>,
    mentions: Vec<(TermId, Effect)>,
    pairs: Vec<(TermId, TermId, Effect)>,
    traits: Vec<Traits>,
}

/// A place in the tree of phrases; begins at [`Lexicon::root`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Step(u32);

impl Lexicon {
    /// The place of a word, if it is known under this or another spelling.
    #[must_use]
    pub fn word(&self, word: &str) -> Option<u32> {
        match self.words.binary_search_by(|known| known.as_str().cmp(word)) {
            Ok(at) => u32::try_from(at).ok(),
            Err(_) => {
                let at = self.same.binary_search_by(|(other, _)| other.as_str().cmp(word)).ok()?;
                self.same.get(at).map(|(_, word)| *word)
            }
        }
    }

    /// What a short form in a name may stand for.
    pub fn shortened<'a>(&'a self, short: &'a str) -> impl Iterator<Item = &'a str> {
        let from = self.short.partition_point(|(known, _)| known.as_str() < short);
        let rest = self.short.get(from..).unwrap_or(&[]);
        rest.iter().take_while(move |(known, _)| known == short).map(|(_, long)| long.as_str())
    }

    /// The word at a place.
    #[must_use]
    pub fn spelling(&self, word: u32) -> &str {
        usize::try_from(word).ok().and_then(|n| self.words.get(n)).map_or("", String::as_str)
    }

    /// Whether a word is an ordinary one, that says nothing here.
    #[must_use]
    pub fn is_ordinary(&self, word: u32) -> bool {
        let shape = usize::try_from(word).ok().and_then(|n| self.shapes.get(n));
        shape.is_some_and(|(target, _)| !target)
    }

    /// Known words that begin with a letter: place, word, whether a misspelling may be read as it,
    /// and which letters it has (bit 0 for `a`).
    pub fn beginning_with(&self, first: char) -> impl Iterator<Item = (u32, &str, bool, u32)> {
        let low = self.words.partition_point(|word| word.chars().next() < Some(first));
        let high = self.words.partition_point(|word| word.chars().next() <= Some(first));
        let words = self.words.get(low..high).unwrap_or(&[]);
        let shapes = self.shapes.get(low..high).unwrap_or(&[]);
        words.iter().zip(shapes).enumerate().filter_map(move |(n, (word, shape))| {
            Some((u32::try_from(low + n).ok()?, word.as_str(), shape.0, shape.1))
        })
    }

    /// Where phrases begin.
    #[must_use]
    pub const fn root(&self) -> Step {
        Step(0)
    }

    /// One word further into the phrases.
    #[must_use]
    pub fn step(&self, from: Step, word: u32) -> Option<Step> {
        let (start, end) = self.node(from)?.edges;
        let edges = self.edges.get(usize::try_from(start).ok()?..usize::try_from(end).ok()?)?;
        let at = edges.binary_search_by_key(&word, |edge| edge.0).ok()?;
        edges.get(at).map(|edge| Step(edge.1))
    }

    /// What the phrase that ends here means; empty if none ends here.
    #[must_use]
    pub fn senses(&self, at: Step) -> &[Sense] {
        self.node(at)
            .and_then(|node| {
                let (start, end) = node.senses;
                self.senses.get(usize::try_from(start).ok()?..usize::try_from(end).ok()?)
            })
            .unwrap_or(&[])
    }

    fn node(&self, at: Step) -> Option<&Node> {
        usize::try_from(at.0).ok().and_then(|n| self.nodes.get(n))
    }

    /// The name of a thing or state.
    #[must_use]
    pub fn term(&self, id: TermId) -> &str {
        self.terms.get(usize::from(id.0)).map_or("", String::as_str)
    }

    /// A label by its place.
    #[must_use]
    pub fn label(&self, at: u16) -> Option<Label> {
        self.labels.get(usize::from(at)).copied()
    }

    /// A number word's value by its place.
    #[must_use]
    pub fn number(&self, at: u16) -> Option<f64> {
        self.numbers.get(usize::from(at)).copied()
    }

    /// The words of an ask by their place.
    #[must_use]
    pub fn ask(&self, at: u16) -> Option<&AskWords> {
        self.asks.get(usize::from(at))
    }

    /// The fact of a finished task, by its place.
    #[must_use]
    pub fn done(&self, at: u16) -> Option<FactId> {
        self.done.get(usize::from(at)).copied()
    }

    /// What the mere mention of a thing or state says.
    #[must_use]
    pub fn mentions(&self, term: TermId) -> &[(TermId, Effect)] {
        let low = self.mentions.partition_point(|entry| entry.0 < term);
        let high = self.mentions.partition_point(|entry| entry.0 <= term);
        self.mentions.get(low..high).unwrap_or(&[])
    }

    /// What a state said of a thing says.
    #[must_use]
    pub fn pairs(&self, thing: TermId, state: TermId) -> &[(TermId, TermId, Effect)] {
        let low = self.pairs.partition_point(|entry| (entry.0, entry.1) < (thing, state));
        let high = self.pairs.partition_point(|entry| (entry.0, entry.1) <= (thing, state));
        self.pairs.get(low..high).unwrap_or(&[])
    }

    /// Whether any fact is told of a thing.
    #[must_use]
    pub fn is_told_of(&self, thing: TermId) -> bool {
        let first = self.pairs.partition_point(|entry| entry.0 < thing);
        self.pairs.get(first).is_some_and(|entry| entry.0 == thing)
            || !self.mentions(thing).is_empty()
    }

    /// Whether a state can be said of any thing.
    #[must_use]
    pub fn is_told_of_things(&self, state: TermId) -> bool {
        self.pairs.iter().any(|(_, other, _)| *other == state)
    }

    /// The one thing of which a state can be said, if there is but one.
    #[must_use]
    pub fn only_thing(&self, state: TermId) -> Option<TermId> {
        let mut things = self.pairs.iter().filter(|(_, other, _)| *other == state).map(|p| p.0);
        let first = things.next()?;
        things.all(|thing| thing == first).then_some(first)
    }

    /// What holds of a fact's words.
    #[must_use]
    pub fn traits(&self, fact: FactId) -> Option<&Traits> {
        self.traits.get(fact.index())
    }

    /// How many words are known.
    #[must_use]
    pub fn len(&self) -> usize {
        self.words.len()
    }

    /// Whether no word is known.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.words.is_empty()
    }
}
