//! Rules and the examples that stand beside them.

use super::action::IdRef;
use super::citation::{Citation, NoteRef};
use super::condition::{Conclusion, Condition, read_conclusion, read_condition};
use super::document::{Reader, Text};
use super::named::named;
use super::template::{Template, read_template};
use super::vocabulary::Vocabulary;
use crate::facts::{FactId, Value};
use crate::problem::{Code, Place, Problem};
use serde::{Deserialize, Serialize};

/// How soon something matters, most pressing first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Urgency {
    /// At once.
    Now,
    /// Before tonight.
    Today,
    /// Within days.
    Week,
    /// At the next visit.
    Routine,
    /// Nothing to do.
    Info,
}

impl Urgency {
    const ALL: [(&'static str, Self); 5] = [
        ("now", Self::Now),
        ("today", Self::Today),
        ("week", Self::Week),
        ("routine", Self::Routine),
        ("info", Self::Info),
    ];

    /// Its name in the knowledge and in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(_, urgency)| *urgency == self).map_or("info", |(name, _)| name)
    }
}

/// The word that comes first when somebody asks leave to do something, most forbidding first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// Never, or not as things stand.
    No,
    /// Not before something else has happened.
    NotYet,
    /// Close the pool for the winter.
    Close,
    /// Either will do, or more has to be known.
    Either,
    /// Keep the pool open.
    StayOpen,
    /// Under the conditions that its text names.
    Yes,
}

impl Verdict {
    const ALL: [(&'static str, Self); 6] = [
        ("no", Self::No),
        ("not yet", Self::NotYet),
        ("close", Self::Close),
        ("either", Self::Either),
        ("stay open", Self::StayOpen),
        ("yes", Self::Yes),
    ];

    /// Its name in the knowledge and in JSON.
    #[must_use]
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(_, verdict)| *verdict == self).map_or("no", |(name, _)| name)
    }
}

/// A rule of the trade.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Rule {
    /// Its id.
    pub id: String,
    /// What it is about, in a line.
    pub title: String,
    /// The file it stands in, without its ending.
    pub topic: String,
    /// All must be true.
    pub when: Vec<Condition>,
    /// The conditions in the author's words, in the order of `when` and then of `unless`.
    pub said: Vec<String>,
    /// Any that is true stops the rule.
    pub unless: Vec<Condition>,
    /// Higher fires first.
    pub salience: i8,
    /// Derived facts that it sets.
    pub conclude: Vec<Conclusion>,
    /// Urgency of the finding and of what it calls.
    pub urgency: Urgency,
    /// What it means.
    pub finding: Option<Template>,
    /// The word before the finding, if it answers a question for leave (`asked.deed`).
    pub verdict: Option<Verdict>,
    /// Actions that it calls for.
    pub call: Vec<IdRef>,
    /// Cautions that it calls for.
    pub cautions: Vec<IdRef>,
    /// Facts that it wants to know when it fires, such as the volume for an amount.
    pub ask: Vec<FactId>,
    /// How much it wants to know them; that of the rule unless written.
    pub ask_urgency: Urgency,
    /// Notes that explain it.
    pub cites: Vec<Citation>,
    /// Where it comes from.
    pub source: String,
    /// Its examples.
    pub examples: Vec<Example>,
    /// Its layer: rules that it negates lie in lower ones. Set when the rules are checked.
    pub stratum: u16,
    /// Where it is written.
    pub place: Place,
}

impl Rule {
    /// Calls `visit` with every fact that the rule looks at, and whether its absence may let it fire.
    pub fn facts(&self, visit: &mut dyn FnMut(FactId, bool)) {
        for condition in &self.when {
            condition.facts(visit);
        }
        for condition in &self.unless {
            condition.facts(&mut |id, _| visit(id, true));
        }
        for conclusion in &self.conclude {
            if let super::condition::Concluded::Expr(expr) = &conclusion.value {
                // A number in a circle would never come to rest: treat it like a negation.
                expr.facts(&mut |id| visit(id, true));
            }
        }
    }
}

/// An example beside a rule.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Example {
    /// What somebody types.
    pub message: Option<String>,
    /// Facts given beside it.
    pub facts: Vec<(FactId, Value)>,
    /// Whether the rule fires.
    pub fires: bool,
    /// Actions that must be called.
    pub calls: Vec<IdRef>,
    /// Actions that must not be called.
    pub not_calls: Vec<IdRef>,
    /// Cautions that must be there.
    pub cautions: Vec<IdRef>,
    /// Derived facts that must be so.
    pub concludes: Vec<(FactId, Value)>,
    /// The fact that the one question asks for.
    pub asks: Option<FactId>,
    /// The verdict that must come first.
    pub verdict: Option<Verdict>,
    /// Where it is written.
    pub place: Place,
}

