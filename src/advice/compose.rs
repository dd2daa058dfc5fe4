//! From a working memory at its fixed point to an answer.

use super::answer::{Answer, AnswerAction, AnswerCaution, AnswerFact, DoneAction, Figure, Finding};
use super::order::{Called, called, done};
use super::question::question;
use super::verdict::verdicts;
use crate::clock::Moment;
use crate::engine::{NodeId, State};
use crate::facts::{FactId, Origin};
use crate::knowledge::{Citation, IdRef, Rule, Template, Vocabulary};
use crate::units::{System, display_number, show, unit};

/// Composes what the rules and calculators found. What was read, passages and replies are the session's.
/// `not_known` are facts that the one asked could not tell; they are not asked for again.
#[must_use]
pub fn compose(state: &State<'_>, at: Moment, units: System, not_known: &[FactId]) -> Answer {
    let called = called(state);
    let (done, actions): (Vec<_>, Vec<_>) = called.into_iter().partition(|one| done(state, one));
    Answer {
        facts: facts(state, units),
        questions: question(state, not_known).into_iter().collect(),
        cautions: cautions(state, &actions, &done, units),
        actions: actions
            .iter()
            .enumerate()
            .map(|(n, one)| action(state, n + 1, one, units))
            .collect(),
        findings: findings(state, units),
        figures: figures(state, units),
        fired: state.fired().collect(),
        verdicts: verdicts(state, units),
        done: done.iter().map(|one| done_action(state, one, units)).collect(),
        ..Answer::empty(at)
    }
}

fn done_action(state: &State<'_>, called: &Called<'_>, units: System) -> DoneAction {
    let text = called.action.done.as_ref().map(|text| fill(state, text, units));
    DoneAction { id: called.action.id.clone(), text: text.unwrap_or_default() }
}

pub(super) fn words<'n>(state: &State<'n>) -> &'n Vocabulary {
    &state.network().knowledge().vocabulary
}

pub(super) fn fill(state: &State<'_>, template: &Template, units: System) -> String {
    template.fill(&|id: FactId| match (words(state).get(id), state.memory().value(id)) {
        (Some(def), Some(value)) => def.show(value, units),
        (Some(def), None) => format!("unknown {}", def.title),
        (None, _) => String::new(),
    })
}

fn facts(state: &State<'_>, units: System) -> Vec<AnswerFact> {
    let shown =
        |id, value| words(state).get(id).map(|def| def.show(value, units)).unwrap_or_default();
    let rule = |origin| match origin {
        Origin::Derived(node) => Some(state.network().name(node).to_owned()),
        _ => None,
    };
    state
        .memory()
        .known()
        .map(|(id, value, origin)| AnswerFact {
            id,
            value,
            origin,
            rule: rule(origin),
            shown: shown(id, value),
        })
        .collect()
}

pub(super) fn fired_rules<'n>(state: &State<'n>) -> impl Iterator<Item = (NodeId, &'n Rule)> {
    let network = state.network();
    state
        .fired()
        .collect::<Vec<_>>()
        .into_iter()
        .filter_map(move |node| Some((node, network.rule(node)?)))
}

fn findings(state: &State<'_>, units: System) -> Vec<Finding> {
    let mut findings: Vec<Finding> = fired_rules(state)
        .filter_map(|(node, rule)| {
            let text = fill(state, rule.finding.as_ref()?, units);
            let because = state.because(node);
            Some(Finding {
                id: rule.id.clone(),
                urgency: rule.urgency,
                text,
                rule: rule.id.clone(),
                because: because.iter().map(|id| words(state).name(*id).to_owned()).collect(),
                cites: cites(&rule.cites),
                source: rule.source.clone(),
            })
        })
        .collect();
    findings.sort_by_key(|finding| finding.urgency);
    findings
}

pub(super) fn cites(citations: &[Citation]) -> Vec<String> {
    citations.iter().map(|citation| citation.to.0.clone()).collect()
}

