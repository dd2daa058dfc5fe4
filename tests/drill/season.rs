//! A simulated season: thirty trainees, a hundred evenings, the same number of cases each; does spacing keep more than
//! a fixed order?
//!
//! Assumptions. A trainee forgets a skill by an exponential curve of their own, r = exp(-t/s), which is not the curve
//! that the scheduler believes in. The first go leaves s between 8 and 30 days (by person and by skill, drawn: 90 % after 1 to 3 days); a
//! recalled go multiplies s by 1 + g (0.3 + 1.4 (1 - r)) with g from 0.6 to 1.4, the more the nearer it was to being forgotten, a
//! failed one leaves s at half, not under 4. A case is passed with the chance r. Each evening brings two cases (ten minutes).
//! Evenings are missed with one chance in six. Fixed order: the skills in the order of the file, round and round.
//! Spaced: what `drill::queue` gives. Retention is the mean r over all skills on the last day, never practised = 0.
//! These numbers are invented; the test shows the direction under them, not the size in real life.

use super::BASE;
use brumal::clock::Moment;
use brumal::drill::{Chance, Go, Grade, queue};
use brumal::knowledge::Knowledge;
use brumal::units::count;
use std::collections::BTreeMap;

const TRAINEES: u64 = 30;
const EVENINGS: usize = 100;
const CASES: usize = 2;

#[derive(Clone, Copy)]
struct Held {
    strength_d: f64,
    day: f64,
}

fn recall(held: Option<&Held>, day: f64) -> f64 {
    held.map_or(0.0, |held| (-(day - held.day) / held.strength_d).exp())
}

/// Practises a skill on a day: whether it was passed, and what it leaves.
fn practise(
    held: Option<&Held>,
    day: f64,
    first: f64,
    gain: f64,
    chance: &mut Chance,
) -> (bool, Held) {
    let Some(before) = held else {
        return (chance.share() < 0.5, Held { strength_d: first, day });
    };
    let now = recall(held, day);
    let passed = chance.share() < now;
    let strength_d = if passed {
        before.strength_d * (1.0 + gain * (0.3 + 1.4 * (1.0 - now)))
    } else {
        (before.strength_d * 0.5).max(4.0)
    };
    (passed, Held { strength_d, day })
}

/// Mean retention on the last day.
fn season(knowledge: &Knowledge, trainee: u64, spaced: bool) -> f64 {
    // The person is the same under both orders; only the dice of each evening differ.
    let mut person = Chance::named(trainee, "person");
    let gain = 0.6 + 0.8 * person.share();
    let firsts: Vec<f64> = knowledge.skills.iter().map(|_| 8.0 + 22.0 * person.share()).collect();
    let mut chance = Chance::named(trainee, "evenings");
    let begun = Moment::parse("2025-09-15T19:00:00Z").unwrap();
    let mut held: BTreeMap<&str, Held> = BTreeMap::new();
    let mut goes: Vec<Go> = Vec::new();
    let mut next = 0;
    for evening in 0..EVENINGS {
        if chance.below(6) == 0 {
            continue;
        }
        for case in 0..CASES {
            let day = count(evening) + count(case) * 0.005;
            let at = begun.plus_hours(day * 24.0);
            let skill = if spaced {
                let Some(card) = queue(knowledge, &goes, at).into_iter().next() else { continue };
                card.skill
            } else {
                next += 1;
                &knowledge.skills[(next - 1) % knowledge.skills.len()]
            };
            let place = knowledge.skills.iter().position(|one| one.id == skill.id).unwrap();
            let (passed, now) =
                practise(held.get(skill.id.as_str()), day, firsts[place], gain, &mut chance);
            held.insert(&skill.id, now);
            let grade = if passed { Grade::Good } else { Grade::Again };
            let share = if passed { 0.9 } else { 0.3 };
            let (skill, scenario) = (skill.id.clone(), String::new());
            goes.push(Go { skill, scenario, seed: 0, at, grade, share });
        }
    }
    let last = count(EVENINGS);
    let sum: f64 =
        knowledge.skills.iter().map(|skill| recall(held.get(skill.id.as_str()), last)).sum();
    sum / count(knowledge.skills.len())
}

#[test]
fn spacing_keeps_more_than_a_fixed_order() {
    let knowledge = BASE.knowledge();
    let each =
        |spaced| -> Vec<f64> { (0..TRAINEES).map(|n| season(knowledge, n, spaced)).collect() };
    let (fixed, spaced) = (each(false), each(true));
    let mean = |all: &[f64]| all.iter().sum::<f64>() / count(all.len());
    let better = fixed.iter().zip(&spaced).filter(|(fixed, spaced)| spaced > fixed).count();
    println!("fixed {:.3}, spaced {:.3}, better for {better} of 30", mean(&fixed), mean(&spaced));
    assert!(
        mean(&spaced) > mean(&fixed) + 0.02,
        "fixed {:.3} spaced {:.3}",
        mean(&fixed),
        mean(&spaced)
    );
    assert!(better >= 20, "better for {better} of 30 only");
}
