//! Replies that are computed from the cold: the plan of a stated night, the night after a failure, how
//! long is left.

use super::turn::{Session, asks};
use crate::advice::{Advised, Answer, after_lines, left_lines, night_lines};
use crate::clock::Moment;
use crate::facts::Fact;
use crate::knowledge::{AskKind, Knowledge};
use crate::language::Reading;
use crate::plan::{AirTold, Planner, StatedFacts, Told, after_failure, stated_night};
use crate::weather::Site;

/// Hours after which a stop is no longer reconstructed: nobody tells the air of a week.
const MOST_STOPPED_H: f64 = 72.0;

/// Adds what the cold calls for to an answer.
pub(super) fn to_cold(
    session: &Session<'_>,
    message: &str,
    reading: &Reading,
    at: Moment,
    answer: &mut Answer,
) {
    let knowledge = session.base.knowledge();
    let facts: Vec<_> =
        session.talk.state.memory().known().map(|(id, value, _)| (id, value)).collect();
    let known = StatedFacts { words: &knowledge.vocabulary, facts: &facts };
    let said = |name: &str| {
        let id = knowledge.vocabulary.find(name);
        let plain = |fact: &Fact| Some(fact.id) == id && !fact.supposed && fact.doubt.is_none();
        reading.facts.iter().any(plain)
    };
    let how_long = knowledge.winter.asks_how_long(message);
    let told = if how_long {
        left(&known, knowledge, at, session)
    } else if session.settings.plans_when_asked {
        None
    } else if stopped_h(&known).is_some() {
        let fresh = ["pump.stopped_for", "power.out_for", "air.at_stop", "air.temperature"];
        fresh.iter().any(|name| said(name)).then(|| after(&known, knowledge, at, session)).flatten()
    } else {
        let wants = said("air.low_ahead") && !asks(reading, &[AskKind::Lookup, AskKind::Decide]);
        wants.then(|| night(&known, knowledge, at, session)).flatten()
    };
    if let Some(told) = told {
        if how_long {
            answer.replies.retain(|reply| reply.heading != "notes");
            answer.answered = true;
            answer.passages.clear();
            answer.replies.push(told);
        } else {
            answer.plans.push(told);
        }
    }
}

/// Hours since the water stopped, if it stands and was said.
fn stopped_h(known: &StatedFacts<'_>) -> Option<f64> {
    let stands = known.flag("pump.running") == Some(false) || known.flag("power.on") == Some(false);
    let hours = known.number("pump.stopped_for").or_else(|| known.number("power.out_for"))?;
    (stands && hours <= MOST_STOPPED_H).then_some(hours)
}

fn site(knowledge: &Knowledge, at: Moment) -> Site {
    let offset_h = f64::from(at.time().offset().local_minus_utc()) / 3600.0;
    let latitude_deg = knowledge.equipment.night.latitude_deg;
    Site { latitude_deg, longitude_deg: offset_h * 15.0 }
}

/// The air now and to come; the low ahead stands in for an air now that nobody said.
fn air(known: &StatedFacts<'_>) -> Option<AirTold> {
    let now = known.number("air.temperature");
    let low = known.number("air.low_ahead");
    let now_c = now.or(low)?;
    let then_c = known.number("air.at_stop").unwrap_or(now_c);
    Some(AirTold { then_c, now_c, low_ahead_c: low })
}

fn after(
    known: &StatedFacts<'_>,
    knowledge: &Knowledge,
    at: Moment,
    session: &Session<'_>,
) -> Option<Advised> {
    // A low that is only expected has frozen nothing yet.
    known.number("air.temperature").or(known.number("air.at_stop"))?;
    let (stopped_h, air) = (stopped_h(known)?, air(known)?);
    // Without frost nothing has happened.
    if air.now_c.min(air.then_c) > 0.0 {
        return None;
    }
    let place = (at, site(knowledge, at));
    let after = after_failure(&knowledge.equipment, known, place, stopped_h, air)?;
    let winter = &knowledge.winter;
    Some(Advised {
        heading: winter.say("after_heading", &[]),
        lines: after_lines(&after, winter, session.settings.units),
        cites: vec!["pump-failure#what-freezes-first".to_owned()],
    })
}

fn left(
    known: &StatedFacts<'_>,
    knowledge: &Knowledge,
    at: Moment,
    session: &Session<'_>,
) -> Option<Advised> {
    let air = air(known)?;
    let place = (at, site(knowledge, at));
    let stopped = stopped_h(known).unwrap_or(0.0);
    let after = after_failure(&knowledge.equipment, known, place, stopped, air)?;
    let winter = &knowledge.winter;
    Some(Advised {
        heading: winter.say("left_heading", &[]),
        lines: left_lines(&after, winter, session.settings.units),
        cites: vec!["pump-failure#how-long-have-i-got".to_owned()],
    })
}

/// The plan of the night that was said, as `brumal night` computes it.
fn night(
    known: &StatedFacts<'_>,
    knowledge: &Knowledge,
    at: Moment,
    session: &Session<'_>,
) -> Option<Advised> {
    let site = site(knowledge, at);
    let series = stated_night(&knowledge.equipment, known, at, site)?;
    let hours = series.hours().copied().collect();
    let mut planner = Planner::new(knowledge, hours, at, Some(site));
    let plan = planner.plan("", known);
    if plan.action.is_empty() || plan.if_stopped.is_empty() {
        return None;
    }
    let (winter, units) = (&knowledge.winter, session.settings.units);
    let lines = night_lines(&plan, winter, units);
    let mut lines: Vec<String> = lines.into_iter().map(|line| line.text).collect();
    lines.extend(crate::advice::in_hand_line(&plan, winter));
    Some(Advised {
        heading: winter.say("night_heading", &[]),
        lines,
        cites: vec!["cold-night#when-to-run-the-pump".to_owned()],
    })
}
