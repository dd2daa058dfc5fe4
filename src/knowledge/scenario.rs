//! Drill cases (`scenarios/*.toml`): templates from which cases are drawn, and the skills that they practise.

use super::action::IdRef;
use super::citation::Citation;
use super::condition::{Condition, read_condition};
use super::document::{Reader, Text};
use super::named::named;
use super::rule::{Urgency, read_sections, urgency_called};
use super::template::{Template, read_template};
use super::vocabulary::{FactDef, Kind, Vocabulary};
use crate::facts::{FactId, Value};
use crate::problem::{Code, Place, Problem};
use crate::units::{convert, parse_quantity, parse_span};
use serde::{Deserialize, Serialize};

/// How hard a case is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Level {
    /// One thing is wrong, and it is told.
    Basic,
    /// Several things, some to be asked for.
    Working,
    /// Little is told, or one thing hides another.
    Hard,
}

/// What kind of call it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Call {
    /// Something fails tonight, or somebody is hurt.
    Emergency,
    /// A visit on the round.
    Visit,
    /// How much of what.
    Dosing,
    /// Making a pool ready for winter.
    SetUp,
    /// Staying open or closing, running or draining.
    Decision,
}

impl Level {
    /// Its names, in order.
    pub const ALL: [(&'static str, Self); 3] =
        [("basic", Self::Basic), ("working", Self::Working), ("hard", Self::Hard)];

    /// Its name.
    #[must_use]
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(_, one)| *one == self).map_or("", |(name, _)| name)
    }
}

impl Call {
    /// Its names, in order.
    pub const ALL: [(&'static str, Self); 5] = [
        ("emergency", Self::Emergency),
        ("visit", Self::Visit),
        ("dosing", Self::Dosing),
        ("set-up", Self::SetUp),
        ("decision", Self::Decision),
    ];

    /// Its name.
    #[must_use]
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(_, one)| *one == self).map_or("", |(name, _)| name)
    }
}

/// When a fact of a case is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Told {
    /// At once.
    Always,
    /// In some draws.
    Sometimes,
    /// When it is asked for.
    Asked,
}

/// How the value of a fact is drawn.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Spread {
    /// One of these, by weight.
    Pick(Vec<(Value, f64)>),
    /// A number from one end to the other, in steps.
    Range {
        /// The lower end, in the canonical unit (a difference, if it is `above` another fact).
        low: f64,
        /// The upper end.
        high: f64,
        /// The step; 0 for none.
        step: f64,
        /// The fact whose value is added.
        above: Option<FactId>,
    },
}

/// A fact of a template.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DrawnFact {
    /// Which fact.
    pub fact: FactId,
    /// How it is drawn.
    pub spread: Spread,
    /// Only if this is true of what was drawn before.
    pub only: Option<Condition>,
    /// When it is told.
    pub told: Told,
    /// How it is told; one of these.
    pub say: Vec<Template>,
    /// Where it is written.
    pub place: Place,
}

/// What the trainee is asked for, beside what to do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub enum Want {
    /// What to do.
    Deeds,
    /// Amounts of products.
    Amounts {
        /// How far an amount may be off, as a share.
        tolerance: f64,
        /// Values to reach; empty for the ranges that apply.
        to: Vec<(FactId, f64)>,
    },
    /// Hours, as this figure has them.
    Hours(FactId),
}

/// A template of a drill.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Scenario {
    /// Its id.
    pub id: String,
    /// What it is about, in a line; not shown before it is answered.
    pub title: String,
    /// The skill that it practises.
    pub skill: IdRef,
    /// How hard it is.
    pub level: Level,
    /// What kind of call it is.
    pub call: Call,
    /// Wordings of what is told at once.
    pub tell: Vec<Template>,
    /// An action as urgent as this, or more, is needed.
    pub within: Urgency,
    /// What is asked for.
    pub want: Want,
    /// Its facts, in the order in which they are drawn.
    pub facts: Vec<DrawnFact>,
    /// Where it is written.
    pub place: Place,
}

/// A skill: a group of rules that is learnt together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Skill {
    /// Its id.
    pub id: String,
    /// What one can do who has it.
    pub title: String,
    /// The rule files that it is about.
    pub rules: Vec<IdRef>,
    /// Skills that come before it.
    pub needs: Vec<IdRef>,
    /// The notes in an order that builds.
    pub read: Vec<Citation>,
    /// Where it is written.
    pub place: Place,
}

