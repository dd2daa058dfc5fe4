//! `brumal rules show ID`.

use super::super::args::{Common, Format};
use super::super::exit::{Done, Failure};
use super::super::surroundings::{Surroundings, base};
use crate::knowledge::{IdRef, Knowledge, Rule, Template};
use crate::problem::{Code, Problem};
use crate::render::{Role, Sheet, json_line};
use clap::Args;
use serde::Serialize;
use std::io;

/// Show a rule whole: when it holds, what it says and calls for, where it comes from
#[derive(Debug, Args)]
pub(super) struct ShowArgs {
    /// The rule's id, as `rules list` prints it
    #[arg(value_name = "ID")]
    id: String,
}

#[derive(Serialize)]
struct Shape<'a> {
    schema: &'static str,
    id: &'a str,
    topic: &'a str,
    title: &'a str,
    when: &'a [String],
    unless: &'a [String],
    urgency: &'static str,
    finding: Option<String>,
    calls: Vec<Called>,
    cautions: Vec<Called>,
    cites: Vec<&'a str>,
    source: &'a str,
    file: &'a str,
    line: usize,
}

#[derive(Serialize)]
struct Called {
    id: String,
    text: String,
}

/// Shows.
pub(super) fn run(
    args: &ShowArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    let knowledge = base.knowledge();
    let Some(rule) = knowledge.rules.iter().find(|rule| rule.id == args.id) else {
        let message = format!("no rule is called `{}`", args.id);
        let problem = Problem::error(Code::UnknownName, None, message)
            .help("`brumal rules list` names them all")
            .did_you_mean(&args.id, knowledge.rules.iter().map(|rule| rule.id.as_str()));
        return Err(Failure::told(problem));
    };
    let shape = shape(knowledge, rule);
    match around.format {
        Format::Json => json_line(&mut around.out, &shape)?,
        Format::Text => text(&mut Sheet::new(&mut around.out, around.view), &shape)?,
    }
    Ok(Done::Answered)
}

fn shape<'a>(knowledge: &Knowledge, rule: &'a Rule) -> Shape<'a> {
    let (when, unless) =
        rule.said.split_at_checked(rule.when.len()).unwrap_or((rule.said.as_slice(), &[]));
    let action = |call: &IdRef| knowledge.action(&call.id).map(|action| &action.text);
    let caution = |call: &IdRef| knowledge.caution(&call.id).map(|caution| &caution.text);
    let called = |call: &IdRef, text: Option<&Template>| Called {
        id: call.id.clone(),
        text: text.map(|text| worded(knowledge, text)).unwrap_or_default(),
    };
    Shape {
        schema: "brumal.rule/1",
        id: &rule.id,
        topic: &rule.topic,
        title: &rule.title,
        when,
        unless,
        urgency: rule.urgency.name(),
        finding: rule.finding.as_ref().map(|text| worded(knowledge, text)),
        calls: rule.call.iter().map(|call| called(call, action(call))).collect(),
        cautions: rule.cautions.iter().map(|call| called(call, caution(call))).collect(),
        cites: rule.cites.iter().map(|cite| cite.to.0.as_str()).collect(),
        source: &rule.source,
        file: &rule.place.file,
        line: rule.place.line,
    }
}

/// A wording with the names of its facts in place of their values.
fn worded(knowledge: &Knowledge, text: &Template) -> String {
    text.fill(&|fact| format!("{{{}}}", knowledge.vocabulary.name(fact)))
}

fn text(sheet: &mut Sheet<'_>, rule: &Shape<'_>) -> io::Result<()> {
    let place = format!("  {}:{}", rule.file, rule.line);
    sheet.paragraph("", &[(Role::Heading, rule.id), (Role::Aside, &place)])?;
    sheet.paragraph("", &[(Role::Plain, rule.title)])?;
    listed(sheet, "WHEN ALL OF", rule.when.iter().map(String::as_str))?;
    listed(sheet, "UNLESS ANY OF", rule.unless.iter().map(String::as_str))?;
    listed(sheet, "FINDING", rule.finding.as_deref())?;
    let one = |called: &Called| format!("{} ({})", called.text, called.id);
    let calls: Vec<String> = rule.calls.iter().map(one).collect();
    listed(sheet, &format!("DO ({})", rule.urgency), calls.iter().map(String::as_str))?;
    let cautions: Vec<String> = rule.cautions.iter().map(one).collect();
    listed(sheet, "TAKE CARE", cautions.iter().map(String::as_str))?;
    listed(sheet, "NOTES", rule.cites.iter().copied())?;
    listed(sheet, "SOURCE", Some(rule.source))
}

fn listed<'a>(
    sheet: &mut Sheet<'_>,
    heading: &str,
    lines: impl IntoIterator<Item = &'a str>,
) -> io::Result<()> {
    let mut lines = lines.into_iter().peekable();
    if lines.peek().is_some() {
        sheet.heading(Role::Heading, heading)?;
    }
    for line in lines {
        sheet.paragraph(" -  ", &[(Role::Plain, line)])?;
    }
    Ok(())
}
