//! A fact's own words, as its `[fact.words]` table gives them.

use crate::knowledge::document::{Reader, Text};
use crate::knowledge::vocabulary::Kind;
use crate::problem::{Code, Problem, Span};
use serde::{Deserialize, Serialize};

/// A phrase or pattern, and where it stands in its file.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Phrase {
    /// What it says.
    pub text: String,
    /// Where it stands.
    pub at: Span,
}

impl From<Text<'_>> for Phrase {
    fn from(text: Text<'_>) -> Self {
        Self { at: text.span, text: text.text }
    }
}

/// The words by which messages name one fact. See the room's table of keys.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Words {
    /// Names of a number.
    pub label: Vec<Phrase>,
    /// Names that hold only right beside a fitting number.
    pub weak: Vec<Phrase>,
    /// Names in a sentence about the past.
    pub past: Vec<Phrase>,
    /// Names in a sentence about what is to come.
    pub ahead: Vec<Phrase>,
    /// Names that hold only of the things in `subject`.
    pub about: Vec<Phrase>,
    /// Things that `about` holds of.
    pub subject: Vec<Phrase>,
    /// Words of a finished task.
    pub done: Vec<Phrase>,
    /// Patterns with the value they state.
    pub says: Vec<(Phrase, String)>,
    /// The value when a pattern of `is` is denied.
    pub denied: Option<Phrase>,
    /// The state whose duration the fact is.
    pub during: Option<Phrase>,
    /// States that keep a mere mention from stating the fact.
    pub barred: Vec<Phrase>,
    /// Things a mere mention of the fact is said of.
    pub of: Vec<Phrase>,
    /// A number of its dimension without a label is this fact.
    pub default: bool,
    /// A thing found by a pair of this fact states nothing else.
    pub uses_up: bool,
    /// Also stated by what is to come.
    pub forecast: bool,
    /// Hours from one time of the day to another, of its subjects, are this fact.
    pub by_the_clock: bool,
    /// The fact that the greatest of several values told belongs to.
    pub greater: Option<Phrase>,
    /// What a number was when the state of a duration began.
    pub start: bool,
}

/// Reads the `[fact.words]` table of a fact.
pub(in super::super) fn read_words(table: &Reader<'_, '_>, kind: Option<&Kind>) -> Words {
    let inner = table;
    let list = |key| inner.texts(key).into_iter().map(Phrase::from).collect::<Vec<_>>();
    let mut words = Words {
        barred: list("barred"),
        of: list("of"),
        default: inner.flag("default").unwrap_or(false),
        uses_up: inner.flag("uses_up").unwrap_or(false),
        forecast: inner.flag("forecast").unwrap_or(false),
        by_the_clock: inner.flag("by_the_clock").unwrap_or(false),
        start: inner.flag("start").unwrap_or(false),
        ..Words::default()
    };
    match kind {
        Some(Kind::Number { .. }) => {
            words.label = list("label");
            words.weak = list("weak");
            words.past = list("past");
            words.ahead = list("ahead");
            words.about = list("about");
            words.subject = list("subject");
            words.done = list("done");
            words.says = inner.table("is").map_or_else(Vec::new, |is| read_is(&is, None));
            words.greater = inner.opt_text("greater").map(Phrase::from);
            words.during = inner.opt_text("during").map(Phrase::from);
        }
        Some(Kind::YesNo { .. }) => {
            for (key, value) in [("yes", "yes"), ("no", "no")] {
                words.says.extend(list(key).into_iter().map(|p| (p, value.to_owned())));
            }
        }
        Some(Kind::OneOf(values) | Kind::SeveralOf(values)) => {
            words.denied = inner.opt_text("denied").map(Phrase::from);
            words.says = inner.table("is").map_or_else(Vec::new, |is| read_is(&is, Some(values)));
        }
        None => {}
    }
    inner.finish();
    words
}

/// Reads `value = ["pattern", …]` for each value of a fact; a number may be any value.
fn read_is(table: &Reader<'_, '_>, values: Option<&[String]>) -> Vec<(Phrase, String)> {
    let mut says = Vec::new();
    for (value, patterns) in table.entries() {
        let values = values.filter(|values| !values.contains(&value.text));
        if let Some(values) = values {
            let problem = Problem::error(
                Code::UnknownName,
                Some(value.place()),
                format!("`{}` is not a value of this fact", value.text),
            );
            table.problem(problem.did_you_mean(&value.text, values.iter().map(String::as_str)));
            continue;
        }
        let parts = patterns.text.split(", ").filter(|p| !p.trim().is_empty());
        says.extend(
            parts.map(|p| (Phrase { text: p.to_owned(), at: patterns.span }, value.text.clone())),
        );
    }
    says
}
