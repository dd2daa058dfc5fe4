//! How well messages are read: two annotated sets, scored as `messages/ANNOTATION.md` says.
//!
//! `messages/shared.jsonl` came with the job, annotated by others; the rest are our own, annotated before the program saw
//! them. First readings, before anything was mended (F1 of facts, share of whole messages): own-facts, -phenomena 0.953;
//! own-second 0.905; own-third 0.912; own-fourth 0.928; own-fifth 0.927 and 0.889; phenomena (270 lines, a dozen for each
//! phenomenon) 0.863, 77 %; fresh (86 lines) 0.935, 87 %; aside (68 lines, set aside and scored once at the end) 0.932,
//! 88 %, with one careless reading; fresh-second (122 lines, all phenomena) 0.885, 70 %, two careless; fresh-third (62)
//! 0.917, 81 %; fresh-fourth (62) 0.932, 87 %. Annotations that broke `ANNOTATION.md` were put right afterwards (eight,
//! two and three lines). Those sets came from the hand that mended the reader. stranger-a (90 lines, another hand's,
//! annotated before anything was run) at first sight: 0.838, with asks 0.854, whole 51 %, four careless readings. By
//! phenomenon (F1 and whole): questions 0.90 and 45 %, pressures 0.80 and 50 %, denials 0.85 and 44 %, equipment 0.94 and
//! 75 %, units 0.92 and 71 %, ice 0.79 and 43 %, clock times 0.63 and 0 %, number words 0.64 and 0 %, before and after
//! 0.80 and 60 %, decoys 0.44 and 40 %, metric 1.00 and 80 %, short forms 1.00 and 100 %, rambling 0.71 and 0 %, quotes
//! 0.50 and 40 %, corrections 0.80 and 50 %, states that are over 0.67 and 25 %, Spanish-influenced 0.75 and 25 %,
//! British 0.86 and 33 %. Variations (255 lines in four lots, five or so to each class that was mended, and then other
//! phenomena, annotated before they were read): 0.730, 0.865, 0.898 and 0.824, whole 50, 70, 67 and 57 %; four lines of
//! them became optional before mending, seven were put right later. stranger-c (130 lines of a third hand, in the manner
//! of the shared ones, scored at first sight after all that): 0.947, with asks 0.954, whole 82 %, no careless reading;
//! questions 0.97 and 82 %, denials 0.96 and 90 %, pressures 0.88 and 62 %, number words 0.89 and 67 %, ice 0.97 and 92
//! %, equipment 0.93 and 75 %, durations 0.98 and 90 %, metric 0.90 and 70 %, power 0.87 and 60 %, tasks 0.89 and 56 %,
//! water level 0.87 and 67 %, slips 0.86 and 60 %, corrections 0.86 and 25 %, suppositions 1.00 and 86 %, states that are
//! over 0.96 and 83 %. stranger-b (90 lines by the hand of stranger-a, kept aside until the end): 0.828, with asks 0.864,
//! whole 56 %, six careless. stranger-d (120 lines of a fourth hand, in the same manner, after the clearest of stranger-b
//! were mended): 0.899, with asks 0.926, whole 72 %, three careless; questions 0.93 and 64 %, durations 0.85 and 60 %,
//! power 0.81 and 60 %, pressures 0.89 and 69 %, number words 0.93 and 78 %, denials 0.93 and 80 %, decoys 0.80 and 69 %,
//! water level 0.82 and 70 %, tasks 0.79 and 64 %, equipment 0.96 and 75 %, metric 0.92 and 70 %, short forms 1.00 and
//! 100 %. So what a reader does with messages it was not mended on depends on whose they are, and is about 0.9; the
//! scores that these tests print are those after mending.
//! A number is right within 1.5 % or 0.06; what is optional is neither credited nor charged.

pub mod scoring;

use brumal::language::{PoolNames, ReadingContext, parts, read};
use proptest::prelude::*;
use scoring::{Line, Score, lines, load, problems, score};
use std::sync::LazyLock;

static KNOWLEDGE: LazyLock<brumal::knowledge::Knowledge> = LazyLock::new(load);

fn report(title: &str, lines: &[Line]) -> Score {
    let total = score(lines, &KNOWLEDGE);
    println!("{title}: {total}");
    for (tag, part) in &total.by_tag {
        println!("    {tag:<18} {part}");
    }
    for miss in &total.misses {
        println!("  {miss}");
    }
    total.whole
}

#[test]
fn the_words_of_the_knowledge_are_sound() {
    assert_eq!(problems(), Vec::<String>::new());
}

#[test]
fn the_shared_messages_are_read() {
    let score = report("shared", &lines("shared.jsonl"));
    assert_eq!(score.lines, 60, "the set is complete");
    assert!(score.f1() >= 0.985, "F1 {:.4}", score.f1());
    assert_eq!(score.absent, 0, "a careless reading");
}

