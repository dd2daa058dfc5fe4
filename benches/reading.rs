//! Reading messages: a typical one, and texts of doubling length (the time should double with them).

use brumal::knowledge::{Knowledge, read_folder};
use brumal::language::{ReadingContext, read};
use divan::counter::{BytesCount, ItemsCount};
use std::path::Path;

const MESSAGES: [&str; 4] = [
    "pump at the back pool died about 4, its 19 out and windy, breaker keeps tripping",
    "ph 7.2 alk 90 ch 180 cya 20 fc .5, water 44, plaster",
    "if the power goes out at midnight and it's 12F, how long have I got?",
    "no leaks, heater was off last night but it's running again, pressure up from 12 to 21 psi",
];

fn knowledge() -> Knowledge {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("knowledge");
    let knowledge = Knowledge::load(&read_folder(&folder).unwrap_or_default()).value;
    assert!(!knowledge.rules.is_empty(), "the bench has lost its knowledge");
    knowledge
}

fn main() {
    divan::main();
}

#[divan::bench]
fn typical(bencher: divan::Bencher<'_, '_>) {
    let knowledge = knowledge();
    bencher.counter(ItemsCount::new(MESSAGES.len())).bench(|| {
        MESSAGES.map(|text| read(divan::black_box(text), &ReadingContext::default(), &knowledge))
    });
}

#[divan::bench(args = [1024, 4096, 16_384, 65_536, 262_144, 1_048_576], sample_count = 5)]
fn length(bencher: divan::Bencher<'_, '_>, bytes: usize) {
    let knowledge = knowledge();
    let mut text = MESSAGES.join(" ").repeat(bytes / 250 + 1);
    text.truncate(bytes);
    bencher
        .counter(BytesCount::new(bytes))
        .bench(|| read(divan::black_box(&text), &ReadingContext::default(), &knowledge));
}
