//! What can never be true, and what must never be true together.

use super::search::Search;
use super::worlds::World;
use crate::facts::FactId;
use crate::knowledge::{Bringer, Concluded, Knowledge, Rule};
use crate::problem::{Code, Problem};
use std::collections::BTreeMap;

/// A rule with its place.
type Numbered<'k> = (usize, &'k Rule);

/// The checks of what can be true, and true together.
pub(super) struct Situations<'k> {
    knowledge: &'k Knowledge,
    search: Search<'k>,
}

impl<'k> Situations<'k> {
    pub fn new(knowledge: &'k Knowledge) -> Self {
        Self { knowledge, search: Search::new(knowledge) }
    }

    fn rules(&self) -> impl Iterator<Item = (usize, &'k Rule)> {
        self.knowledge.rules.iter().enumerate()
    }

    /// Rules whose conditions can never all be true.
    pub fn never_true(&self, problems: &mut Vec<Problem>) {
        for (at, rule) in self.rules() {
            if self.search.alone(at).is_some() {
                continue;
            }
            let message =
                format!("`{}` can never fire: its conditions exclude each other", rule.id);
            let nobody = self.nobody_concludes(rule);
            let help = match nobody {
                Some(name) => format!("no rule concludes `{name}` so that this rule could use it"),
                None => "look for a fact that is asked to be two things, also by the rules behind a derived fact"
                    .to_owned(),
            };
            problems.push(
                Problem::error(Code::NeverTrue, Some(rule.place.clone()), message).help(help),
            );
        }
    }

    fn nobody_concludes(&self, rule: &Rule) -> Option<String> {
        let mut found = None;
        rule.facts(&mut |id, _| {
            let def = self.knowledge.vocabulary.get(id);
            let derived = def.is_some_and(|def| def.bringer == Bringer::Rules);
            let concluded = |rule: &Rule| rule.conclude.iter().any(|c| c.fact == id);
            if derived && !self.knowledge.rules.iter().any(concluded) {
                found = def.map(|def| def.name.clone());
            }
        });
        found
    }

    /// Actions that exclude each other, called by rules that can fire together.
    pub fn never_with(&self, problems: &mut Vec<Problem>) {
        for action in &self.knowledge.actions {
            for other in &action.never_with {
                for ((at_a, a), (at_b, b)) in self.callers(&action.id, &other.id) {
                    let Some(world) = self.search.together(at_a, at_b) else { continue };
                    let message = format!(
                        "`{}` (rule `{}`) and `{}` (rule `{}`) exclude each other, and both can be called",
                        action.id, a.id, other.id, b.id
                    );
                    let help = format!(
                        "for instance when {}; let one rule exclude the other by `unless`",
                        self.tell(&world)
                    );
                    problems.push(
                        Problem::error(Code::Conflict, Some(b.place.clone()), message).help(help),
                    );
                }
            }
        }
    }

    fn callers(&self, one: &str, other: &str) -> Vec<(Numbered<'k>, Numbered<'k>)> {
        let calls = |rule: &Rule, id: &str| rule.call.iter().any(|call| call.id == id);
        let mut pairs = Vec::new();
        for a in self.rules().filter(|(_, rule)| calls(rule, one)) {
            pairs.extend(self.rules().filter(|(_, rule)| calls(rule, other)).map(|b| (a, b)));
        }
        pairs
    }

    /// Rules of equal salience that set one fact to different values and can fire together.
    pub fn conclusions(&self, problems: &mut Vec<Problem>) {
        let mut by_fact: BTreeMap<FactId, Vec<(usize, &Rule, &Concluded)>> = BTreeMap::new();
        for (at, rule) in self.rules() {
            for conclusion in &rule.conclude {
                by_fact.entry(conclusion.fact).or_default().push((at, rule, &conclusion.value));
            }
        }
        for (fact, all) in by_fact {
            for (at, (at_a, a, value)) in all.iter().enumerate() {
                for (at_b, b, other) in all.iter().skip(at + 1) {
                    if value == other || a.salience != b.salience {
                        continue;
                    }
                    let Some(world) = self.search.together(*at_a, *at_b) else { continue };
                    let name = self.knowledge.vocabulary.name(fact);
                    let message = format!(
                        "`{}` and `{}` set `{name}` to different values, and both can fire",
                        a.id, b.id
                    );
                    let help = format!(
                        "for instance when {}; give one a higher salience",
                        self.tell(&world)
                    );
                    problems.push(
                        Problem::error(Code::Conflict, Some(b.place.clone()), message).help(help),
                    );
                }
            }
        }
    }

    /// A situation in words.
    fn tell(&self, world: &World) -> String {
        let words = &self.knowledge.vocabulary;
        let facts = world.iter().filter_map(|(id, domain)| {
            let def = words.get(*id)?;
            let name = &def.name;
            if domain.unknown {
                return None;
            }
            let values: Vec<&str> = domain
                .choices
                .iter()
                .filter_map(|n| def.values().get(n))
                .map(String::as_str)
                .collect();
            Some(match def.kind {
                crate::knowledge::Kind::YesNo { .. } if domain.choices.len() == 1 => {
                    format!(
                        "{name} is {}",
                        if domain.choices == super::domain::YES { "yes" } else { "no" }
                    )
                }
                crate::knowledge::Kind::Number { .. } => {
                    match (domain.low.0.is_finite(), domain.high.0.is_finite()) {
                        (true, true) => {
                            format!("{name} is {:.1} to {:.1}", domain.low.0, domain.high.0)
                        }
                        (true, false) => format!("{name} is above {:.1}", domain.low.0),
                        (false, true) => format!("{name} is below {:.1}", domain.high.0),
                        (false, false) => format!("{name} is known"),
                    }
                }
                _ if values.is_empty() || values.len() == def.values().len() => {
                    format!("{name} is known")
                }
                _ => format!("{name} is {}", values.join(" or ")),
            })
        });
        facts.collect::<Vec<_>>().join(", ")
    }
}
