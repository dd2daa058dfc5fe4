//! The vocabulary: every fact with its kind, unit, ranges, freshness and wording.

use super::document::{Problems, Reader, Text};
use super::lexicon::{Words, read_words};
use crate::facts::{ChoiceSet, FactId, Value, is_fact_name};
use crate::problem::{Code, Place, Problem, nearest};
use crate::units::{
    System, UnitId, convert, find_unit, parse_quantity, parse_span, show, split_number, unit,
};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What values a fact takes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Kind {
    /// A number in a canonical unit.
    Number {
        /// The canonical unit.
        unit: UnitId,
        /// Shown with so many decimals.
        decimals: u8,
    },
    /// Yes or no.
    YesNo {
        /// How an answer says yes.
        yes: String,
        /// How an answer says no.
        no: String,
    },
    /// One of some values.
    OneOf(Vec<String>),
    /// Several of some values.
    SeveralOf(Vec<String>),
}

/// Who brings a fact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Bringer {
    /// People say it, or a log or a profile holds it.
    People,
    /// Rules conclude it.
    Rules,
    /// A calculator computes it.
    Calculators,
}

/// Phrases by which messages name the same number or state the same value: `conditioner`, `stabilizer` and `cya`.
#[derive(Debug, Default)]
pub struct Thesaurus<'v> {
    groups: Vec<Vec<&'v str>>,
    held: BTreeMap<&'v str, Vec<usize>>,
}

impl<'v> Thesaurus<'v> {
    fn add(&mut self, phrases: Vec<&'v str>) {
        for phrase in &phrases {
            self.held.entry(phrase).or_default().push(self.groups.len());
        }
        self.groups.push(phrases);
    }

    /// The other phrases that say what this one says.
    #[must_use]
    pub fn of(&self, phrase: &str) -> Vec<String> {
        let numbers = self.held.get(phrase).into_iter().flatten();
        let said = numbers.filter_map(|number| self.groups.get(*number)).flatten();
        said.filter(|other| **other != phrase).map(|other| (*other).to_owned()).collect()
    }
}

/// One fact of the vocabulary.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FactDef {
    /// `subject.attribute`.
    pub name: String,
    /// What an answer calls it.
    pub title: String,
    /// What values it takes.
    pub kind: Kind,
    /// Outside these, in the canonical unit, a value is doubted and not used.
    pub possible: Option<(f64, f64)>,
    /// Outside these, in the canonical unit, a value is unusual.
    pub plausible: Option<(f64, f64)>,
    /// How many hours a reading stays good; `None` for always.
    pub fresh_h: Option<f64>,
    /// How to ask for it; empty for facts that nobody is asked for.
    pub ask: String,
    /// Why it is asked for.
    pub why: String,
    /// Who brings it.
    pub bringer: Bringer,
    /// The words by which messages name it.
    pub words: Words,
    /// Where it is declared.
    pub place: Place,
}

impl FactDef {
    /// The fact's values, if it is one or several of some.
    #[must_use]
    pub fn values(&self) -> &[String] {
        match &self.kind {
            Kind::OneOf(values) | Kind::SeveralOf(values) => values,
            _ => &[],
        }
    }

    /// The canonical unit of a number.
    #[must_use]
    pub const fn unit(&self) -> Option<UnitId> {
        match self.kind {
            Kind::Number { unit, .. } => Some(unit),
            _ => None,
        }
    }

    /// The place of a value among the fact's values.
    #[must_use]
    pub fn choice(&self, word: &str) -> Option<usize> {
        self.values().iter().position(|value| value == word)
    }

    /// A value as an answer says it: `19 °F`, `plaster`, `pump stopped`.
    #[must_use]
    pub fn show(&self, value: Value, system: System) -> String {
        match (&self.kind, value) {
            (Kind::Number { unit, decimals }, Value::Number(n)) => {
                show(n, *unit, *decimals, system)
            }
            (Kind::YesNo { yes, no }, Value::Flag(flag)) => if flag { yes } else { no }.clone(),
            (_, value) => {
                let set = value.choices().unwrap_or_default();
                let words: Vec<&str> =
                    set.iter().filter_map(|n| self.values().get(n)).map(String::as_str).collect();
                words.join(", ").replace('-', " ")
            }
        }
    }

