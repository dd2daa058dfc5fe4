//! Static checks: what belongs together must fit together.
//!
//! Examples are run elsewhere (`session`), since they need the language and the engine.

mod contradictions;
mod coverage;
mod domain;
mod drills;
mod references;
mod search;
mod strata;
mod worlds;

use super::Knowledge;
use crate::problem::Problem;
use std::collections::BTreeSet;

pub(super) use strata::stratify;
pub use strata::{contested, layers};

/// All static checks, in order of file and place.
pub(super) fn check(knowledge: &Knowledge, sections: Option<&BTreeSet<String>>) -> Vec<Problem> {
    let mut problems = Vec::new();
    coverage::facts(knowledge, &mut problems);
    coverage::ranges(knowledge, &mut problems);
    coverage::orders(knowledge, &mut problems);
    references::check(knowledge, sections, &mut problems);
    drills::check(knowledge, sections, &mut problems);
    let situations = contradictions::Situations::new(knowledge);
    situations.never_true(&mut problems);
    situations.never_with(&mut problems);
    situations.conclusions(&mut problems);
    problems.sort_by(|a, b| a.place.cmp(&b.place));
    problems
}
