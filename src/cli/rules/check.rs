//! `brumal rules check`: what a knowledge author runs.

use super::super::args::{Common, Format};
use super::super::exit::{Done, Failure};
use super::super::surroundings::{Surroundings, base};
use crate::drill::check as check_drills;
use crate::problem::{Problem, Severity, SourceText};
use crate::render::{Role, Sheet, problems_json, problems_text};
use crate::session::{Base, check_folder, run_examples};
use clap::Args;

/// Check the knowledge: every id, unit, range, citation and example
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  brumal rules check --knowledge knowledge
  brumal rules check                        (runs the examples of what was built in)

Ends in 1 if there is an error.")]
pub(super) struct CheckArgs {
    /// Let warnings fail the check too
    #[arg(long)]
    strict: bool,
}

/// Checks.
pub(super) fn run(
    args: &CheckArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let (problems, texts) = found(common, around)?;
    let errors = count(&problems, Severity::Error);
    let warnings = count(&problems, Severity::Warning);
    if around.format == Format::Json {
        problems_json(&mut around.out, &problems)?;
    } else {
        problems_text(&mut around.out, &problems, &texts, around.view)?;
        let total = match (errors, warnings) {
            (0, 0) => "The knowledge is in order.".to_owned(),
            (errors, warnings) => {
                format!("{}, {}.", counted(errors, "error"), counted(warnings, "warning"))
            }
        };
        Sheet::new(&mut around.out, around.view).paragraph("", &[(Role::Strong, &total)])?;
    }
    let fails = errors > 0 || (args.strict && warnings > 0);
    Ok(if fails { Done::Refused } else { Done::Answered })
}

/// The problems of the folder; without one, those of what was built in.
fn found(
    common: &Common,
    around: &Surroundings,
) -> Result<(Vec<Problem>, Vec<SourceText>), Failure> {
    match &common.knowledge {
        Some(folder) => {
            let (mut problems, texts) =
                check_folder(folder).map_err(|problems| Failure::Files(problems, Vec::new()))?;
            // Drills are drawn once the rules can be run at all.
            if let Ok(base) = Base::from_folder(folder) {
                problems.extend(check_drills(&base.network));
            }
            Ok((problems, texts))
        }
        None => {
            let base = base(common, around)?;
            let mut problems = run_examples(&base);
            problems.extend(check_drills(&base.network));
            Ok((problems, Vec::new()))
        }
    }
}

fn count(problems: &[Problem], severity: Severity) -> usize {
    problems.iter().filter(|problem| problem.severity == severity).count()
}

fn counted(number: usize, noun: &str) -> String {
    let ending = if number == 1 { "" } else { "s" };
    format!("{number} {noun}{ending}")
}
