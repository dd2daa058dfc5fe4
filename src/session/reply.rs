//! Direct replies: explanations, targets, what changes in a what-if, passages that answer a question.

use super::base::Base;
use super::passages;
use super::turn::{Session, asks};
use super::words::{action_meant, actions_meant};
use crate::advice::{
    Advised, Answer, Change, Difference, calls_for, compose, differences, explain_action,
    explain_not, explain_rule, said_fact, smallest_changes,
};
use crate::clock::Moment;
use crate::engine::State;
use crate::facts::{ChoiceSet, FactId, Value};
use crate::knowledge::{AskKind, FactDef, Range, SURFACE, Standing, Template, USE, USES};
use crate::language::Reading;

/// A reply of one line.
pub(super) fn plain(heading: &str, line: &str) -> Advised {
    Advised { heading: heading.to_owned(), lines: vec![line.to_owned()], cites: Vec::new() }
}

/// An answer that is a reply and nothing else.
pub(super) fn alone(at: Moment, reply: Advised) -> Answer {
    Answer { replies: vec![reply], ..Answer::empty(at) }
}

/// What can be typed.
pub(super) fn help() -> Advised {
    let lines = [
        "Type what you see, in your own words: \"pump quit about 4, 19 out, windy\" or \"ph 7.2 alk 90 ch 180 fc .5 water 44\".",
        "Ask: \"what should alkalinity be?\", \"why do salt cells quit in the cold?\", \"what if it drops to 10?\"",
        "why — the reasons behind the answer; why 2 — behind its second step; why not restart it — what speaks against it; more — all of the last answer.",
        "sorry, 7.8 not 7.2 — puts a reading right. forget that — takes the last message back. start over — forgets everything.",
        "dunno — when you can't tell; you won't be asked again.",
    ];
    Advised {
        heading: "help".to_owned(),
        lines: lines.map(str::to_owned).to_vec(),
        cites: Vec::new(),
    }
}

/// Which facts were taken back.
pub(super) fn forgot(base: &Base, facts: &[FactId]) -> Advised {
    let titles: Vec<&str> = facts
        .iter()
        .filter_map(|id| base.knowledge().vocabulary.get(*id))
        .map(|def| def.title.as_str())
        .collect();
    match titles.as_slice() {
        [] => plain("done", "There was nothing to forget."),
        titles => plain("done", &format!("Forgotten: {}.", titles.join(", "))),
    }
}

/// Why the last answer says what it says.
pub(super) fn why(session: &Session<'_>, number: Option<usize>) -> Advised {
    let Some(last) = &session.last else {
        return plain("why", "There is no answer yet to explain.");
    };
    let (state, units) = (&session.talk.state, session.settings.units);
    if let Some(number) = number {
        let action = last.actions.iter().find(|action| action.order == number);
        let told = action.and_then(|action| explain_action(state, &action.id, units));
        return told.unwrap_or_else(|| {
            plain("why", &format!("The last answer has no step {number} that still stands."))
        });
    }
    if let Some(id) = session.talk.walk.in_hand()
        && let Some(told) = explain_action(state, id, units)
    {
        return told;
    }
    let finding = last.findings.first().map(|finding| finding.rule.as_str());
    let node = state.fired().find(|node| finding == Some(state.network().name(*node)));
    match (node, last.actions.first()) {
        (Some(node), _) => explain_rule(state, node, units),
        (None, Some(action)) => explain_action(state, &action.id, units)
            .unwrap_or_else(|| plain("why", "That no longer stands.")),
        (None, None) => plain("why", "The last answer found nothing that needs doing."),
    }
}

/// A wording with the facts in it.
pub(super) fn fill(session: &Session<'_>, text: &Template) -> String {
    let words = &session.base.knowledge().vocabulary;
    text.fill(&|id| match (words.get(id), session.talk.state.memory().value(id)) {
        (Some(def), Some(value)) => def.show(value, session.settings.units),
        (Some(def), None) => format!("unknown {}", def.title),
        (None, _) => String::new(),
    })
}

/// Why something is not called for.
pub(super) fn why_not(session: &Session<'_>, words: &str) -> Advised {
    let state = &session.talk.state;
    let units = session.settings.units;
    let Some(id) = action_meant(words, session.base.knowledge()) else {
        return match passages::answering(session.base, words, None).into_iter().next() {
            Some(passage) => Advised {
                heading: "why not".to_owned(),
                lines: vec![passage.text],
                cites: vec![format!("{}#{}", passage.note, passage.section)],
            },
            None => plain("why not", &format!("I know no step called \"{words}\".")),
        };
    };
    if let Some(called) = explain_action(state, id, units) {
        let told = plain("why not", "It is called for: see the steps above.");
        return Advised { cites: called.cites, ..told };
    }
    explain_not(state, id, units).unwrap_or_else(|| plain("why not", "Nothing calls for it."))
}

