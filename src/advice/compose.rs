//! From a working memory at its fixed point to an answer.

use super::answer::{Answer, AnswerAction, AnswerCaution, AnswerFact, Figure, Finding};
use super::order::{Called, called};
use super::question::question;
use crate::clock::Moment;
use crate::engine::{NodeId, State};
use crate::facts::{FactId, Origin};
use crate::knowledge::{Citation, Rule, Template, Vocabulary};
use crate::units::{System, display_number, show, unit};

/// Composes what the rules and calculators found. What was read, passages and replies are the session's.
/// `not_known` are facts that the one asked could not tell; they are not asked for again.
#[must_use]
pub fn compose(state: &State<'_>, at: Moment, units: System, not_known: &[FactId]) -> Answer {
    let actions = called(state);
    let findings = findings(state, units);
    Answer {
        at,
        pool: None,
        read: Vec::new(),
        asks: Vec::new(),
        facts: facts(state, units),
        questions: question(state, &actions, not_known).into_iter().collect(),
        cautions: cautions(state, &actions, units),
        actions: actions
            .iter()
            .enumerate()
            .map(|(n, one)| action(state, n + 1, one, units))
            .collect(),
        findings,
        figures: figures(state, units),
        passages: Vec::new(),
        replies: Vec::new(),
        unread: Vec::new(),
        fired: state.fired().collect(),
    }
}

fn words<'n>(state: &State<'n>) -> &'n Vocabulary {
    &state.network().knowledge().vocabulary
}

fn fill(state: &State<'_>, template: &Template, units: System) -> String {
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

fn fired_rules<'n>(state: &State<'n>) -> impl Iterator<Item = (NodeId, &'n Rule)> {
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

fn cites(citations: &[Citation]) -> Vec<String> {
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
fn cautions(state: &State<'_>, actions: &[Called<'_>], units: System) -> Vec<AnswerCaution> {
    let knowledge = state.network().knowledge();
    let mut ids: Vec<&str> = Vec::new();
    let of_rules = fired_rules(state).map(|(_, rule)| rule).collect::<Vec<_>>();
    let mut urgent: Vec<_> = of_rules.iter().collect();
    urgent.sort_by_key(|rule| rule.urgency);
    let from_actions =
        actions.iter().flat_map(|called| called.action.cautions.iter().map(|id| id.id.as_str()));
    let from_rules = urgent.iter().flat_map(|rule| rule.cautions.iter().map(|id| id.id.as_str()));
    for id in from_actions.chain(from_rules) {
        if !ids.contains(&id) {
            ids.push(id);
        }
    }
    ids.into_iter()
        .filter_map(|id| knowledge.caution(id))
        .map(|caution| AnswerCaution {
            id: caution.id.clone(),
            text: fill(state, &caution.text, units),
            cites: cites(&caution.cites),
        })
        .collect()
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
            let mut text = format!("{}: {}", def.title, shown(computed.value));
            if let (Some(low), Some(high)) = (computed.low, computed.high) {
                let bare = display_number(low, canonical, decimals, units);
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
