//! `brumal drill`: practice for technicians, marked by the rules and spaced over days.

mod goes;
mod input;
mod path;
mod pick;
mod play;
mod show;

use super::args::{Common, Format};
use super::exit::{Done, Failure};
use super::surroundings::{Surroundings, base};
use crate::knowledge::{Call, Level};
use clap::Args;
use clap::builder::PossibleValuesParser;
use std::path::PathBuf;

/// Practise cases before meeting them at night: scored by the rules, spaced over days
#[derive(Debug, Args)]
#[command(after_help = "\
It tells a case. Ask (\"what is the breaker doing?\") and say in your own words what you do, in order.
An empty line or `done` has it marked, `skip` leaves it, `quit` ends. Words are never scored, only deeds:
the urgent thing first, the order, nothing dangerous, nothing needed left out, questions that mattered.
What you practised is kept in the log (--no-log keeps nothing).

Examples:
  brumal drill                              what is due, then what is new
  brumal drill --minutes 10 --person Ines   ten minutes for one person
  brumal drill --topic power --level hard
  brumal drill --seed 7                     draw the same case again
  brumal drill --read ice                   a ten-minute path through the notes
  brumal drill --progress                   skills, days to forgetting, readiness
  brumal drill --progress --out ines.html   one page; .csv and .json write tables")]
pub(super) struct DrillArgs {
    /// Draw the case of this seed; the same seed draws the same case, whatever is due
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32))]
    seed: Option<u32>,
    /// This case and no other, by the id that each case is told with
    #[arg(long, value_name = "ID")]
    case: Option<String>,
    /// Only this skill, kind of call (emergency, visit, dosing, set-up, decision) or topic of the rules
    #[arg(long, value_name = "TOPIC")]
    topic: Option<String>,
    /// Only cases of this level
    #[arg(long, value_parser = PossibleValuesParser::new(["basic", "working", "hard"]))]
    level: Option<String>,
    /// How long to practise
    #[arg(long, value_name = "N", default_value_t = 10, value_parser = clap::value_parser!(u32).range(1..=600))]
    minutes: u32,
    /// Who practises [default: the user of this machine]
    #[arg(long, value_name = "NAME")]
    person: Option<String>,
    /// Read the notes of a topic in an order that builds, with three quick checks
    #[arg(long, value_name = "TOPIC", conflicts_with_all = ["case", "topic", "progress"])]
    read: Option<String>,
    /// Show how well each skill sits, and readiness for each kind of call
    #[arg(long, conflicts_with_all = ["case", "seed"])]
    progress: bool,
    /// Write the progress into this file: .html a page, .csv a table, .json data
    #[arg(long, value_name = "FILE", requires = "progress")]
    out: Option<PathBuf>,
    /// List the skills and the cases
    #[arg(long, conflicts_with_all = ["case", "seed", "progress", "read"])]
    list: bool,
    /// Repeat each line before its answer, so that the output is a transcript
    #[arg(long)]
    echo: bool,
}

impl DrillArgs {
    fn level(&self) -> Option<Level> {
        let name = self.level.as_deref()?;
        Level::ALL.iter().find(|(known, _)| *known == name).map(|(_, level)| *level)
    }
}

/// Practises.
pub(super) fn run(
    args: &DrillArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    if let Some(topic) = &args.read {
        return path::read(&base, topic, args, around);
    }
    if args.list {
        return show::list(&base, args, around);
    }
    let mut kept = goes::open(args, common, args.progress)?;
    if args.progress {
        return show::progress(&base, &kept, args, around);
    }
    play::play(&base, &mut kept, args, around)
}

/// The kind of call of a name.
fn call(name: &str) -> Option<Call> {
    Call::ALL.iter().find(|(known, _)| *known == name).map(|(_, call)| *call)
}
