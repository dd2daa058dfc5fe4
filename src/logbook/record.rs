//! What is kept: pools with their profiles, visits with everything that belongs to them, dates put off.

use crate::clock::Moment;
use serde::{Deserialize, Serialize};

/// A value as it is kept: a number in the fact's canonical unit, or words.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Held {
    /// A number in the fact's canonical unit.
    Number(f64),
    /// `yes`, `no`, a choice, several choices joined by `, `, or free text.
    Word(String),
}

impl Held {
    /// The number, if it is one.
    #[must_use]
    pub const fn number(&self) -> Option<f64> {
        match self {
            Self::Number(n) => Some(*n),
            Self::Word(_) => None,
        }
    }
}

/// A pool looked after.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PoolRecord {
    /// Its lasting id, made of its first name.
    pub id: String,
    /// What it is called now.
    pub name: String,
    /// When it was taken on.
    pub added: Moment,
    /// When it was given up.
    pub retired: Option<Moment>,
}

/// A pool to be taken on.
#[derive(Debug, Clone, PartialEq)]
pub struct NewPool {
    /// What it is called.
    pub name: String,
    /// When it is taken on.
    pub added: Moment,
    /// What is known of it.
    pub profile: Vec<ProfileEntry>,
}

/// One thing known of a pool, from a moment on: what was true before stays true for the time before.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ProfileEntry {
    /// A fact's name, or `place.latitude`, `place.longitude`, `note.breakers` and the like.
    pub name: String,
    /// Its value; `None` when it no longer holds.
    pub value: Option<Held>,
    /// The words that said it.
    pub given: String,
    /// From when on it holds.
    pub since: Moment,
    /// Who said so.
    pub who: String,
    /// Why it changed.
    pub why: String,
}

/// One reading or symptom of a visit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// The fact's name.
    pub fact: String,
    /// Its value.
    pub value: Held,
    /// The words that said it.
    pub given: String,
    /// How it was measured, such as `strip` or `drop test`; empty if nobody said.
    pub method: String,
}

/// Something put into the water.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Added {
    /// The product.
    pub product: String,
    /// Its strength, per cent.
    pub percent: Option<f64>,
    /// How much, in `unit`.
    pub amount: f64,
    /// `L` of a liquid, `kg` of a powder.
    pub unit: String,
    /// The words that said it.
    pub given: String,
}

/// Which part of a visit was corrected.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Part {
    /// A reading or symptom.
    #[default]
    Reading,
    /// Something put into the water.
    Addition,
    /// A task.
    Task,
}

impl Part {
    /// Its name in tables and exports.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Reading => "reading",
            Self::Addition => "addition",
            Self::Task => "task",
        }
    }

    /// The part of a name; a reading if it is none.
    #[must_use]
    pub fn named(name: &str) -> Self {
        [Self::Addition, Self::Task]
            .into_iter()
            .find(|part| part.name() == name)
            .unwrap_or_default()
    }
}

/// What a correction replaced.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Correction {
    /// Which part it was.
    #[serde(default)]
    pub part: Part,
    /// The fact, product or task that was corrected.
    pub fact: String,
    /// The value before: an amount of an addition, `done` of a task; `None` if there was none.
    pub old: Option<Held>,
    /// The unit of an addition's amount before.
    #[serde(default)]
    pub unit: String,
    /// The strength of an addition before, per cent.
    #[serde(default)]
    pub percent: Option<f64>,
    /// The words that had said it.
    pub given: String,
    /// When it was corrected.
    pub at: Moment,
    /// By whom.
    pub who: String,
    /// Why.
    pub why: String,
}

/// Who puts something right, when and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Account {
    /// When.
    pub at: Moment,
    /// By whom.
    pub who: String,
    /// Why.
    pub why: String,
}

/// What a visit should have said.
#[derive(Debug, Clone, PartialEq)]
pub enum Amendment {
    /// A reading of this fact; `None` takes it out.
    Reading {
        /// The fact.
        fact: String,
        /// What it should say.
        new: Option<Reading>,
    },
    /// Something put in.
    Addition {
        /// The product.
        product: String,
        /// Which one of the visit's additions is meant; `None` if it was left out.
        place: Option<usize>,
        /// What it should say; `None` takes it out.
        new: Option<Added>,
    },
    /// A task.
    Task {
        /// Its id.
        task: String,
        /// Whether it was done.
        done: bool,
    },
}