/// What would have to be different for an action to be called for, or not to be.
pub(super) fn flip(session: &Session<'_>, words: &str) -> Advised {
    let (knowledge, state) = (session.base.knowledge(), &session.talk.state);
    let units = session.settings.units;
    let wish = knowledge.talk.wish(words);
    let called = |id: &str| calls_for(state, id);
    let all = actions_meant(&wish, knowledge);
    // "Not to run the pump" means every step that has it run; what is not called for now is of no matter then.
    let standing: Vec<&str> = all.iter().copied().filter(|id| called(id)).collect();
    let meant = if standing.is_empty() { all.into_iter().take(1).collect() } else { standing };
    let Some(action) = meant.first().and_then(|id| knowledge.action(id)) else {
        let line = "I did not find a step in that: say it like \"what would have to be different for me not to run the pump?\"";
        return plain("what would change it", line);
    };
    let texts = meant.iter().filter_map(|id| knowledge.action(id));
    let text = texts.map(|one| fill(session, &one.text)).collect::<Vec<_>>().join(" ");
    let (is_called, found) = (called(&action.id), smallest_changes(state, &meant, units));
    let mut lines = vec![if is_called {
        format!("As things stand it is called for: {text}")
    } else {
        format!("As things stand it is not called for: {text}")
    }];
    let what = if is_called { "It falls away" } else { "It is called for" };
    lines.push(match found.as_slice() {
        [] => "No change of one or two facts that I know of would turn that round.".to_owned(),
        [_] => format!("{what} if this were so:"),
        _ => format!("{what} if one of these were so, the smallest change first:"),
    });
    for set in found.iter().take(CHANGES) {
        let said: Vec<String> = set.iter().map(|one| say_change(session, one)).collect();
        lines.push(format!("  {}", said.join(", and ")));
    }
    let cites = action.cites.iter().map(|cite| cite.to.0.clone()).take(1).collect();
    Advised { heading: "what would change it".to_owned(), lines, cites }
}

/// `low expected 33 °F instead of 30 °F`.
fn say_change(session: &Session<'_>, change: &Change) -> String {
    let units = session.settings.units;
    let to = said_fact(&session.talk.state, change.fact, change.to, units);
    let def = session.base.knowledge().vocabulary.get(change.fact);
    match (change.from, def) {
        (Some(Value::Flag(_)), _) | (_, None) => to,
        (Some(from), Some(def)) => format!("{to} instead of {}", def.show(from, units)),
        (None, Some(_)) => format!("{to} (not known yet)"),
    }
}

/// So many changes are told.
const CHANGES: usize = 3;

/// The answer of a supposed state, with what changes against how things stand.
pub(super) fn what_if(
    session: &Session<'_>,
    state: &State<'_>,
    now: &Answer,
    at: Moment,
) -> Answer {
    let mut then = compose(state, at, session.settings.units, &session.talk.unknown);
    let known = now.facts.iter().any(|fact| fact.rule.is_none());
    if known {
        let changes = differences(now, &then);
        let lines: Vec<String> = changes
            .iter()
            .map(|change| match change {
                Difference::Found(text) => format!("then: {text}"),
                Difference::NotFound(text) => format!("no longer: {text}"),
                Difference::Do(text) => format!("do: {text}"),
                Difference::NoLonger(text) => format!("no need to: {text}"),
                Difference::Figure(text) => format!("then {text}"),
            })
            .collect();
        let lines = if lines.is_empty() {
            vec!["Nothing changes in what to do.".to_owned()]
        } else {
            lines
        };
        then.replies.push(Advised { heading: "what if".to_owned(), lines, cites: Vec::new() });
    }
    then
}

/// Replies to what was asked.
pub(super) fn to_asks(
    session: &Session<'_>,
    message: &str,
    reading: &Reading,
    answer: &mut Answer,
) {
    if asks(reading, &[AskKind::Target]) {
        for fact in &reading.about {
            answer.replies.extend(target(session, *fact));
        }
    }
    // What the record does not answer, the notes may.
    let general =
        asks(reading, &[AskKind::Lookup, AskKind::Explain, AskKind::Decide, AskKind::Due])
            || (asks(reading, &[AskKind::Target]) && answer.replies.is_empty());
    let asked = general
        || (asks(reading, &[AskKind::Advise, AskKind::WhatIf]) && answer.actions.is_empty());
    if !asked {
        return;
    }
    if !answer.verdicts.is_empty() {
        // The verdict is the answer; the sections that it cites support it.
        return;
    }
    let found = session.passages_for(message);
    answer.looked_up = !found.is_empty();
    answer.answered = !found.is_empty() || !answer.replies.is_empty() || !general;
    if found.is_empty()
        && answer.actions.is_empty()
        && answer.replies.is_empty()
        && answer.findings.is_empty()
    {
        answer.answered = false;
        let advice = asks(reading, &[AskKind::Advise, AskKind::Decide]);
        answer.replies.push(if advice && !answer.questions.is_empty() {
            plain("first", session.base.knowledge().talk.say("hangs_on"))
        } else {
            let line = "The notes have nothing on that. I know pools that run through the winter.";
            plain("notes", line)
        });
    }
    answer.passages = found;
}