/// Reads the `[[skill]]` tables.
pub(super) fn read_skills(top: &Reader<'_, '_>) -> Vec<Skill> {
    let read = |table: &Reader<'_, '_>| {
        let id = table.text("id")?;
        let skill = Skill {
            place: id.place(),
            id: id.text,
            title: table.string("title"),
            rules: IdRef::list(table.texts("rules")),
            needs: IdRef::list(table.texts("needs")),
            read: read_sections(table, "read"),
        };
        table.finish();
        Some(skill)
    };
    top.tables("skill").iter().filter_map(read).collect()
}

/// Reads the `[[scenario]]` tables.
pub(super) fn read_scenarios(top: &Reader<'_, '_>, words: &Vocabulary) -> Vec<Scenario> {
    top.tables("scenario").iter().filter_map(|table| read_scenario(table, words)).collect()
}

fn read_scenario(table: &Reader<'_, '_>, words: &Vocabulary) -> Option<Scenario> {
    let id = table.text("id")?;
    let skill = table.text("skill")?;
    let level = one_of(table, "level", &Level::ALL)?;
    let call = one_of(table, "call", &Call::ALL)?;
    let usual = if call == Call::Emergency { Urgency::Now } else { Urgency::Today };
    let within = table.opt_text("within").and_then(|text| urgency_called(table, &text));
    let tell = table.texts("tell");
    let scenario = Scenario {
        place: id.place(),
        id: id.text,
        title: table.string("title"),
        skill: IdRef { place: skill.place(), id: skill.text },
        level,
        call,
        tell: tell.iter().map(|text| read_template(text, words, table.problems())).collect(),
        within: within.unwrap_or(usual),
        want: read_want(table, words),
        facts: table.tables("fact").iter().filter_map(|one| read_fact(one, words)).collect(),
    };
    if scenario.tell.is_empty() {
        let message = format!("`{}` tells nothing", scenario.id);
        let problem = Problem::error(Code::Syntax, Some(scenario.place.clone()), message);
        table.problem(problem.help("add `tell = [\"…\"]`, one wording or more"));
    }
    table.finish();
    Some(scenario)
}