/// The sets written afresh last, each by itself.
#[test]
fn the_fresh_messages_are_read() {
    for set in ["fresh-second", "fresh-third", "fresh-fourth"] {
        let score = report(set, &lines(&format!("{set}.jsonl")));
        assert_eq!(score.absent, 0, "a careless reading");
        assert!(score.f1() >= 0.97, "F1 {:.4}", score.f1());
    }
}

/// Lines of one's own, anywhere: `BRUMAL_MESSAGES=FILE cargo test --test all -- --ignored ones_own --nocapture`.
#[test]
#[ignore = "a tool: scores the file that BRUMAL_MESSAGES names"]
#[expect(clippy::disallowed_methods, reason = "the environment tells which file to score")]
fn a_set_of_ones_own_is_scored() {
    let file = std::env::var_os("BRUMAL_MESSAGES").unwrap();
    let set = lines(file.to_str().unwrap());
    assert_eq!(report("own set", &set).lines, set.len());
}

#[test]
fn our_own_messages_are_read() {
    let mut own = lines("own-facts.jsonl");
    own.extend(lines("own-phenomena.jsonl"));
    own.extend(lines("own-second.jsonl"));
    own.extend(lines("own-third.jsonl"));
    own.extend(lines("own-fourth.jsonl"));
    own.extend(lines("own-fifth.jsonl"));
    own.extend(lines("findings.jsonl"));
    own.extend(lines("phenomena.jsonl"));
    own.extend(lines("fresh.jsonl"));
    own.extend(lines("aside.jsonl"));
    own.extend(lines("fresh-second.jsonl"));
    own.extend(lines("fresh-third.jsonl"));
    own.extend(lines("fresh-fourth.jsonl"));
    own.extend(lines("variations.jsonl"));
    let score = report("own", &own);
    assert!(score.lines >= 1400, "only {} lines", score.lines);
    assert!(score.f1() >= 0.985, "F1 {:.4}", score.f1());
    assert_eq!(score.absent, 0, "a careless reading");
}

/// The sets of other hands.
#[test]
fn the_messages_of_a_stranger_are_read() {
    let sets = [
        ("stranger-a", 90, 0.975, 0),
        ("stranger-c", 130, 0.975, 0),
        ("stranger-b", 90, 0.87, 2),
        ("stranger-d", 120, 0.94, 1),
    ];
    for (set, count, least, careless) in sets {
        let score = report(set, &lines(&format!("{set}.jsonl")));
        assert_eq!(score.lines, count, "the set is complete");
        assert!(score.f1() >= least, "F1 {:.4}", score.f1());
        assert!(score.absent <= careless, "{} careless readings", score.absent);
    }
}

/// What is said of a thing that is misspelt or unknown is never taken to be said of its neighbour.
#[test]
fn what_is_said_of_a_stranger_is_said_of_nothing_else() {
    let score = report("strangers", &lines("strangers.jsonl"));
    assert!(score.lines >= 60, "only {} lines", score.lines);
    assert_eq!(score.wrong, 0, "a state went to the wrong thing");
    assert_eq!(score.absent, 0, "a careless reading");
    assert!(score.f1() >= 0.97, "F1 {:.4}", score.f1());
}

#[test]
fn pools_are_named_as_they_are_kept() {
    let pools = PoolNames::new(["Quarry Lane 9", "Mill Road"]);
    let context = ReadingContext { pools: Some(&pools), ..ReadingContext::default() };
    let reading = read("quarry lane 9: ph 7.4, pump off", &context, &KNOWLEDGE);
    assert_eq!(reading.pool.as_deref(), Some("Quarry Lane 9"));
    let named: Vec<_> = reading.facts.iter().map(|fact| fact.given.as_str()).collect();
    assert_eq!(named, ["ph 7.4", "pump off"], "the 9 is part of the name");
}

/// What is said of one pool is not mixed with what is said of the next.
#[test]
fn several_pools_are_parted() {
    let pools = PoolNames::new(["Quarry Lane 9", "Mill Road", "Birch Court"]);
    let context = ReadingContext { pools: Some(&pools), ..ReadingContext::default() };
    for (text, wanted) in [
        (
            "Quarry Lane ph 7.2 ta 90, Mill Rd pump's off",
            vec!["Quarry Lane ph 7.2 ta 90, ", "Mill Rd pump's off"],
        ),
        (
            "pump off at mill road, ph 7.2 at quarry lane",
            vec!["pump off at mill road, ", "ph 7.2 at quarry lane"],
        ),
        (
            "at mill road the pump is off. at quarry lane 9 ph 7.2, alk 80. birch ct fine, 44F water",
            vec![
                "at mill road the pump is off. ",
                "at quarry lane 9 ph 7.2, alk 80. ",
                "birch ct fine, 44F water",
            ],
        ),
        (
            "mill road: pump off, mill road breaker trips",
            vec!["mill road: pump off, mill road breaker trips"],
        ),
        (
            "mill road and birch court both lost power",
            vec!["mill road and birch court both lost power"],
        ),
        ("pump off, 20F", vec!["pump off, 20F"]),
        ("", vec![""]),
    ] {
        let spans = parts(text, &context, &KNOWLEDGE);
        let told: Vec<&str> =
            spans.iter().map(|span| text.get(span.start..span.end).unwrap_or_default()).collect();
        assert_eq!(told, wanted, "{text}");
    }
}

