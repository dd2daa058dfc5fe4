//! Progress: how well each skill sits, what is due, and who is ready for which call.

use super::mark::Grade;
use super::spacing::{Memory, Spacing};
use crate::clock::Moment;
use crate::knowledge::{Call, Knowledge, Level, Scenario, Skill};
use crate::units::count;

/// One go at a case, as it is kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Go {
    /// The skill that it practised.
    pub skill: String,
    /// The template.
    pub scenario: String,
    /// The seed.
    pub seed: u64,
    /// When.
    pub at: Moment,
    /// How well it went.
    pub grade: Grade,
    /// Points, as a share of all.
    pub share: f64,
}

/// Where a skill stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// Never practised.
    New,
    /// To be practised now.
    Due,
    /// It sits until then.
    Held,
}

impl Standing {
    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::New => "new",
            Self::Due => "due",
            Self::Held => "held",
        }
    }
}

/// A skill and how well it sits.
#[derive(Debug, Clone, PartialEq)]
pub struct Card<'k> {
    /// The skill.
    pub skill: &'k Skill,
    /// Where it stands.
    pub standing: Standing,
    /// What is remembered; `None` if it was never practised.
    pub memory: Option<Memory>,
    /// The chance to recall it now, 0 to 1. What was not passed at the last go counts for nothing until it is.
    pub recall: f64,
    /// Whether the last go was not passed.
    pub failed: bool,
    /// Days until it is due: below zero if it is overdue.
    pub days_left: Option<f64>,
    /// How often it was practised.
    pub goes: usize,
    /// How often it was passed.
    pub passed: usize,
    /// When it was last practised.
    pub last: Option<Moment>,
}

/// How ready somebody is for one kind of call.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Readiness {
    /// The kind of call.
    pub call: Call,
    /// The mean chance to recall the skills that it takes, 0 to 1.
    pub share: f64,
    /// Skills that it takes.
    pub skills: usize,
    /// Those of them that were passed and still sit.
    pub sitting: usize,
    /// Whether all of them do.
    pub ready: bool,
}

/// A skill that is recalled with less than this is not counted on.
const COUNTED_ON: f64 = 0.8;

/// Every skill of the knowledge with what a row of goes (oldest first) says of it.
#[must_use]
pub fn cards<'k>(knowledge: &'k Knowledge, goes: &[Go], at: Moment) -> Vec<Card<'k>> {
    knowledge.skills.iter().map(|skill| card(skill, goes, at)).collect()
}

fn card<'k>(skill: &'k Skill, goes: &[Go], at: Moment) -> Card<'k> {
    let spacing = Spacing::default();
    let own: Vec<&Go> = goes.iter().filter(|go| go.skill == skill.id).collect();
    let row: Vec<(Moment, Grade)> = own.iter().map(|go| (go.at, go.grade)).collect();
    let after = spacing.after(&row);
    let passed = own.iter().filter(|go| go.grade > Grade::Again).count();
    let failed = row.last().is_some_and(|(_, grade)| *grade == Grade::Again);
    let (recall, days_left) = after.map_or((0.0, None), |(memory, last)| {
        let days = (at.hours_since(last) / 24.0).max(0.0);
        // What was not passed is practised again at the next sitting, whatever the curve says.
        let due = if failed { 0.0 } else { spacing.interval_d(memory) };
        let recall = if failed { 0.0 } else { spacing.recall(memory, days) };
        (recall, Some(due - days))
    });
    let standing = match days_left {
        None => Standing::New,
        Some(days) if days <= 0.0 => Standing::Due,
        Some(_) => Standing::Held,
    };
    Card {
        skill,
        standing,
        memory: after.map(|(memory, _)| memory),
        recall,
        failed,
        days_left,
        goes: own.len(),
        passed,
        last: after.map(|(_, last)| last),
    }
}