/// A visit to be kept.
#[derive(Debug, Clone, PartialEq)]
pub struct NewVisit {
    /// When.
    pub at: Moment,
    /// Who was there.
    pub who: String,
    /// Anything else.
    pub note: String,
    /// Readings and symptoms.
    pub readings: Vec<Reading>,
    /// What was put in.
    pub additions: Vec<Added>,
    /// Tasks done, by their ids.
    pub tasks: Vec<String>,
    /// Photos, by their file names.
    pub photos: Vec<String>,
}

impl NewVisit {
    /// A visit of which nothing is told yet.
    #[must_use]
    pub fn new(at: Moment, who: impl Into<String>) -> Self {
        Self {
            at,
            who: who.into(),
            note: String::new(),
            readings: Vec::new(),
            additions: Vec::new(),
            tasks: Vec::new(),
            photos: Vec::new(),
        }
    }

    /// Whether there is nothing to keep.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.note.is_empty()
            && self.readings.is_empty()
            && self.additions.is_empty()
            && self.tasks.is_empty()
            && self.photos.is_empty()
    }
}

/// A visit as it is kept.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Visit {
    /// Its lasting id: the pool's id and the local date and time.
    pub id: String,
    /// The pool's id.
    pub pool: String,
    /// When.
    pub at: Moment,
    /// Who was there.
    pub who: String,
    /// Anything else.
    pub note: String,
    /// Readings and symptoms, by name.
    pub readings: Vec<Reading>,
    /// What was put in, in order.
    pub additions: Vec<Added>,
    /// Tasks done.
    pub tasks: Vec<String>,
    /// Photos.
    pub photos: Vec<String>,
    /// What was corrected afterwards, oldest first.
    pub corrections: Vec<Correction>,
}

/// The latest value of a fact.
#[derive(Debug, Clone, PartialEq)]
pub struct Latest {
    /// The fact's name.
    pub fact: String,
    /// Its value.
    pub value: Held,
    /// When it was read.
    pub at: Moment,
}

/// A task that was put off for one pool.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Postponement {
    /// The pool's id.
    pub pool: String,
    /// The task's id.
    pub task: String,
    /// Not before this.
    pub until: Moment,
    /// Who put it off.
    pub who: String,
    /// Why.
    pub why: String,
}

/// Days on which nothing is planned, for one pool or all.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Blackout {
    /// The pool's id; `None` for all.
    pub pool: Option<String>,
    /// The first moment.
    pub from: Moment,
    /// The end.
    pub to: Moment,
    /// Why.
    pub why: String,
}

/// One go at a drill.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Practice {
    /// Who practised.
    pub who: String,
    /// The skill.
    pub skill: String,
    /// The template.
    pub scenario: String,
    /// The seed that drew the case.
    pub seed: u32,
    /// When.
    pub at: Moment,
    /// How it went: again, hard, good or easy.
    pub grade: String,
    /// Points, as a share of all.
    pub share: f64,
}

/// One line of an export: everything that is kept, in the order in which it can be taken in again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "record", rename_all = "lowercase")]
pub enum Record {
    /// A pool.
    Pool(PoolRecord),
    /// A part of its profile.
    Profile {
        /// The pool's id.
        pool: String,
        /// What is known.
        #[serde(flatten)]
        entry: ProfileEntry,
    },
    /// A visit.
    Visit(Visit),
    /// A task put off.
    Postponed(Postponement),
    /// Days off.
    Blackout(Blackout),
    /// A go at a drill.
    Practice(Practice),
}

/// What an import did.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Imported {
    /// Pools that are new.
    pub pools: usize,
    /// Visits that are new.
    pub visits: usize,
    /// Other records that are new.
    pub others: usize,
    /// Records that were there already.
    pub known: usize,
}

/// A stretch of time, its ends included.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Stretch {
    /// Not before this.
    pub from: Option<Moment>,
    /// Not after this.
    pub to: Option<Moment>,
}