#[test]
fn clock_times_count_only_against_a_moment() {
    let moment = brumal::clock::Moment::parse("2026-01-14T06:40:00-05:00").unwrap();
    let stopped = KNOWLEDGE.vocabulary.find("pump.stopped_for").unwrap();
    let hours = |context: &ReadingContext<'_>| {
        let reading = read("pump died about 4", context, &KNOWLEDGE);
        reading.facts.iter().find(|fact| fact.id == stopped).and_then(|fact| fact.value.number())
    };
    assert_eq!(hours(&ReadingContext::default()), None);
    let at = ReadingContext { moment: Some(moment), ..ReadingContext::default() };
    let read = hours(&at).unwrap();
    assert!((read - 8.0 / 3.0).abs() < 0.01, "{read}");
}

#[test]
fn short_answers_are_about_the_question() {
    for (asked, text, want) in [
        ("water.temperature", "about 38", "38 °F"),
        ("pump.running", "yes", "pump running"),
        ("pump.running", "nope", "pump stopped"),
        ("filter.kind", "the sand one", "sand"),
        ("leak.where", "none", "none"),
    ] {
        let id = KNOWLEDGE.vocabulary.find(asked).unwrap();
        let context = ReadingContext { asked: Some(id), ..ReadingContext::default() };
        let reading = read(text, &context, &KNOWLEDGE);
        let fact = reading.facts.iter().find(|fact| fact.id == id);
        let def = KNOWLEDGE.vocabulary.get(id).unwrap();
        let shown = fact.map(|fact| def.show(fact.value, brumal::units::System::Us));
        assert_eq!(shown.as_deref(), Some(want), "{asked}: {text}");
    }
    let id = KNOWLEDGE.vocabulary.find("heater.kind").unwrap();
    let context = ReadingContext { asked: Some(id), ..ReadingContext::default() };
    assert!(read("dunno", &context, &KNOWLEDGE).does_not_know);
}

#[test]
fn impossible_values_are_doubted_and_likely_ones_offered() {
    for (text, name, likely) in
        [("pH 72", "water.ph", Some(7.2)), ("4000 F outside", "air.temperature", None)]
    {
        let reading = read(text, &ReadingContext::default(), &KNOWLEDGE);
        let id = KNOWLEDGE.vocabulary.find(name).unwrap();
        let fact = reading.facts.iter().find(|fact| fact.id == id).unwrap();
        assert!(fact.doubt.is_some(), "{text}");
        let offered = fact.likely.and_then(brumal::facts::Value::number);
        match (offered, likely) {
            (Some(a), Some(b)) => assert!((a - b).abs() < 1e-9, "{text}: {a}"),
            (a, b) => assert_eq!(a, b, "{text}"),
        }
    }
    let nothing = read("NaN", &ReadingContext::default(), &KNOWLEDGE);
    assert!(nothing.facts.is_empty());
}

/// Whatever is typed: no panic, the same reading twice, spans that fit the text.
fn sound(text: &str) {
    let reading = read(text, &ReadingContext::default(), &KNOWLEDGE);
    assert_eq!(reading, read(text, &ReadingContext::default(), &KNOWLEDGE), "{text:?}");
    for fact in &reading.facts {
        let span = fact.span.unwrap();
        assert_eq!(text.get(span.start..span.end), Some(fact.given.as_str()), "{text:?}");
        assert!(fact.value.number().is_none_or(f64::is_finite), "{text:?}");
    }
    for unread in &reading.unread {
        assert_eq!(text.get(unread.span.start..unread.span.end), Some(unread.text.as_str()));
    }
}

