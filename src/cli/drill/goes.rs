//! What somebody practised: read from the log and kept in it.

use super::super::args::Common;
use super::super::exit::Failure;
use super::super::logbook::{to_read, to_write, who};
use super::DrillArgs;
use crate::clock::Moment;
use crate::drill::{Go, Grade, Mark};
use crate::knowledge::Scenario;
use crate::logbook::{Practice, Store};
use crate::problem::{Code, Problem};

/// One person's goes, and where they are kept.
pub(super) struct Kept {
    /// Who practises.
    pub(super) who: String,
    /// Oldest first.
    pub(super) goes: Vec<Go>,
    store: Option<Box<dyn Store>>,
}

/// Opens what a person practised: to add to it, or only to look.
pub(super) fn open(args: &DrillArgs, common: &Common, look: bool) -> Result<Kept, Failure> {
    let who = who(args.person.as_ref()).trim().to_owned();
    if common.no_log {
        return Ok(Kept { who, goes: Vec::new(), store: None });
    }
    let store: Box<dyn Store> =
        if look { Box::new(to_read(common)?) } else { Box::new(to_write(common)?) };
    let all = store.practice(Some(&who)).map_err(Failure::told)?;
    if let (Some(name), true, true) = (&args.person, look, all.is_empty()) {
        let others = store.practice(None).map_err(Failure::told)?;
        let mut names: Vec<&str> = others.iter().map(|one| one.who.as_str()).collect();
        names.sort_unstable();
        names.dedup();
        if !names.is_empty() {
            let message = format!("nobody called `{name}` has practised");
            let problem = Problem::error(Code::UnknownName, None, message);
            let listed = names.join(", ");
            return Err(Failure::usage(problem.help(format!("who has: {listed}"))));
        }
    }
    let goes = all.iter().filter_map(go).collect();
    Ok(Kept { who, goes, store: Some(store) })
}

fn go(one: &Practice) -> Option<Go> {
    let grade = Grade::ALL.iter().find(|(name, _)| *name == one.grade).map(|(_, grade)| *grade)?;
    Some(Go {
        skill: one.skill.clone(),
        scenario: one.scenario.clone(),
        seed: u64::from(one.seed),
        at: one.at,
        grade,
        share: one.share,
    })
}

impl Kept {
    /// Keeps a go.
    pub(super) fn keep(
        &mut self,
        scenario: &Scenario,
        seed: u32,
        at: Moment,
        mark: &Mark,
    ) -> Result<(), Failure> {
        let practice = Practice {
            who: self.who.clone(),
            skill: scenario.skill.id.clone(),
            scenario: scenario.id.clone(),
            seed,
            at,
            grade: mark.grade.name().to_owned(),
            share: mark.share,
        };
        if let Some(store) = &self.store {
            store.add_practice(&practice).map_err(Failure::told)?;
        }
        self.goes.extend(go(&practice));
        Ok(())
    }

    /// Whether it is kept at all.
    pub(super) const fn keeps(&self) -> bool {
        self.store.is_some()
    }
}