    /// Reads a value as an option or an example gives it: `44 F`, `yes`, `plaster`, `pump, heater`.
    ///
    /// # Errors
    /// Says what the fact would take instead.
    pub fn parse(&self, text: &str) -> Result<Value, String> {
        let text = text.trim();
        match &self.kind {
            Kind::Number { unit: canonical, .. } => {
                let bare = split_number(text).filter(|(_, rest)| rest.is_empty());
                let value = match bare {
                    Some((value, _)) => value,
                    None => {
                        let (value, from) = parse_quantity(text)?;
                        convert(value, from, *canonical).ok_or_else(|| {
                            format!("`{}` does not measure {}", unit(from).name, self.title)
                        })?
                    }
                };
                Ok(Value::Number(value))
            }
            Kind::YesNo { .. } => match text.to_lowercase().as_str() {
                "yes" | "true" | "on" => Ok(Value::Flag(true)),
                "no" | "false" | "off" => Ok(Value::Flag(false)),
                _ => Err(format!("`{text}` is neither yes nor no")),
            },
            Kind::OneOf(values) => {
                let at = self.choice(text).and_then(|n| u8::try_from(n).ok());
                at.map(Value::Choice).ok_or_else(|| not_one_of(text, values))
            }
            Kind::SeveralOf(values) => {
                let mut set = ChoiceSet::default();
                for word in text.split(',').map(str::trim).filter(|w| !w.is_empty()) {
                    set = set.with(self.choice(word).ok_or_else(|| not_one_of(word, values))?);
                }
                Ok(Value::Choices(set))
            }
        }
    }
}

fn not_one_of(text: &str, values: &[String]) -> String {
    let listed = values.join(", ");
    match nearest(text, values.iter().map(String::as_str)) {
        Some(near) => format!("`{text}` is not one of {listed}; did you mean `{near}`?"),
        None => format!("`{text}` is not one of {listed}"),
    }
}

/// All facts, interned.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Vocabulary {
    facts: Vec<FactDef>,
    by_name: Vec<u16>,
}

impl Vocabulary {
    /// The facts in order of their ids.
    pub fn iter(&self) -> impl Iterator<Item = (FactId, &FactDef)> {
        self.facts
            .iter()
            .enumerate()
            .filter_map(|(n, def)| Some((FactId(u16::try_from(n).ok()?), def)))
    }

    /// How many facts there are.
    #[must_use]
    pub fn len(&self) -> usize {
        self.facts.len()
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.facts.is_empty()
    }

    /// A fact by its id.
    #[must_use]
    pub fn get(&self, id: FactId) -> Option<&FactDef> {
        self.facts.get(id.index())
    }

    /// A fact's name by its id.
    #[must_use]
    pub fn name(&self, id: FactId) -> &str {
        self.get(id).map_or("", |def| def.name.as_str())
    }

    /// A fact's id by its name.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<FactId> {
        let at = self.by_name.binary_search_by(|n| self.name(FactId(*n)).cmp(name)).ok()?;
        self.by_name.get(at).copied().map(FactId)
    }

    /// A fact by its name.
    #[must_use]
    pub fn def(&self, name: &str) -> Option<&FactDef> {
        self.find(name).and_then(|id| self.get(id))
    }

    /// The phrases of the vocabulary by what they say.
    #[must_use]
    pub fn thesaurus(&self) -> Thesaurus<'_> {
        let mut thesaurus = Thesaurus::default();
        for (_, def) in self.iter() {
            let words = &def.words;
            thesaurus.add(words.label.iter().map(|phrase| phrase.text.as_str()).collect());
            let mut values: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
            for (phrase, value) in words.says.iter().filter(|(p, _)| !p.text.contains('{')) {
                values.entry(value).or_default().push(&phrase.text);
            }
            values.into_values().for_each(|phrases| thesaurus.add(phrases));
        }
        thesaurus
    }

    /// The names of all facts.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.facts.iter().map(|def| def.name.as_str())
    }

    /// Adds facts; those that carry a known name are reported and left out.
    pub(super) fn add(&mut self, facts: Vec<FactDef>, problems: &Problems) {
        for def in facts {
            match self.facts.iter().find(|other| other.name == def.name) {
                Some(other) => problems.push(
                    Problem::error(
                        Code::Duplicate,
                        Some(def.place),
                        format!("`{}` is declared twice", def.name),
                    )
                    .help(format!("the other one stands at {}", other.place)),
                ),
                None => self.facts.push(def),
            }
        }
        let mut order: Vec<u16> =
            (0..self.facts.len()).filter_map(|n| u16::try_from(n).ok()).collect();
        order.sort_by(|a, b| self.name(FactId(*a)).cmp(self.name(FactId(*b))));
        self.by_name = order;
    }
}

