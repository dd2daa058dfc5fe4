//! The direct answer to a question for leave ("can I start it?"): the most forbidding word of the rules that
//! answer for that deed, with their findings.

use super::answer::AnswerVerdict;
use super::compose::{cites, fill, fired_rules, words};
use crate::engine::State;
use crate::facts::{ChoiceSet, FactId, Value};
use crate::knowledge::{Condition, DEED, Rule};
use crate::units::System;

/// Verdicts on what was asked, most forbidding first; of each deed only the most forbidding ones.
pub(super) fn verdicts(state: &State<'_>, units: System) -> Vec<AnswerVerdict> {
    let Some(fact) = words(state).find(DEED) else { return Vec::new() };
    let Some(asked) = state.memory().value(fact).and_then(Value::choices) else {
        return Vec::new();
    };
    let values = words(state).get(fact).map_or(&[][..], |def| def.values());
    let mut found: Vec<(usize, AnswerVerdict)> = Vec::new();
    for (_, rule) in fired_rules(state) {
        let (Some(verdict), Some(finding)) = (rule.verdict, &rule.finding) else { continue };
        let Some(deed) = deed(rule, fact, asked) else { continue };
        let text = fill(state, finding, units);
        let deed_name = values.get(deed).cloned().unwrap_or_default();
        let (rule, cites) = (rule.id.clone(), cites(&rule.cites));
        found.push((deed, AnswerVerdict { deed: deed_name, verdict, text, rule, cites }));
    }
    let strictest =
        |deed| found.iter().filter(|(d, _)| *d == deed).map(|(_, one)| one.verdict).min();
    let kept: Vec<_> =
        found.iter().filter(|(deed, one)| strictest(*deed) == Some(one.verdict)).collect();
    let mut verdicts: Vec<AnswerVerdict> = kept.into_iter().map(|(_, one)| one.clone()).collect();
    verdicts.sort_by_key(|one| one.verdict);
    verdicts
}

/// Which of the deeds that were asked about a rule answers for.
fn deed(rule: &Rule, fact: FactId, asked: ChoiceSet) -> Option<usize> {
    rule.when.iter().find_map(|condition| match condition {
        Condition::Has(id, set) if *id == fact => {
            set.iter().find(|n| asked.meets(ChoiceSet::one(*n)))
        }
        _ => None,
    })
}