/// What a value should be, by surface, with who says so.
fn target(session: &Session<'_>, fact: FactId) -> Option<Advised> {
    let knowledge = session.base.knowledge();
    let def = knowledge.vocabulary.get(fact)?;
    let surface =
        knowledge.vocabulary.find(SURFACE).and_then(|id| session.talk.state.memory().value(id));
    let fits = |range: &&Range| match surface.and_then(Value::choices) {
        Some(known) => range.surfaces.is_empty() || range.surfaces.meets(known),
        None => true,
    };
    let ranges: Vec<&Range> =
        knowledge.ranges.iter().filter(|range| range.fact == fact).filter(fits).collect();
    let mut lines = Vec::new();
    for range in &ranges {
        lines.push(tell_range(session, def, range, ranges.len() > 1));
        lines.extend(range.also.iter().cloned());
    }
    lines.extend(by_use(session, &ranges));
    lines.dedup();
    let cites = ranges.iter().filter_map(|range| range.note.clone()).take(1).collect();
    (!lines.is_empty()).then(|| Advised { heading: "target".to_owned(), lines, cites })
}

/// What bodies say of house pools and of public ones, side by side; those that apply to the pool in hand come first.
fn by_use(session: &Session<'_>, ranges: &[&Range]) -> Vec<String> {
    let words = &session.base.knowledge().vocabulary;
    let known = words.find(USE).and_then(|id| session.talk.state.memory().value(id));
    let own =
        known.and_then(|value| words.def(USE).map(|def| def.show(value, session.settings.units)));
    let [house, _] = USES;
    let default = own.as_deref().unwrap_or(house);
    let mut uses: Vec<(usize, &str)> = USES.into_iter().enumerate().collect();
    uses.sort_by_key(|(_, name)| *name != default);
    let mut lines = Vec::new();
    for (at, name) in uses {
        let head = match (name == default, own.is_some()) {
            (true, true) => format!("For a {name} pool, which this is:"),
            (true, false) => format!("For a {name} pool, as this is taken to be:"),
            (false, _) => format!("For a {name} pool:"),
        };
        let said = ranges.iter().filter_map(|range| range.by_use.get(at)).flatten();
        let mut said: Vec<String> = said.map(|text| format!("– {text}")).collect();
        said.dedup();
        if !said.is_empty() {
            lines.push(head);
            lines.extend(said);
        }
    }
    lines
}

fn tell_range(session: &Session<'_>, def: &FactDef, range: &Range, name_surfaces: bool) -> String {
    let show = |value: f64| def.show(Value::Number(value), session.settings.units);
    let [_, low, high, _] = range.edges;
    let band = match (low.is_finite(), high.is_finite()) {
        (true, true) => format!("{} to {}", show(low), show(high)),
        (true, false) => format!("{} or more", show(low)),
        (false, true) => format!("{} or less", show(high)),
        (false, false) => "any value".to_owned(),
    };
    let aim = range.aim.map(|aim| format!(", aim for {}", show(aim))).unwrap_or_default();
    let surfaces =
        session.base.knowledge().vocabulary.def(SURFACE).map_or(&[][..], |def| def.values());
    let named: Vec<&str> =
        range.surfaces.iter().filter_map(|n| surfaces.get(n)).map(String::as_str).collect();
    let on = if name_surfaces && range.surfaces != ChoiceSet::default() {
        format!(" on {}", named.join(", "))
    } else {
        String::new()
    };
    let standing = match range.standing {
        Standing::Standard => "standard",
        Standing::Habit => "habit",
    };
    format!("{}{on}: {band}{aim} ({standing}: {}).", def.title, range.source)
}

/// Readings that were too old to go by.
pub(super) fn of_stale(session: &Session<'_>, stale: &[FactId], answer: &mut Answer) {
    let titles: Vec<&str> = stale
        .iter()
        .filter_map(|id| session.base.knowledge().vocabulary.get(*id))
        .map(|def| def.title.as_str())
        .collect();
    if !titles.is_empty() {
        let line =
            format!("Too old to go by, please say again if it matters: {}.", titles.join(", "));
        answer.replies.push(plain("stale", &line));
    }
}