/// Reads the facts of one file.
pub(super) fn read_facts(
    top: &Reader<'_, '_>,
    key: &'static str,
    bringer: Bringer,
) -> Vec<FactDef> {
    top.tables(key).iter().filter_map(|table| read_fact(table, bringer)).collect()
}

fn read_fact(table: &Reader<'_, '_>, bringer: Bringer) -> Option<FactDef> {
    let name = table.text("name")?;
    if !is_fact_name(&name.text) {
        let message = format!("`{}` is not a fact's name", name.text);
        let problem = Problem::error(Code::Value, Some(name.place()), message);
        table.problem(problem.help("write `subject.attribute` in lower case"));
    }
    let title = table.string("title");
    let kind = read_kind(table);
    let unit = match &kind {
        Some(Kind::Number { unit, .. }) => Some(*unit),
        _ => None,
    };
    let words = table.table("words").map(|t| read_words(&t, kind.as_ref())).unwrap_or_default();
    let def = FactDef {
        place: name.place(),
        possible: read_span(table, "possible", unit),
        plausible: read_span(table, "plausible", unit),
        fresh_h: read_fresh(table),
        ask: table.opt_string("ask").unwrap_or_default(),
        why: table.opt_string("why").unwrap_or_default(),
        name: name.text,
        title,
        kind: kind?,
        bringer,
        words,
    };
    table.finish();
    Some(def)
}

fn read_kind(table: &Reader<'_, '_>) -> Option<Kind> {
    let kind = table.text("kind")?;
    match kind.text.as_str() {
        "number" => {
            let written = table.opt_text("unit");
            let found =
                written.as_ref().map_or_else(|| find_unit(""), |text| find_unit(&text.text));
            if let (None, Some(text)) = (found, &written) {
                let message = format!("unknown unit `{}`", text.text);
                table.problem(Problem::error(Code::Units, Some(text.place()), message));
            }
            let decimals = table.number("decimals").unwrap_or(0.0);
            let decimals = (0..=9u8).find(|n| (f64::from(*n) - decimals).abs() < 0.5).unwrap_or(0);
            Some(Kind::Number { unit: found?, decimals })
        }
        "yes/no" => Some(Kind::YesNo { yes: table.string("yes"), no: table.string("no") }),
        "one of" => Some(Kind::OneOf(read_values(table))),
        "several of" => Some(Kind::SeveralOf(read_values(table))),
        other => {
            let problem = Problem::error(
                Code::Value,
                Some(kind.place()),
                format!("`{other}` is not a kind of fact"),
            );
            table.problem(problem.help("use number, yes/no, one of, or several of"));
            None
        }
    }
}

fn read_values(table: &Reader<'_, '_>) -> Vec<String> {
    let values = table.strings("values");
    if values.is_empty() || values.len() > 64 {
        let problem =
            Problem::error(Code::Value, Some(table.place()), "`values` should list 1 to 64 words");
        table.problem(problem);
    }
    values
}

fn read_span(
    table: &Reader<'_, '_>,
    key: &'static str,
    unit: Option<UnitId>,
) -> Option<(f64, f64)> {
    let text = table.opt_text(key)?;
    let read = unit
        .ok_or_else(|| "only a number has a range".to_owned())
        .and_then(|u| parse_span(&text.text, u));
    note(table, &text, read)
}

fn read_fresh(table: &Reader<'_, '_>) -> Option<f64> {
    let text = table.opt_text("fresh")?;
    if text.text == "always" {
        return None;
    }
    let hours = find_unit("h").ok_or_else(String::new);
    let read = hours.and_then(|hours| {
        let (value, from) = parse_quantity(&text.text)?;
        convert(value, from, hours).ok_or_else(|| format!("`{}` is not a duration", text.text))
    });
    note(table, &text, read)
}

fn note<T>(table: &Reader<'_, '_>, text: &Text<'_>, read: Result<T, String>) -> Option<T> {
    read.map_err(|why| table.problem(Problem::error(Code::Value, Some(text.place()), why))).ok()
}
