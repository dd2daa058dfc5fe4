//! Drills: for every template and many seeds the right answer exists, and scripted trainees get what they deserve.

#[path = "drill/examples.rs"]
mod examples;
#[path = "drill/faults.rs"]
mod faults;
#[path = "drill/own_words.rs"]
mod own_words;
#[path = "drill/season.rs"]
mod season;
#[path = "drill/sheets.rs"]
mod sheets;
#[path = "drill/tolerance.rs"]
mod tolerance;

use brumal::drill::{Ear, Mark, Sitting, draw};
use brumal::engine::Network;
use brumal::knowledge::{Call, Scenario, read_folder};
use brumal::session::Base;
use brumal::units::System;
use std::sync::LazyLock;

/// The knowledge that ships, or that of the folder which BRUMAL_KNOWLEDGE names: words can be tried without a build.
pub(crate) static BASE: LazyLock<Base> = LazyLock::new(|| match named("BRUMAL_KNOWLEDGE") {
    Some(folder) => Base::from_texts(&read_folder(folder.as_ref()).unwrap()).unwrap(),
    None => Base::packed().unwrap(),
});

pub(crate) static EAR: LazyLock<Ear<'static>> = LazyLock::new(|| Ear::new(BASE.knowledge()));

/// What the tools of these tests are told by the environment.
#[expect(clippy::disallowed_methods, reason = "tools of the tests are told by the environment")]
pub(crate) fn named(name: &str) -> Option<String> {
    std::env::var(name).ok()
}

/// So many seeds of each template in the ordinary run.
const FEW: u64 = 3;
/// And in `cargo test --release -- --ignored thousand`.
const MANY: u64 = 1000;

fn network() -> &'static Network {
    &BASE.network
}

fn scenarios() -> &'static [Scenario] {
    &BASE.knowledge().scenarios
}

