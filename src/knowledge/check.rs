//! Static checks: what belongs together must fit together.

mod strata;

use super::Knowledge;
use crate::problem::Problem;
use std::collections::BTreeSet;

pub(super) use strata::stratify;
pub use strata::{contested, layers};

/// All static checks.
pub(super) fn check(knowledge: &Knowledge, sections: Option<&BTreeSet<String>>) -> Vec<Problem> {
    let _ = (knowledge, sections);
    Vec::new()
}
