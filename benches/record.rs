//! How long the record takes at the size of a company: 200 pools, and 10 thousand to a million visits.
//!
//! `cargo bench --bench record` runs it up to 100 thousand visits; with `BRUMAL_BENCH_MILLION` set it takes the million
//! in. Files are made once, under `target/tmp` (look at their sizes there).

use brumal::clock::Moment;
use brumal::logbook::{
    Held, NewVisit, PoolRecord, ProfileEntry, Reading, Record, Sqlite, Store, Visit,
};
use brumal::plan::AHEAD_DAYS;
use brumal::session::{Base, Book, Keep, Session, Settings, round, season_report};
use brumal::units::System;
use divan::{Bencher, black_box};
use std::path::PathBuf;

const POOLS: u32 = 200;
const FACTS: [&str; 10] = [
    "water.temperature",
    "water.ph",
    "water.free_chlorine",
    "water.total_alkalinity",
    "water.calcium_hardness",
    "water.cyanuric_acid",
    "air.temperature",
    "air.low_past",
    "filter.pressure",
    "water.level_drop",
];

/// How many visits.
#[expect(clippy::disallowed_methods, reason = "who runs the bench says how far it goes")]
fn sizes() -> impl Iterator<Item = u32> {
    let million = std::env::var_os("BRUMAL_BENCH_MILLION").map(|_| 1_000_000);
    [10_000, 100_000].into_iter().chain(million)
}

fn main() {
    divan::main();
}

#[expect(clippy::expect_used, reason = "a bench without its subject has nothing to measure")]
fn at(text: &str) -> Moment {
    Moment::parse(text).expect("a moment")
}

fn now() -> Moment {
    at("2026-01-14T06:40:00-05:00")
}

#[expect(clippy::expect_used, reason = "a bench without its subject has nothing to measure")]
fn base() -> Base {
    Base::packed().expect("what ships is in order")
}

fn reading(n: u32, fact: &str) -> Reading {
    Reading {
        fact: fact.to_owned(),
        value: Held::Number(5.0 + f64::from(n % 37) / 10.0),
        given: String::new(),
        method: "drop test".to_owned(),
    }
}

/// Two visits a week backwards from now, until there are so many in all.
fn visit(pool: u32, back: u32) -> Visit {
    let at = now().plus_hours(-84.0 * f64::from(back) - 1.0 - f64::from(pool) / 100.0);
    Visit {
        id: format!("pool-{pool}.{back}"),
        pool: format!("pool-{pool}"),
        at,
        who: "Ida Fenn".to_owned(),
        note: String::new(),
        readings: (pool..).zip(FACTS).map(|(n, fact)| reading(n * 7 + back, fact)).collect(),
        additions: Vec::new(),
        tasks: ["skim", "baskets", "test"].map(str::to_owned).to_vec(),
        photos: Vec::new(),
        corrections: Vec::new(),
    }
}

#[expect(clippy::expect_used, reason = "a bench without its subject has nothing to measure")]
fn file(visits: u32) -> PathBuf {
    let file = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(format!("record-{visits}.sqlite"));
    if file.exists() {
        return file;
    }
    let store = Sqlite::open(&file).expect("a new log");
    for pool in 0..POOLS {
        let id = format!("pool-{pool}");
        let name = format!("Invented Pool {pool}");
        let added = at("2005-01-01T08:00:00-05:00");
        let mut records =
            vec![Record::Pool(PoolRecord { id: id.clone(), name, added, retired: None })];
        for (name, value) in [("pool.surface", "plaster"), ("filter.kind", "sand")] {
            let entry = ProfileEntry {
                name: name.to_owned(),
                value: Some(Held::Word(value.to_owned())),
                given: String::new(),
                since: added,
                who: String::new(),
                why: String::new(),
            };
            records.push(Record::Profile { pool: id.clone(), entry });
        }
        records.extend((0..visits / POOLS).map(|back| Record::Visit(visit(pool, back))));
        store.import(&records).expect("kept");
    }
    file
}

/// Opening the log and answering with a pool's history.
#[divan::bench(args = sizes(), sample_count = 20, sample_size = 1)]
#[expect(clippy::expect_used, reason = "a bench without its subject has nothing to measure")]
fn open_and_answer(bencher: Bencher<'_, '_>, visits: u32) {
    let (base, file) = (base(), file(visits));
    bencher.bench_local(|| {
        let store = Sqlite::open_to_read(&file).expect("the log");
        let mut session = Session::new(&base, Settings::default());
        session.with_book(Book::new(&store, Keep::Nothing, "").expect("pools"));
        black_box(session.turn("invented pool 77: ph 7.2, water 44", now()));
    });
}

/// What is due at all pools.
#[divan::bench(args = sizes(), sample_count = 20, sample_size = 1)]
#[expect(clippy::expect_used, reason = "a bench without its subject has nothing to measure")]
fn due_for_all(bencher: Bencher<'_, '_>, visits: u32) {
    let (base, file) = (base(), file(visits));
    let store = Sqlite::open_to_read(&file).expect("the log");
    bencher
        .bench_local(|| black_box(round(&base, &store, None, now(), AHEAD_DAYS).expect("a round")));
}

/// A season's report of one pool, as a page.
#[divan::bench(args = sizes(), sample_count = 20, sample_size = 1)]
#[expect(clippy::expect_used, reason = "a bench without its subject has nothing to measure")]
fn report(bencher: Bencher<'_, '_>, visits: u32) {
    let (base, file) = (base(), file(visits));
    let store = Sqlite::open_to_read(&file).expect("the log");
    let pools = store.pools().expect("pools");
    let pool = pools.first().expect("a pool").clone();
    let stretch =
        brumal::logbook::Stretch { from: Some(at("2025-10-01T00:00:00-05:00")), to: None };
    bencher.bench_local(|| {
        let report = season_report(&base, &store, &pool, stretch, (now(), System::Us));
        let mut page = Vec::new();
        brumal::render::report_html(&mut page, &report.expect("a report")).expect("a page");
        black_box(page)
    });
}

/// Keeping one visit of ten readings, safely on the disk.
#[divan::bench(sample_count = 50, sample_size = 1)]
#[expect(clippy::expect_used, reason = "a bench without its subject has nothing to measure")]
fn keep_one_visit(bencher: Bencher<'_, '_>) {
    let file = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("record-keep.sqlite");
    let _ = std::fs::remove_file(&file);
    let store = Sqlite::open(&file).expect("a new log");
    let pool = brumal::logbook::NewPool { name: "x".to_owned(), added: now(), profile: Vec::new() };
    store.add_pool(&pool).expect("a pool");
    bencher.bench_local(|| {
        let mut new = NewVisit::new(now(), "Ida Fenn");
        new.readings = (0..).zip(FACTS).map(|(n, fact)| reading(n, fact)).collect();
        store.add_visit("x", &new).expect("kept")
    });
}