/// The skills in an order in which each comes after those it needs; a circle is cut where it stands in the file.
#[must_use]
pub fn in_order(knowledge: &Knowledge) -> Vec<&Skill> {
    let mut left: Vec<&Skill> = knowledge.skills.iter().collect();
    let mut sorted: Vec<&Skill> = Vec::new();
    while !left.is_empty() {
        let waits = |skill: &&Skill| {
            skill.needs.iter().any(|need| left.iter().any(|other| other.id == need.id))
        };
        let at = left.iter().position(|skill| !waits(skill)).unwrap_or(0);
        sorted.push(left.remove(at));
    }
    sorted
}

/// What is practised next: what is due, least likely to be recalled first; then what is new, in an order that builds.
#[must_use]
pub fn queue<'k>(knowledge: &'k Knowledge, goes: &[Go], at: Moment) -> Vec<Card<'k>> {
    let cards = cards(knowledge, goes, at);
    let mut due: Vec<Card<'k>> =
        cards.iter().filter(|card| card.standing == Standing::Due).cloned().collect();
    due.sort_by(|a, b| a.recall.total_cmp(&b.recall).then_with(|| a.skill.id.cmp(&b.skill.id)));
    let passed = |id: &str| cards.iter().any(|card| card.skill.id == id && card.passed > 0);
    let order = in_order(knowledge);
    let new = order.iter().filter_map(|skill| {
        cards.iter().find(|card| card.skill.id == skill.id && card.standing == Standing::New)
    });
    // A skill whose ground is not laid yet waits, as long as another one does not.
    let (open, waiting): (Vec<&Card<'k>>, Vec<&Card<'k>>) =
        new.partition(|card| card.skill.needs.iter().all(|need| passed(&need.id)));
    due.into_iter().chain(open.into_iter().cloned()).chain(waiting.into_iter().cloned()).collect()
}

/// The hardest level that somebody has earned in a skill: working after a pass, hard when it sits for a week.
#[must_use]
pub fn earned(card: &Card<'_>) -> Level {
    match card.memory {
        Some(memory) if card.passed > 1 && memory.stability_d >= 7.0 => Level::Hard,
        Some(_) if card.passed > 0 => Level::Working,
        _ => Level::Basic,
    }
}

/// The template of a skill that is drawn next: the one practised least, easiest first, up to a level.
#[must_use]
pub fn template<'k>(
    knowledge: &'k Knowledge,
    skill: &str,
    level: Option<Level>,
    most: Level,
    goes: &[Go],
    wanted: &dyn Fn(&Scenario) -> bool,
) -> Option<&'k Scenario> {
    let own = |scenario: &&Scenario| scenario.skill.id == skill && wanted(scenario);
    let all: Vec<&Scenario> = knowledge.scenarios.iter().filter(own).collect();
    let times = |one: &Scenario| goes.iter().filter(|go| go.scenario == one.id).count();
    let reach = all.iter().filter(|one| level.is_some() || one.level <= most);
    let next = reach.min_by_key(|one| (times(one), one.level));
    next.or_else(|| all.iter().min_by_key(|one| (one.level, times(one)))).copied()
}

/// How ready a row of goes makes somebody for each kind of call.
#[must_use]
pub fn readiness(knowledge: &Knowledge, goes: &[Go], at: Moment) -> Vec<Readiness> {
    let cards = cards(knowledge, goes, at);
    let of_call = |call: Call| {
        let takes = |card: &&Card<'_>| {
            let mut templates = knowledge.scenarios.iter();
            templates.any(|one| one.call == call && one.skill.id == card.skill.id)
        };
        let own: Vec<&Card<'_>> = cards.iter().filter(takes).collect();
        let recall: f64 = own.iter().map(|card| card.recall).sum();
        let sits = |card: &&&Card<'_>| card.passed > 0 && card.recall >= COUNTED_ON;
        let sitting = own.iter().filter(sits).count();
        Readiness {
            call,
            share: if own.is_empty() { 0.0 } else { recall / count(own.len()) },
            skills: own.len(),
            sitting,
            ready: !own.is_empty() && sitting == own.len(),
        }
    };
    Call::ALL.iter().map(|(_, call)| of_call(*call)).collect()
}
