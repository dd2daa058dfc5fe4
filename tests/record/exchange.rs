//! Out and in again: the same record. Hostile cells come back as they were, or are refused by name.

use super::{at, filled, pool, reading};
use brumal::logbook::{
    Held, NewVisit, Record, Sqlite, Store, Stretch, read_csv, read_jsonl, write_csv, write_jsonl,
};
use proptest::prelude::*;

fn records(store: &dyn Store) -> Vec<Record> {
    let mut all = Vec::new();
    store
        .export(&mut |record| {
            all.push(record.clone());
            Ok(())
        })
        .unwrap();
    all
}

fn jsonl(store: &dyn Store) -> String {
    let mut out = Vec::new();
    write_jsonl(store, &mut out).unwrap();
    String::from_utf8(out).unwrap()
}

fn csv(store: &dyn Store) -> String {
    let mut out = Vec::new();
    write_csv(store, &mut out).unwrap();
    String::from_utf8(out).unwrap()
}

#[test]
fn what_was_exported_imports_as_the_same_log_twice_over() {
    let store = filled();
    for read in [read_jsonl(&jsonl(&store)).unwrap(), read_csv(&csv(&store)).unwrap()] {
        let copy = Sqlite::in_memory().unwrap();
        let first = copy.import(&read).unwrap();
        assert_eq!((first.pools, first.visits, first.known), (2, 1, 0));
        assert_eq!(records(&copy), records(&store));
        assert_eq!(jsonl(&copy), jsonl(&store));
        let again = copy.import(&read).unwrap();
        assert_eq!(
            (again.pools, again.visits, again.others),
            (0, 0, 0),
            "duplicates are recognised"
        );
        assert_eq!(jsonl(&copy), jsonl(&store));
    }
}

#[test]
fn all_or_nothing() {
    let store = filled();
    let mut broken = records(&store);
    let Record::Visit(visit) =
        broken.iter().find(|r| matches!(r, Record::Visit(_))).unwrap().clone()
    else {
        panic!()
    };
    broken.push(Record::Visit(brumal::logbook::Visit {
        pool: "nowhere".to_owned(),
        id: "x".to_owned(),
        ..visit
    }));
    let copy = Sqlite::in_memory().unwrap();
    assert!(copy.import(&broken).is_err());
    assert!(copy.pools().unwrap().is_empty(), "nothing was taken in");
}

fn with_note(note: &str) -> Sqlite {
    let store = Sqlite::in_memory().unwrap();
    let id = pool(&store, "Quarry Lane 9");
    let mut visit =
        NewVisit::new(at("2026-01-12T10:00:00-05:00"), note.chars().take(50).collect::<String>());
    visit.note = note.to_owned();
    visit.readings = vec![reading("water.ph", 7.25)];
    visit.readings[0].given = note.to_owned();
    store.add_visit(&id, &visit).unwrap();
    store
}

#[test]
fn no_cell_of_a_csv_is_a_formula() {
    for note in ["=1+1", "+1", "-1", "@x", "\t=1", "\r=1", "'=1", "=HYPERLINK(\"x\")"] {
        let text = csv(&with_note(note));
        let mut reader = ::csv::Reader::from_reader(text.as_bytes());
        for row in reader.records() {
            for cell in row.unwrap().iter() {
                let number = cell.parse::<f64>().is_ok();
                assert!(number || !cell.starts_with(['=', '+', '-', '@', '\t', '\r']), "{cell:?}");
            }
        }
    }
}

#[test]
fn a_cell_beyond_all_measure_is_refused_by_name() {
    let store = with_note(&"x".repeat((1 << 20) + 1));
    let told = read_jsonl(&jsonl(&store)).unwrap_err();
    assert!(told.message.contains("`note` is longer than 1 MiB"), "{told}");
    let told = read_csv(&csv(&store)).unwrap_err();
    assert!(told.message.contains("`note` is longer than 1 MiB"), "{told}");
    let store = with_note(&"水".repeat((1 << 20) / 3));
    let copy = Sqlite::in_memory().unwrap();
    copy.import(&read_csv(&csv(&store)).unwrap()).unwrap();
    assert_eq!(records(&copy), records(&store));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Quotes, line ends, NUL, marks that turn the reading direction, emoji: all come back.
    #[test]
    fn any_words_come_back(
        note in "(\\PC|[\u{0}\r\n\t\"',;=@+-]|\u{202e}|\u{2066}|👩‍🔧|\u{feff}){0,60}",
        value in prop_oneof![Just(-7.25_f64), -1e9..1e9_f64, Just(1e-7)],
    ) {
        let store = with_note(&note);
        let mut visit = NewVisit::new(at("2026-01-13T10:00:00-05:00"), "");
        visit.readings = vec![reading("water.x", value)];
        visit.note = note.clone();
        store.add_visit("quarry-lane-9", &visit).unwrap();
        let kept = store.visits("quarry-lane-9", Stretch::default(), 9).unwrap();
        prop_assert_eq!(&kept[0].note, &note);
        let Held::Number(held) = kept[0].readings[0].value else { panic!() };
        prop_assert!((held - value).abs() <= value.abs() * 1e-11);
        for read in [read_jsonl(&jsonl(&store)).unwrap(), read_csv(&csv(&store)).unwrap()] {
            let copy = Sqlite::in_memory().unwrap();
            copy.import(&read).unwrap();
            prop_assert_eq!(records(&copy), records(&store));
        }
    }
}
