//! `brumal rules list`.

use super::super::args::{Common, Format};
use super::super::exit::{Done, Failure};
use super::super::surroundings::{Surroundings, base};
use crate::knowledge::Rule;
use crate::render::{Role, Sheet, json_line};
use clap::Args;
use serde::Serialize;

/// List the rules by topic
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  brumal rules list
  brumal rules list breaker
  brumal rules list --topic pump-failure --format json")]
pub(super) struct ListArgs {
    /// Only rules whose id, title or conditions hold these words
    #[arg(value_name = "WORDS")]
    words: Vec<String>,
    /// Only the rules of this topic
    #[arg(long)]
    topic: Option<String>,
}

#[derive(Serialize)]
struct Shape<'a> {
    schema: &'static str,
    rules: Vec<Row<'a>>,
}

#[derive(Serialize)]
struct Row<'a> {
    id: &'a str,
    topic: &'a str,
    title: &'a str,
    urgency: &'static str,
    source: &'a str,
}

/// Lists.
pub(super) fn run(
    args: &ListArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    let wanted: Vec<String> = args.words.iter().map(|word| word.to_lowercase()).collect();
    let in_topic = |rule: &&Rule| args.topic.as_ref().is_none_or(|topic| *topic == rule.topic);
    let rules = base.knowledge().rules.iter().filter(in_topic);
    let rules: Vec<&Rule> =
        rules.filter(|rule| wanted.iter().all(|word| holds(rule, word))).collect();
    if around.format == Format::Json {
        let rules = rules.into_iter().map(row).collect();
        json_line(&mut around.out, &Shape { schema: "brumal.rules/1", rules })?;
        return Ok(Done::Answered);
    }
    let mut sheet = Sheet::new(&mut around.out, around.view);
    let mut topic = "";
    for rule in &rules {
        if rule.topic != topic {
            topic = &rule.topic;
            sheet.heading(Role::Heading, topic)?;
        }
        let aside = format!("  {}", rule.urgency.name());
        sheet.paragraph("  ", &[(Role::Strong, &rule.id), (Role::Aside, &aside)])?;
        sheet.paragraph("      ", &[(Role::Plain, &rule.title)])?;
    }
    sheet.gap();
    let total = format!("{} of {} rules", rules.len(), base.knowledge().rules.len());
    sheet.paragraph("", &[(Role::Aside, &total)])?;
    Ok(Done::Answered)
}

fn holds(rule: &Rule, word: &str) -> bool {
    let texts = [&rule.id, &rule.title, &rule.topic];
    texts.into_iter().chain(&rule.said).any(|text| text.to_lowercase().contains(word))
}

fn row(rule: &Rule) -> Row<'_> {
    Row {
        id: &rule.id,
        topic: &rule.topic,
        title: &rule.title,
        urgency: rule.urgency.name(),
        source: &rule.source,
    }
}
