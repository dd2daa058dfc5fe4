//! A long run of odd messages through the reader and through whole answers: no panic, no hang, the same twice.
//!
//! `BRUMAL_FUZZ_MINUTES=20 cargo test --release --test all -- --ignored fuzz --nocapture`

use crate::reading::word;
use brumal::clock::Moment;
use brumal::language::{ReadingContext, read};
use brumal::session::{Base, Session, Settings};
use proptest::prelude::*;
use proptest::strategy::ValueTree as _;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use std::sync::LazyLock;
use std::time::{Duration, Instant};

static BASE: LazyLock<Base> = LazyLock::new(|| Base::packed().unwrap());

/// A message of up to 4 KiB: words of the trade in any order, lines of our sets cut and joined, or any signs.
fn message() -> impl Strategy<Value = String> {
    let corpus: Vec<String> = ["shared", "own-phenomena", "own-fourth", "phenomena", "strangers"]
        .iter()
        .flat_map(|set| crate::reading::scoring::lines(&format!("{set}.jsonl")))
        .map(|line| line.text)
        .collect();
    let line = proptest::sample::select(corpus);
    prop_oneof![
        3 => proptest::collection::vec(word(), 0..60).prop_map(|words| words.join(" ")),
        3 => proptest::collection::vec((line, any::<u16>()), 1..6).prop_map(|lines| {
            let cut = |(line, at): &(String, u16)| -> String {
                line.chars().skip(usize::from(at % 23)).collect()
            };
            lines.iter().map(cut).collect::<Vec<_>>().join(" ")
        }),
        1 => any::<String>(),
        1 => (word(), 1usize..1200).prop_map(|(word, times)| word.repeat(times)),
    ]
    .prop_map(|text| {
        let end = text.char_indices().map(|(at, _)| at).take_while(|at| *at <= 4096).last();
        text.get(..end.unwrap_or(0)).unwrap_or("").to_owned()
    })
}

#[test]
#[ignore = "takes twenty minutes"]
#[expect(
    clippy::disallowed_methods,
    reason = "a fuzz run is told by the environment how long, and times each message"
)]
fn fuzz() {
    let minutes = std::env::var("BRUMAL_FUZZ_MINUTES").ok().and_then(|n| n.parse::<u64>().ok());
    let end = Instant::now() + Duration::from_secs(60 * minutes.unwrap_or(20));
    let seed = [7u8; 32];
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &seed);
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    let strategy = message();
    let moment = Moment::parse("2026-01-14T06:40:00-05:00").unwrap();
    let knowledge = BASE.knowledge();
    let (mut reads, mut answers, mut slowest) = (0u64, 0u64, Duration::ZERO);
    while Instant::now() < end {
        let text = strategy.new_tree(&mut runner).unwrap().current();
        let mut took = Duration::MAX;
        let mut first = None;
        // A busy machine may take the time of one reading away; hardly of five.
        for _ in 0..5 {
            let start = Instant::now();
            first = Some(read(&text, &ReadingContext::default(), knowledge));
            took = took.min(start.elapsed());
            if took < Duration::from_millis(20) {
                break;
            }
        }
        if took > slowest {
            slowest = took;
            println!("slowest reading {slowest:?} of {} bytes", text.len());
        }
        // Built without optimizations the program is some twenty times slower.
        let limit = if cfg!(debug_assertions) { 2000 } else { 100 };
        assert!(took < Duration::from_millis(limit), "{took:?} for {text:?}");
        let again = read(&text, &ReadingContext::default(), knowledge);
        assert_eq!(first, Some(again), "{text:?}");
        reads += 1;
        if reads % 8 == 0 {
            let answer = || Session::new(&BASE, Settings::default()).turn(&text, moment);
            assert_eq!(answer(), answer(), "{text:?}");
            answers += 1;
        }
    }
    println!("{reads} messages read twice, {answers} answered twice, slowest reading {slowest:?}");
}