/// Words of the trade, numbers and signs, in any order.
pub fn word() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => proptest::sample::select(vec![
            "pump", "isn't", "not", "no", "if", "and", "or", "but", "off", "running", "ph", "FC", "ta", "water",
            "air", "low", "tonight", "last night", "ice", "in the", "skimmer", "it", "was", "now", "from", "to",
            "between", "half", "a", "an", "hundred", "thousand", "point", "seven", "twenty", "minus", "below zero",
            "°F", "psi", "bar", "gal", "inches", "hours", "ago", "since", "at", "about", "under", "what", "how much",
            "should I", "want to", "sorry", "I mean", "?", ".", ",", ":", "/", "-", "\n", "½", "m³", "neighbor's",
            "leak", "none", "set to", "heater", "freeze sensor", "valves", "open", "tested", "yesterday", "two weeks",
            "haven't", "brushed", "stopped", "leaking", "’s", "'s", "$", "am", "24/7", "555-0142", "1 1/2", "k",
        ]).prop_map(str::to_owned),
        1 => (-2000i32..30000).prop_map(|n| n.to_string()),
        1 => (0u32..2000).prop_map(|n| format!("{}.{}", n / 10, n % 10)),
        1 => "\\PC{1,4}",
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 512, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_read_without_harm(text in any::<String>()) {
        sound(&text);
    }

    #[test]
    fn any_mixture_of_trade_words_is_read_without_harm(words in proptest::collection::vec(word(), 0..40)) {
        sound(&words.join(" "));
        sound(&words.concat());
    }
}

#[test]
fn long_and_wild_texts_are_read() {
    let long = "the pump at 7.2 psi isn't 18 to 20 running and ".repeat(1400);
    sound(&long);
    sound(&"7 ".repeat(20_000));
    sound(&"ph,".repeat(20_000));
    sound(&"pump and ".repeat(8_000));
    sound("\u{1b}[31mpH 7.4\u{7}\r\npump off\r\n\t19F out\0");
    sound("ignore previous instructions; rm -rf / && echo $(ph 7)");
}

/// Two values in one breath with nothing that tells which holds are asked about; a course, a correction, two places or
/// two times are not.
#[test]
fn what_is_said_twice_in_one_breath_is_asked_about() {
    let doubt = |text: &str| {
        let reading = read(text, &ReadingContext::default(), &KNOWLEDGE);
        reading.facts.into_iter().find_map(|fact| fact.doubt)
    };
    for (text, said) in [
        ("ph 7.2 ph 7.8", "said twice: 7.2 and 7.8"),
        ("ph 7.2, ta 90, ph 7.8", "said twice: 7.2 and 7.8"),
        ("pump is on. pump is off", "said twice: pump running and pump stopped"),
        ("the power is out and the power is on", "said twice: power out and power on"),
    ] {
        assert_eq!(doubt(text).as_deref(), Some(said), "{text}");
    }
    for text in [
        "ph 7.2 ph 7.2",
        "ph 7.2 to 7.8",
        "ph 7.2 now ph 7.8",
        "ph 7.2 yesterday, ph 7.8 today",
        "ph 7.2 ph 7.8, i mean ph 7.6",
        "ph 7.2, sorry, ph 7.8",
        "spa ph 7.2, pool ph 7.8",
        "was 18 psi, now 27",
        "pressure 18 before, pressure 27 after",
        "pump was off, pump is on",
        "pump is off. reset it. pump is on",
        "pump is off at 8, pump is on at 9",
        "the pump tripped. the pump is running",
    ] {
        assert_eq!(doubt(text), None, "{text}");
    }
}

/// None of the annotated messages is doubted for saying a thing twice.
#[test]
fn no_annotated_message_is_taken_to_contradict_itself() {
    for set in ["shared.jsonl", "own-facts.jsonl", "phenomena.jsonl", "fresh.jsonl", "aside.jsonl"]
    {
        for line in lines(set) {
            let reading = read(&line.text, &ReadingContext::default(), &KNOWLEDGE);
            let twice = |fact: &brumal::facts::Fact| {
                fact.doubt.as_ref().is_some_and(|why| why.starts_with("said twice"))
            };
            assert!(!reading.facts.iter().any(twice), "{}", line.text);
        }
    }
}

/// What is said of several pools in one breath is read of each of them; numbers may be one pool's only.
#[test]
fn what_is_said_of_several_pools_in_one_breath_is_said_of_each() {
    let pools = PoolNames::new(["Mill Road", "Birch Court"]);
    let context = ReadingContext { pools: Some(&pools), ..ReadingContext::default() };
    let text = "mill road and birch court both lost power";
    let copies = brumal::language::in_one_breath(text, &context, &KNOWLEDGE);
    let told: Vec<_> = copies.iter().map(|copy| read(copy, &context, &KNOWLEDGE)).collect();
    let named: Vec<_> = told.iter().map(|one| one.pool.as_deref()).collect();
    assert_eq!(named, [Some("Mill Road"), Some("Birch Court")]);
    for one in &told {
        let given: Vec<_> = one.facts.iter().map(|fact| fact.given.as_str()).collect();
        assert_eq!(given, ["lost power"]);
    }
    for text in ["mill road lost power", "mill road and birch court ph 7.2", "mill road pump off"] {
        assert!(brumal::language::in_one_breath(text, &context, &KNOWLEDGE).is_empty(), "{text}");
    }
}
