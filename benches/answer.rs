//! How long it takes: loading the knowledge, reading a message, one inference, one whole answer.
//!
//! `cargo bench` runs it. Compare medians: a busy machine spoils the mean.

use brumal::clock::Moment;
use brumal::engine::State;
use brumal::facts::{Origin, Value};
use brumal::language::{ReadingContext, read};
use brumal::render::{View, answer_json, answer_text};
use brumal::session::{Base, Session, Settings};
use brumal::units::System;
use divan::{Bencher, black_box};
use std::path::Path;

const PUMP: &str =
    "pump at the back pool died about 4, its 19 out and windy, breaker keeps tripping";
const WATER: &str = "ph 7.2 alk 90 ch 180 cya 20 fc .5, water 44, plaster";
const NOTHING: &str = "good morning";
const MESSAGES: [&str; 3] = [PUMP, WATER, NOTHING];

fn main() {
    divan::main();
}

#[expect(clippy::expect_used, reason = "a bench without its subject has nothing to measure")]
fn at() -> Moment {
    Moment::parse("2026-01-14T06:40:00-05:00").expect("a moment")
}

#[expect(clippy::expect_used, reason = "a bench without its subject has nothing to measure")]
fn base() -> Base {
    Base::packed().expect("what ships is in order")
}

/// The knowledge as it is packed into the program: what every start pays.
#[divan::bench]
fn load_packed() -> Base {
    base()
}

/// The knowledge from its folder, read and checked: what a knowledge author pays.
#[divan::bench(sample_count = 20)]
#[expect(clippy::expect_used, reason = "a bench without its subject has nothing to measure")]
fn load_folder() -> Base {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("knowledge");
    Base::from_folder(&folder).expect("what ships is in order")
}

/// Text to facts, nothing else.
#[divan::bench(args = MESSAGES)]
fn read_message(bencher: Bencher<'_, '_>, message: &str) {
    let base = base();
    let context = ReadingContext::default();
    bencher.bench_local(|| read(black_box(message), &context, base.knowledge()));
}

/// A cold morning with a stopped pump through all the rules, from stated facts to the fixed point.
#[divan::bench]
fn one_inference(bencher: Bencher<'_, '_>) {
    let base = base();
    let words = &base.knowledge().vocabulary;
    let facts: Vec<_> = [
        ("pump.running", Value::Flag(false)),
        ("pump.trips_breaker", Value::Flag(true)),
        ("air.temperature", Value::Number(-7.2)),
        ("wind.speed", Value::Number(4.0)),
        ("plumbing.exposed", Value::Flag(true)),
        ("plumbing.diameter", Value::Number(40.0)),
        ("water.temperature", Value::Number(4.0)),
    ]
    .into_iter()
    .filter_map(|(name, value)| Some((words.find(name)?, value)))
    .collect();
    assert_eq!(facts.len(), 7, "a fact of the bench has lost its name");
    bencher.bench_local(|| {
        let mut state = State::new(&base.network);
        for (id, value) in &facts {
            state.state(*id, *value, Origin::Message);
        }
        state.run();
        state
    });
}

/// One message, one answer, a new conversation each time.
#[divan::bench(args = MESSAGES)]
fn whole_answer(bencher: Bencher<'_, '_>, message: &str) {
    let base = base();
    let at = at();
    bencher.bench_local(|| Session::new(&base, Settings::default()).turn(black_box(message), at));
}

/// Writing an answer down.
#[divan::bench(args = ["text", "json"])]
fn write_down(bencher: Bencher<'_, '_>, format: &str) {
    let base = base();
    let answer = Session::new(&base, Settings::default()).turn(PUMP, at());
    let words = &base.knowledge().vocabulary;
    let view = View { width: 80, colour: false, units: System::Us, plain: false };
    bencher.bench_local(|| {
        let mut out = Vec::with_capacity(8192);
        let written = match format {
            "json" => answer_json(&mut out, &answer, words, None),
            _ => answer_text(&mut out, &answer, words, view),
        };
        written.map(|()| out)
    });
}
