//! Which case comes next: the one that is named, the one of a seed, or what is due.

use super::super::exit::Failure;
use super::goes::Kept;
use super::{DrillArgs, call};
use crate::clock::Moment;
use crate::drill::{Card, Chance, Standing, cards, earned, queue, template};
use crate::knowledge::{Knowledge, Scenario, Skill};
use crate::problem::{Code, Problem};

/// What was picked.
pub(super) enum Picked<'k> {
    /// A template and a seed.
    Case(&'k Scenario, u32),
    /// Nothing is due and nothing is new.
    Nothing,
}

/// Picks the next case; one that was skipped does not come again in this sitting.
pub(super) fn pick<'k>(
    knowledge: &'k Knowledge,
    kept: &Kept,
    args: &DrillArgs,
    at: Moment,
    number: u32,
    skipped: &[&str],
) -> Result<Picked<'k>, Failure> {
    let stamp = u64::try_from(at.time().timestamp()).unwrap_or(0);
    let seed = |name: &str| {
        let drawn = Chance::named(stamp.wrapping_add(u64::from(number)), name).bits();
        args.seed.unwrap_or(drawn)
    };
    if let Some(id) = &args.case {
        let scenario = case(knowledge, id)?;
        return Ok(Picked::Case(scenario, seed(&scenario.id)));
    }
    let topic = args.topic.as_deref().map(|topic| Topic::of(knowledge, topic)).transpose()?;
    let level = args.level();
    let wanted = |scenario: &Scenario| {
        !skipped.contains(&scenario.id.as_str())
            && topic.as_ref().is_none_or(|topic| topic.takes(scenario))
            && level.is_none_or(|level| scenario.level == level)
    };
    let all: Vec<&Scenario> = knowledge.scenarios.iter().filter(|one| wanted(one)).collect();
    if all.is_empty() && !skipped.is_empty() {
        return Ok(Picked::Nothing);
    }
    if all.is_empty() {
        let told = "no case is of this topic and this level";
        let problem = Problem::error(Code::Value, None, told);
        return Err(Failure::usage(problem.help("`brumal drill --list` shows what there is")));
    }
    if let Some(seed) = args.seed {
        let drawn = Chance::named(u64::from(seed), "case").of(&all).copied();
        return Ok(drawn.map_or(Picked::Nothing, |scenario| Picked::Case(scenario, seed)));
    }
    let mut line = queue(knowledge, &kept.goes, at);
    if topic.is_some() || level.is_some() {
        // Who asks for something gets it, due or not.
        let mut held: Vec<Card<'k>> = cards(knowledge, &kept.goes, at);
        held.retain(|card| card.standing == Standing::Held);
        held.sort_by(|a, b| a.recall.total_cmp(&b.recall));
        line.extend(held);
    }
    for card in line {
        let most = earned(&card);
        let found = template(knowledge, &card.skill.id, level, most, &kept.goes, &wanted);
        if let Some(scenario) = found {
            return Ok(Picked::Case(scenario, seed(&scenario.id)));
        }
    }
    Ok(Picked::Nothing)
}

fn case<'k>(knowledge: &'k Knowledge, id: &str) -> Result<&'k Scenario, Failure> {
    let found = knowledge.scenarios.iter().find(|scenario| scenario.id == id);
    found.ok_or_else(|| {
        let problem = Problem::error(Code::UnknownName, None, format!("no case is called `{id}`"));
        let known = knowledge.scenarios.iter().map(|scenario| scenario.id.as_str());
        let problem = problem.help("`brumal drill --list` shows what there is");
        Failure::usage(problem.did_you_mean(id, known))
    })
}

/// What a topic names: skills, or a kind of call.
pub(super) enum Topic<'k> {
    /// Skills.
    Skills(Vec<&'k Skill>),
    /// A kind of call.
    Call(crate::knowledge::Call),
}

impl<'k> Topic<'k> {
    /// The topic of a name.
    pub(super) fn of(knowledge: &'k Knowledge, name: &str) -> Result<Self, Failure> {
        let wanted = name.trim().to_lowercase().replace(' ', "-");
        if let Some(call) = call(&wanted) {
            return Ok(Self::Call(call));
        }
        let skills: Vec<&Skill> = knowledge
            .skills
            .iter()
            .filter(|skill| {
                skill.id == wanted || skill.rules.iter().any(|rules| rules.id == wanted)
            })
            .collect();
        if !skills.is_empty() {
            return Ok(Self::Skills(skills));
        }
        let rules =
            knowledge.skills.iter().flat_map(|skill| &skill.rules).map(|one| one.id.as_str());
        let known = knowledge.skills.iter().map(|skill| skill.id.as_str()).chain(rules);
        let known = known.chain(crate::knowledge::Call::ALL.iter().map(|(name, _)| *name));
        let problem =
            Problem::error(Code::UnknownName, None, format!("no topic is called `{name}`"));
        let problem = problem.help("`brumal drill --list` shows what there is");
        Err(Failure::usage(problem.did_you_mean(&wanted, known)))
    }

    /// Whether a skill belongs to it.
    pub(super) fn has(&self, knowledge: &Knowledge, skill: &Skill) -> bool {
        match self {
            Self::Skills(skills) => skills.iter().any(|one| one.id == skill.id),
            Self::Call(call) => {
                let mut templates = knowledge.scenarios.iter();
                templates.any(|one| one.call == *call && one.skill.id == skill.id)
            }
        }
    }

    /// Whether a template belongs to it.
    pub(super) fn takes(&self, scenario: &Scenario) -> bool {
        match self {
            Self::Call(call) => scenario.call == *call,
            Self::Skills(skills) => skills.iter().any(|skill| skill.id == scenario.skill.id),
        }
    }
}