fn action(state: &State<'_>, order: usize, called: &Called<'_>, units: System) -> AnswerAction {
    let rules = || called.by.iter().filter_map(|node| state.network().rule(*node));
    let mut sections = cites(&called.action.cites);
    for rule in rules() {
        for section in cites(&rule.cites) {
            if !sections.contains(&section) {
                sections.push(section);
            }
        }
    }
    AnswerAction {
        id: called.action.id.clone(),
        urgency: called.urgency,
        order,
        text: fill(state, &called.action.text, units),
        because: rules().map(|rule| rule.id.clone()).collect(),
        cites: sections,
        who: called.action.who,
        wait_h: called.action.wait_h,
        tools: called.action.tools.clone(),
        cautions: called.action.cautions.iter().map(|id| id.id.clone()).collect(),
    }
}

/// Cautions of the actions, in their order, then those of the rules; each once.
fn cautions(
    state: &State<'_>,
    actions: &[Called<'_>],
    done: &[Called<'_>],
    units: System,
) -> Vec<AnswerCaution> {
    let knowledge = state.network().knowledge();
    let mut urgent: Vec<&Rule> = fired_rules(state).map(|(_, rule)| rule).collect();
    urgent.sort_by_key(|rule| rule.urgency);
    let (verdicts, others): (Vec<&Rule>, Vec<&Rule>) =
        urgent.into_iter().partition(|rule| rule.verdict.is_some());
    let from_actions = actions.iter().chain(done).flat_map(|called| &called.action.cautions);
    let from_rules = others.iter().flat_map(|rule| &rule.cautions);
    let mut ids: Vec<&str> = Vec::new();
    each_once(&mut ids, from_actions.chain(from_rules));
    let otherwise = ids.len();
    each_once(&mut ids, verdicts.iter().flat_map(|rule| &rule.cautions));
    ids.into_iter()
        .enumerate()
        .filter_map(|(at, id)| Some((at, knowledge.caution(id)?)))
        .map(|(at, caution)| AnswerCaution {
            id: caution.id.clone(),
            text: fill(state, &caution.text, units),
            cites: cites(&caution.cites),
            in_verdict: at >= otherwise,
        })
        .collect()
}

fn each_once<'k>(ids: &mut Vec<&'k str>, more: impl Iterator<Item = &'k IdRef>) {
    for id in more {
        if !ids.contains(&id.id.as_str()) {
            ids.push(&id.id);
        }
    }
}

/// What the calculators brought, with bands and methods.
#[must_use]
pub fn figures(state: &State<'_>, units: System) -> Vec<Figure> {
    let mut figures: Vec<Figure> = state
        .computed()
        .filter_map(|(_, computed)| {
            let def = words(state).def(computed.gives)?;
            let crate::knowledge::Kind::Number { unit: canonical, decimals } = def.kind else {
                return None;
            };
            let shown = |value| show(value, canonical, decimals, units);
            // Time that has run out is no number of minutes.
            let run_out = unit(canonical).name == "h" && computed.value < 0.01;
            let now = if run_out { "none left".to_owned() } else { shown(computed.value) };
            let mut text = format!("{}: {now}", def.title);
            if let (Some(low), Some(high)) = (computed.low, computed.high) {
                // Hours and minutes carry their own unit each.
                let bare = match unit(canonical).name {
                    "h" => shown(low),
                    _ => display_number(low, canonical, decimals, units),
                };
                if shown(low) != shown(high) {
                    text.push_str(&format!(" (between {bare} and {})", shown(high)));
                }
            }
            Some(Figure {
                name: def.name.trim_start_matches("figure.").to_owned(),
                value: computed.value,
                low: computed.low,
                high: computed.high,
                unit: unit(canonical).name.to_owned(),
                text,
                method: computed.method.clone(),
            })
        })
        .collect();
    figures.sort_by(|a, b| a.name.cmp(&b.name));
    figures
}