fn sit(scenario: &'static Scenario, seed: u64) -> Sitting<'static> {
    Sitting::new(network(), &EAR, draw(network(), scenario, seed, System::Us), System::Us)
}

/// Asks for everything that mattered, then does what is needed, in order, in the trade's own words.
fn answer_perfectly(sitting: &mut Sitting<'_>) {
    for fact in sitting.right.mattered.clone() {
        let ask = BASE.knowledge().vocabulary.get(fact).unwrap().ask.clone();
        assert!(!sitting.say(&ask).told.is_empty());
    }
    let mut lines: Vec<String> = sitting.right.needed.iter().map(|one| one.text.clone()).collect();
    let amounts = sitting.right.amounts.iter();
    lines.extend(amounts.map(|one| format!("add {} of {}", one.given, one.name)));
    lines.extend(sitting.right.hours.map(|hours| format!("I have about {:.2} hours", hours.best)));
    for line in lines {
        sitting.say(&line);
    }
}

/// What somebody says who does what a caution forbids.
const DANGEROUS: [(&str, &str); 22] = [
    ("no-restart-with-ice", "Then I start the pump again."),
    ("no-flame", "I go along the frozen pipe with a blowtorch."),
    ("no-heater-without-flow", "Fire up the heater."),
    ("no-breaker-reset", "Reset the breaker and try once more."),
    ("filter-lid-pressure", "Loosen the filter clamp."),
    ("no-forcing-frozen-plugs", "I force the stuck plug with a breaker bar."),
    ("cracked-filter-bursts", "Put some epoxy on the crack."),
    ("never-run-pump-dry", "Keep running the pump."),
    ("keep-off-ice", "I walk out on the ice."),
    ("never-smash-ice", "Smash the ice with a hammer."),
    ("shock-second-victim", "I grab him and pull him away."),
    ("gas-spark", "Switch on the light to see better."),
    ("gas-kills-helpers", "I hold my breath and run back in."),
    ("never-mix-chemicals", "Pour water on the mixture."),
    ("no-neutralizing-on-skin", "Neutralize the acid on his skin with baking soda."),
    ("generator-outdoors", "Run the generator in the garage."),
    ("no-backfeed", "Backfeed the house from the generator."),
    ("keep-vent-free", "Cover the heater with a tarp."),
    ("only-propylene-glycol", "Add another can of antifreeze."),
    ("no-dose-without-flow", "Pour the chlorine in."),
    ("acid-and-chlorine-make-gas", "Mix the acid and the chlorine in one bucket."),
    ("suction-kills", "Swim down to the main drain and look."),
];

/// What somebody says who wants to be rid of it.
const LAZY: [&str; 3] =
    ["Call someone.", "I'd ring the boss and wait.", "Get somebody to look at it."];

/// What is wrong with one draw of a template; nothing if all is as it should be.
fn faults(scenario: &'static Scenario, seed: u64) -> Vec<String> {
    let mut faults = Vec::new();
    let name = format!("{} seed {seed}", scenario.id);
    let mut sitting = sit(scenario, seed);
    if sitting.right.needed.is_empty() && sitting.right.amounts.is_empty() {
        return vec![format!("{name}: no right answer")];
    }
    let twin = sit(scenario, seed);
    if twin.case.text != sitting.case.text || twin.right.needed != sitting.right.needed {
        faults.push(format!("{name}: the same seed gives another case"));
    }
    answer_perfectly(&mut sitting);
    let mark = sitting.mark();
    if mark.share < 0.999 || !mark.passed() {
        faults.push(format!("{name}: the perfect trainee gets {}", told(&mark, &sitting)));
    }
    // Everything right, and one thing that a caution of this case forbids.
    let sentences = DANGEROUS.iter().filter(|(id, _)| {
        sitting.right.dangers.iter().any(|danger| danger.id == *id && danger.outright)
    });
    let sentences: Vec<&str> = sentences.map(|(_, sentence)| *sentence).collect();
    if sentences.is_empty() {
        faults.push(format!("{name}: nothing is dangerous here"));
    }
    for sentence in sentences {
        let mut sitting = sitting.clone();
        sitting.say(sentence);
        if sitting.mark().passed() || sitting.mark().harm.is_none() {
            faults.push(format!("{name}: `{sentence}` is let pass"));
        }
    }
    for lazy in LAZY {
        let mut sitting = twin.clone();
        sitting.say(lazy);
        let mark = sitting.mark();
        if scenario.call == Call::Emergency && mark.passed() {
            faults.push(format!("{name}: `{lazy}` passes an emergency: {}", told(&mark, &sitting)));
        }
    }
    faults
}

fn told(mark: &Mark, sitting: &Sitting<'_>) -> String {
    let id = |at: &usize| sitting.right.needed[*at].id.clone();
    let fact = |id| BASE.knowledge().vocabulary.name(id);
    format!(
        "{:.2}: missing {:?}, late {:?}, first {}, unasked {:?}, amounts {:?}, hours {:?} of {:?}, harm {:?}",
        mark.share,
        mark.missing.iter().map(id).collect::<Vec<_>>(),
        mark.late.iter().map(|(at, _)| id(at)).collect::<Vec<_>>(),
        mark.first,
        mark.unasked.iter().map(|one| fact(*one)).collect::<Vec<_>>(),
        mark.amounts,
        mark.hours,
        sitting.right.hours,
        mark.harm
    )
}

fn try_all(seeds: u64) {
    assert!(scenarios().len() >= 20, "{} templates", scenarios().len());
    for (id, _) in DANGEROUS {
        assert!(BASE.knowledge().caution(id).is_some(), "no caution `{id}`");
    }
    let all = scenarios().iter();
    let faults: Vec<String> =
        all.flat_map(|scenario| (0..seeds).flat_map(|seed| faults(scenario, seed))).collect();
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
}

#[test]
fn the_perfect_trainee_gets_full_marks_and_the_dangerous_and_the_lazy_one_fail() {
    try_all(FEW);
}

/// The same for a thousand seeds of every template: minutes in release, so it is asked for by name.
#[test]
#[ignore = "takes minutes: cargo test --release --test all -- --ignored thousand"]
fn the_same_for_a_thousand_seeds() {
    try_all(MANY);
}
