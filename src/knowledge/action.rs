//! Actions and cautions: wording once, called by many rules.

use super::citation::Citation;
use super::condition::{Condition, read_condition};
use super::document::{Reader, Text};
use super::named::named;
use super::rule::{read_cites, read_values};
use super::template::{Template, read_template};
use super::vocabulary::Vocabulary;
use crate::facts::{FactId, Value};
use crate::problem::{Code, Place, Problem};
use crate::units::{convert, find_unit, parse_quantity};
use serde::{Deserialize, Serialize};

/// Who may do an action.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Who {
    /// Anybody, the owner included.
    Anyone,
    /// A pool technician.
    Technician,
    /// A licensed electrician.
    Electrician,
    /// A licensed gas fitter.
    GasFitter,
    /// Another professional (plumber, builder).
    Professional,
    /// The emergency services.
    EmergencyServices,
}

impl Who {
    const ALL: [(&'static str, Self); 6] = [
        ("anyone", Self::Anyone),
        ("technician", Self::Technician),
        ("electrician", Self::Electrician),
        ("gas-fitter", Self::GasFitter),
        ("professional", Self::Professional),
        ("emergency-services", Self::EmergencyServices),
    ];

    /// Its name in the knowledge.
    #[must_use]
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(_, who)| *who == self).map_or("anyone", |(name, _)| name)
    }
}

/// A reference by id, with the place where it is written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct IdRef {
    /// The id.
    pub id: String,
    /// Where.
    pub place: Place,
}

impl IdRef {
    pub(super) fn list(texts: Vec<Text<'_>>) -> Vec<Self> {
        texts.into_iter().map(|text| Self { place: text.place(), id: text.text }).collect()
    }
}

/// Something to do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Action {
    /// Its id.
    pub id: String,
    /// Its wording.
    pub text: Template,
    /// What comes before it, when called too.
    pub after: Vec<IdRef>,
    /// What comes after it, when called too.
    pub before: Vec<IdRef>,
    /// What may never be called with it.
    pub never_with: Vec<IdRef>,
    /// How many hours to wait after it.
    pub wait_h: Option<f64>,
    /// Who may do it.
    pub who: Who,
    /// What it takes.
    pub tools: Vec<String>,
    /// Cautions that stand with it.
    pub cautions: Vec<IdRef>,
    /// If all of these are true it is done already; empty for what can always be done.
    pub done_when: Vec<Condition>,
    /// What is said of it when it is done already.
    pub done: Option<Template>,
    /// What to look for when it cannot be found or done.
    pub stuck: Option<Template>,
    /// What to do instead when it cannot be done at all.
    pub instead: Option<Template>,
    /// What is so once it is done, if nothing before it was left out.
    pub establishes: Vec<(FactId, Value)>,
    /// Products whose computed amounts stand for it (`all` for any, `hold` where it holds all of them back).
    pub dose: Vec<String>,
    /// Products that its wording measures out by itself, beyond what a plan to the ranges knows.
    pub own_dose: Vec<String>,
    /// The free chlorine that it raises to, a derived fact; its amount is told once it is known.
    pub own_aim: Option<FactId>,
    /// Notes that explain it.
    pub cites: Vec<Citation>,
    /// Where it is written.
    pub place: Place,
}

/// A warning that stands with actions and findings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Caution {
    /// Its id.
    pub id: String,
    /// Its wording.
    pub text: Template,
    /// Notes that explain it.
    pub cites: Vec<Citation>,
    /// Where it is written.
    pub place: Place,
}

/// Reads one `[[action]]`.
pub(super) fn read_action(table: &Reader<'_, '_>, words: &Vocabulary) -> Option<Action> {
    let id = table.text("id")?;
    let done_when = table.texts("done_when");
    let done = table.opt_text("done");
    let action = Action {
        place: id.place(),
        id: id.text,
        text: read_wording(table, words),
        after: IdRef::list(table.texts("after")),
        before: IdRef::list(table.texts("before")),
        never_with: IdRef::list(table.texts("never_with")),
        wait_h: read_wait(table),
        who: read_who(table),
        tools: table.strings("tools"),
        dose: table.strings("dose"),
        own_dose: table.strings("own_dose"),
        own_aim: table.opt_text("own_aim").and_then(|name| named(table, &name, words)),
        cautions: IdRef::list(table.texts("caution")),
        done_when: done_when
            .iter()
            .filter_map(|text| read_condition(text, words, table.problems()))
            .collect(),
        done: done.map(|text| read_template(&text, words, table.problems())),
        stuck: read_said(table, "stuck", words),
        instead: read_said(table, "instead", words),
        establishes: read_values(table, "establishes", words),
        cites: read_cites(table),
    };
    table.finish();
    Some(action)
}

/// Reads one `[[caution]]`.
pub(super) fn read_caution(table: &Reader<'_, '_>, words: &Vocabulary) -> Option<Caution> {
    let id = table.text("id")?;
    let caution = Caution {
        place: id.place(),
        id: id.text,
        text: read_wording(table, words),
        cites: read_cites(table),
    };
    table.finish();
    Some(caution)
}

fn read_wording(table: &Reader<'_, '_>, words: &Vocabulary) -> Template {
    table.text("text").map(|text| read_template(&text, words, table.problems())).unwrap_or_default()
}

fn read_said(table: &Reader<'_, '_>, key: &'static str, words: &Vocabulary) -> Option<Template> {
    table.opt_text(key).map(|text| read_template(&text, words, table.problems()))
}

fn read_wait(table: &Reader<'_, '_>) -> Option<f64> {
    let text = table.opt_text("wait")?;
    let hours = find_unit("h").and_then(|hours| {
        let (value, from) = parse_quantity(&text.text).ok()?;
        convert(value, from, hours)
    });
    if hours.is_none() {
        let message = format!("`{}` is not a time to wait", text.text);
        let problem = Problem::error(Code::Value, Some(text.place()), message);
        table.problem(problem.help("write it like `30 min` or `4 h`"));
    }
    hours
}

fn read_who(table: &Reader<'_, '_>) -> Who {
    let Some(text) = table.opt_text("who") else { return Who::Anyone };
    match Who::ALL.iter().find(|(name, _)| *name == text.text) {
        Some((_, who)) => *who,
        None => {
            let message = format!("`{}` is nobody known", text.text);
            let problem = Problem::error(Code::UnknownName, Some(text.place()), message);
            let names = Who::ALL.map(|(name, _)| name);
            let problem = problem.help(format!("write one of {}", names.join(", ")));
            table.problem(problem.did_you_mean(&text.text, names));
            Who::Anyone
        }
    }
}