/// Reads one `[[rule]]`.
pub(super) fn read_rule(table: &Reader<'_, '_>, topic: &str, words: &Vocabulary) -> Option<Rule> {
    let id = table.text("id")?;
    let mut said = Vec::new();
    let mut conditions = |key| -> Vec<Condition> {
        let texts = table.texts(key);
        said.extend(texts.iter().map(|text| text.text.clone()));
        texts.iter().filter_map(|text| read_condition(text, words, table.problems())).collect()
    };
    let when = conditions("when");
    let unless = conditions("unless");
    let conclude = table.texts("conclude");
    let finding = table.opt_text("finding");
    let urgency = read_urgency(table, "urgency").unwrap_or(Urgency::Info);
    let rule = Rule {
        place: id.place(),
        id: id.text,
        title: table.string("title"),
        topic: topic.to_owned(),
        when,
        said,
        unless,
        salience: read_salience(table),
        conclude: conclude
            .iter()
            .filter_map(|text| read_conclusion(text, words, table.problems()))
            .collect(),
        urgency,
        verdict: read_verdict(table),
        ask_urgency: read_urgency(table, "ask_urgency").unwrap_or(urgency),
        finding: finding.map(|text| read_template(&text, words, table.problems())),
        call: IdRef::list(table.texts("call")),
        cautions: IdRef::list(table.texts("caution")),
        ask: table.texts("ask").iter().filter_map(|text| named(table, text, words)).collect(),
        cites: read_cites(table),
        source: table.string("source"),
        examples: table.tables("example").iter().map(|table| read_example(table, words)).collect(),
        stratum: 0,
    };
    table.finish();
    Some(rule)
}

fn read_salience(table: &Reader<'_, '_>) -> i8 {
    let Some(number) = table.number("salience") else { return 0 };
    let found = (-100..=100i8).find(|n| (f64::from(*n) - number).abs() < 1e-9);
    if found.is_none() {
        let message = format!("salience {number} is not a whole number from -100 to 100");
        table.problem(Problem::error(Code::Value, Some(table.place()), message));
    }
    found.unwrap_or(0)
}

fn read_urgency(table: &Reader<'_, '_>, key: &'static str) -> Option<Urgency> {
    urgency_called(table, &table.opt_text(key)?)
}

/// An urgency by its name; one that there is not is noted.
pub(super) fn urgency_called(table: &Reader<'_, '_>, text: &Text<'_>) -> Option<Urgency> {
    let found = Urgency::ALL.iter().find(|(name, _)| *name == text.text);
    if found.is_none() {
        let message = format!("`{}` is not an urgency", text.text);
        let problem = Problem::error(Code::UnknownName, Some(text.place()), message);
        table.problem(problem.help("write now, today, week, routine or info"));
    }
    found.map(|(_, urgency)| *urgency)
}

fn read_verdict(table: &Reader<'_, '_>) -> Option<Verdict> {
    let text = table.opt_text("verdict")?;
    let found = Verdict::ALL.iter().find(|(name, _)| *name == text.text);
    if found.is_none() {
        let message = format!("`{}` is not a verdict", text.text);
        let problem = Problem::error(Code::UnknownName, Some(text.place()), message);
        table.problem(problem.help("write no, not yet, yes, stay open, close or either"));
    }
    found.map(|(_, verdict)| *verdict)
}

/// Reads the `cites` of a rule, an action or a caution.
pub(super) fn read_cites(table: &Reader<'_, '_>) -> Vec<Citation> {
    read_sections(table, "cites")
}

/// Reads a list of `note#section`.
pub(super) fn read_sections(table: &Reader<'_, '_>, key: &'static str) -> Vec<Citation> {
    let texts = table.texts(key);
    texts.into_iter().map(|text| Citation { place: text.place(), to: NoteRef(text.text) }).collect()
}

fn read_example(table: &Reader<'_, '_>, words: &Vocabulary) -> Example {
    let message = table.opt_string("message");
    let example = Example {
        facts: read_values(table, "facts", words),
        fires: table.flag("fires").unwrap_or(true),
        calls: IdRef::list(table.texts("calls")),
        not_calls: IdRef::list(table.texts("not_calls")),
        cautions: IdRef::list(table.texts("cautions")),
        concludes: read_values(table, "concludes", words),
        asks: table.opt_text("asks").and_then(|text| named(table, &text, words)),
        verdict: read_verdict(table),
        place: table.place(),
        message,
    };
    if example.message.is_none() && example.facts.is_empty() {
        let problem = Problem::error(
            Code::Example,
            Some(table.place()),
            "an example without message and facts",
        );
        table.problem(problem.help("add `message = \"…\"` or `facts = { … }`"));
    }
    table.finish();
    example
}

/// Reads a table of facts and values.
pub(super) fn read_values(
    table: &Reader<'_, '_>,
    key: &'static str,
    words: &Vocabulary,
) -> Vec<(FactId, Value)> {
    let Some(inner) = table.table(key) else { return Vec::new() };
    let mut values = Vec::new();
    for (name, value) in inner.entries() {
        let Some(id) = named(table, &name, words) else { continue };
        let Some(def) = words.get(id) else { continue };
        match def.parse(&value.text) {
            Ok(parsed) => values.push((id, parsed)),
            Err(why) => table.problem(Problem::error(Code::Value, Some(value.place()), why)),
        }
    }
    values
}
