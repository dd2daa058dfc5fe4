//! The arguments: commands, and the options that all of them take.

use super::{
    ask, chat, demo, dose, drill, due, log, night, notes, pool, read, report, rules, season, setup,
    stream,
};
use crate::clock::Moment;
use crate::units::System;
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

const EXAMPLES: &str = "\
Without a command it opens the chat; with standard input from a pipe it answers each line.

Examples:
  brumal                                    open the chat
  brumal ask \"pump stopped, 19 out, windy\"  one answer
  brumal ask - < message.txt                the message from a file
  brumal read \"ph 7.2 alk 90\"               what was understood
  brumal rules list                         what it goes by

Exit status: 0 answered, 1 failed (the reason is on standard error), 2 wrong usage.
Where people can be hurt, local codes, product labels and licensed people have the last word.";

/// Keeps outdoor pools open and running all winter: tell what you see at the pad, get what to do.
#[derive(Debug, Parser)]
#[command(name = "brumal", version, after_help = EXAMPLES, max_term_width = 88)]
pub(super) struct Brumal {
    #[command(flatten)]
    pub(super) common: Common,
    #[command(flatten)]
    pub(super) chat: chat::ChatArgs,
    #[command(subcommand)]
    pub(super) command: Option<Command>,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub(super) enum Command {
    Ask(ask::AskArgs),
    Read(read::ReadArgs),
    Stream(stream::StreamArgs),
    Night(night::NightArgs),
    Season(season::SeasonArgs),
    Dose(dose::DoseArgs),
    Rules(rules::RulesArgs),
    Drill(drill::DrillArgs),
    Demo(demo::DemoArgs),
    Due(due::DueArgs),
    Notes(notes::NotesArgs),
    Report(report::ReportArgs),
    Pool(pool::PoolArgs),
    Log(log::LogArgs),
    Setup(setup::SetupArgs),
}

/// The options that every command takes.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Common options")]
pub(super) struct Common {
    /// A fact beside the message, such as "water.temperature=44 F"; may be repeated
    #[arg(long = "fact", value_name = "NAME=VALUE", global = true, value_parser = stated)]
    pub(super) facts: Vec<(String, String)>,
    /// The pool that the message is about
    #[arg(long, value_name = "NAME", global = true)]
    pub(super) pool: Option<String>,
    /// Whose standards apply where they differ: those for a pool at a house, or for a public one [default: the pool's
    /// own, then residential]
    #[arg(long, value_enum, global = true)]
    pub(super) practice: Option<Practice>,
    /// The clock to answer by, such as 2026-01-14T06:40:00-05:00 [default: now]
    #[arg(long, value_name = "TIME", global = true, value_parser = moment)]
    pub(super) at: Option<Moment>,
    /// Units of the answer, and of bare numbers that could be either: °F, gal, psi or °C, L, kPa
    #[arg(long, value_enum, default_value_t, global = true)]
    pub(super) units: Units,
    /// Text for people, or JSON for programs, one object a line
    #[arg(long, value_enum, default_value_t, global = true)]
    pub(super) format: Format,
    /// Use the knowledge in this folder instead of the one that was built in
    #[arg(long, value_name = "DIR", global = true)]
    pub(super) knowledge: Option<PathBuf>,
    /// The record of pools and visits [default: in your folder for data]
    #[arg(long, value_name = "FILE", global = true)]
    pub(super) logbook: Option<PathBuf>,
    /// Keep what was said in the record
    #[arg(long, global = true, conflicts_with = "no_log")]
    pub(super) log: bool,
    /// Touch no record at all
    #[arg(long, global = true)]
    pub(super) no_log: bool,
    /// For a screen reader: whole lines without colour, and words instead of signs
    #[arg(long, global = true)]
    pub(super) plain: bool,
    /// When to use colour; auto: on a terminal, unless NO_COLOR is set
    #[arg(long, value_enum, default_value_t, value_name = "WHEN", global = true)]
    pub(super) color: Color,
}

/// The fact that tells whose standards apply.
const USE: &str = "pool.use";

impl Common {
    /// The facts stated beside the message, the practice among them.
    pub(super) fn stated(&self) -> impl Iterator<Item = (&str, &str)> {
        let practice = self.practice.map(|practice| match practice {
            Practice::Residential => (USE, "residential"),
            Practice::Public => (USE, "public"),
        });
        let facts = self.facts.iter().map(|(name, value)| (name.as_str(), value.as_str()));
        practice.into_iter().chain(facts)
    }
}

/// Whose standards apply.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Practice {
    Residential,
    Public,
}

/// The units of an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub(super) enum Units {
    #[default]
    Us,
    Si,
}

impl From<Units> for System {
    fn from(units: Units) -> Self {
        match units {
            Units::Us => Self::Us,
            Units::Si => Self::Si,
        }
    }
}

/// How an answer is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub(super) enum Format {
    #[default]
    Text,
    Json,
}

/// When colour is used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub(super) enum Color {
    #[default]
    Auto,
    Always,
    Never,
}

fn stated(text: &str) -> Result<(String, String), String> {
    let (name, value) =
        text.split_once('=').ok_or_else(|| "write it like `water.temperature=44 F`".to_owned())?;
    Ok((name.trim().to_owned(), value.trim().to_owned()))
}

fn moment(text: &str) -> Result<Moment, String> {
    Moment::parse(text).map_err(|problem| problem.help.unwrap_or(problem.message))
}