fn one_of<T: Copy>(
    table: &Reader<'_, '_>,
    key: &'static str,
    all: &[(&'static str, T)],
) -> Option<T> {
    let text = table.text(key)?;
    let found = all.iter().find(|(name, _)| *name == text.text).map(|(_, one)| *one);
    if found.is_none() {
        let listed: Vec<&str> = all.iter().map(|(name, _)| *name).collect();
        let message = format!("`{}` is no {key}", text.text);
        let problem = Problem::error(Code::UnknownName, Some(text.place()), message);
        table.problem(problem.help(format!("write one of {}", listed.join(", "))));
    }
    found
}

fn read_want(table: &Reader<'_, '_>, words: &Vocabulary) -> Want {
    if let Some(name) = table.opt_text("hours") {
        return named(table, &name, words).map_or(Want::Deeds, Want::Hours);
    }
    if !table.flag("amounts").unwrap_or(false) {
        return Want::Deeds;
    }
    let to = table.table("to").map_or_else(Vec::new, |to| {
        let pairs = to.entries();
        let read = |(name, value): &(Text<'_>, Text<'_>)| {
            let id = named(table, name, words)?;
            Some((id, parsed(table, words.get(id)?, value)?.number()?))
        };
        pairs.iter().filter_map(read).collect()
    });
    Want::Amounts { tolerance: table.number("tolerance").unwrap_or(0.15), to }
}

fn parsed(table: &Reader<'_, '_>, def: &FactDef, value: &Text<'_>) -> Option<Value> {
    let told = |why| table.problem(Problem::error(Code::Value, Some(value.place()), why));
    def.parse(&value.text).map_err(told).ok()
}

fn read_fact(table: &Reader<'_, '_>, words: &Vocabulary) -> Option<DrawnFact> {
    let name = table.text("name")?;
    let fact = named(table, &name, words);
    let only = table.opt_text("only");
    let say = table.texts("say");
    let told = match table.opt_text("told") {
        None => Told::Asked,
        Some(text) => match text.text.as_str() {
            "always" => Told::Always,
            "sometimes" => Told::Sometimes,
            "asked" => Told::Asked,
            other => {
                let message = format!("`{other}` does not say when it is told");
                let problem = Problem::error(Code::UnknownName, Some(text.place()), message);
                table.problem(problem.help("write always, sometimes or asked"));
                Told::Asked
            }
        },
    };
    let spread = fact.and_then(|id| read_spread(table, words.get(id)?, words));
    let drawn = DrawnFact {
        place: name.place(),
        fact: fact?,
        spread: spread?,
        only: only.and_then(|text| read_condition(&text, words, table.problems())),
        told,
        say: say.iter().map(|text| read_template(text, words, table.problems())).collect(),
    };
    table.finish();
    Some(drawn)
}

/// Ends of ranges that are nearer than this are one.
const EXACT: f64 = 1e-9;

fn read_spread(table: &Reader<'_, '_>, def: &FactDef, words: &Vocabulary) -> Option<Spread> {
    let is = table.texts("is");
    if !is.is_empty() {
        let values = is.iter().filter_map(|text| Some((parsed(table, def, text)?, 1.0)));
        let values: Vec<(Value, f64)> = values.collect();
        return (!values.is_empty()).then_some(Spread::Pick(values));
    }
    if let Some(pick) = table.table("pick") {
        return read_pick(table, &pick, def);
    }
    let Some(range) = table.opt_text("range") else {
        let message = format!("`{}` has no value", def.name);
        let problem = Problem::error(Code::Syntax, Some(table.place()), message);
        table.problem(problem.help("add `is`, `pick` or `range`"));
        return None;
    };
    let Kind::Number { unit, .. } = def.kind else {
        let message = format!("`{}` is no number", def.name);
        let problem = Problem::error(Code::Value, Some(range.place()), message);
        table.problem(problem.help("write `is` or `pick`"));
        return None;
    };
    let wrong = |text: &Text<'_>, why: String| {
        table.problem(Problem::error(Code::Value, Some(text.place()), why));
    };
    let difference = |text: &Text<'_>| {
        let (value, from) = parse_quantity(&text.text).map_err(|why| wrong(text, why)).ok()?;
        Some(convert(value, from, unit)? - convert(0.0, from, unit)?)
    };
    let above = table.opt_text("above").and_then(|name| named(table, &name, words));
    let (mut low, mut high) =
        parse_span(&range.text, unit).map_err(|why| wrong(&range, why)).ok()?;
    if above.is_some() {
        // "0..3 °F" above another temperature is a difference: take the zero of its scale off.
        let from = range.text.split_once("..").and_then(|(_, end)| parse_quantity(end).ok());
        let zero = from.and_then(|(_, from)| convert(0.0, from, unit)).unwrap_or(0.0);
        low -= zero;
        high -= zero;
    }
    let beyond = |(least, most): (f64, f64)| low < least - EXACT || high > most + EXACT;
    if above.is_none() && def.possible.is_some_and(beyond) {
        let message = format!("`{}` cannot be `{}`", def.name, range.text);
        let problem = Problem::error(Code::Value, Some(range.place()), message);
        table.problem(problem.help("keep the range within what the vocabulary calls possible"));
        return None;
    }
    let step_text = table.opt_text("step");
    let step = step_text.as_ref().and_then(difference).unwrap_or(0.0);
    if let Some(text) = step_text.filter(|_| step > high - low + EXACT) {
        let message = format!("the step `{}` is wider than `{}`", text.text, range.text);
        let problem = Problem::error(Code::Value, Some(text.place()), message);
        table.problem(problem.help("write a smaller step, or one value with `is`"));
        return None;
    }
    Some(Spread::Range { low, high, step, above })
}

fn read_pick(table: &Reader<'_, '_>, pick: &Reader<'_, '_>, def: &FactDef) -> Option<Spread> {
    let mut values = Vec::new();
    for (value, weight) in pick.entries() {
        let Some(parsed) = parsed(table, def, &value) else { continue };
        match weight.text.parse::<f64>().ok().filter(|n| *n > 0.0 && n.is_finite()) {
            Some(weight) => values.push((parsed, weight)),
            None => {
                let message = format!("`{}` is no weight", weight.text);
                let problem = Problem::error(Code::Value, Some(weight.place()), message);
                table.problem(problem.help("write a number above zero"));
            }
        }
    }
    (!values.is_empty()).then_some(Spread::Pick(values))
}
