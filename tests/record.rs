//! The record: nothing lost, nothing half there, what was true stays true, out and in again the same.

mod crash;
mod due;
mod exchange;
mod right;
mod talk;
mod trends;

use brumal::clock::Moment;
use brumal::logbook::{
    Account, Added, Amendment, Blackout, Held, NewPool, NewVisit, Part, Postponement, ProfileEntry,
    Reading, Sqlite, Store, Stretch,
};
use std::path::PathBuf;

pub(crate) fn at(text: &str) -> Moment {
    Moment::parse(text).unwrap()
}

/// An empty folder for one test.
pub(crate) fn folder(test: &str) -> PathBuf {
    crate::cli::home(&format!("record-{test}"))
}

pub(crate) fn reading(fact: &str, value: f64) -> Reading {
    Reading {
        fact: fact.to_owned(),
        value: Held::Number(value),
        given: format!("{fact} {value}"),
        method: "drop test".to_owned(),
    }
}

pub(crate) fn known(name: &str, value: &str, since: Moment) -> ProfileEntry {
    ProfileEntry {
        name: name.to_owned(),
        value: Some(Held::Word(value.to_owned())),
        given: value.to_owned(),
        since,
        who: "Ida".to_owned(),
        why: String::new(),
    }
}

pub(crate) fn pool(store: &dyn Store, name: &str) -> String {
    let added = at("2025-10-01T08:00:00-05:00");
    let profile = vec![known("filter.kind", "sand", added)];
    store.add_pool(&NewPool { name: name.to_owned(), added, profile }).unwrap().id
}

/// A record with something of every kind in it.
pub(crate) fn filled() -> Sqlite {
    let store = Sqlite::in_memory().unwrap();
    let (first, second) = (pool(&store, "Quarry Lane 9"), pool(&store, "Mill Race Lodge"));
    let mut visit = NewVisit::new(at("2026-01-12T10:00:00-05:00"), "Ida");
    visit.readings = vec![reading("water.ph", 7.2), reading("water.temperature", 20.0 / 3.0)];
    visit.additions = vec![Added {
        product: "bicarbonate".to_owned(),
        percent: Some(100.0),
        amount: 1.0 / 3.0,
        unit: "kg".to_owned(),
        given: "1/3 kg".to_owned(),
    }];
    visit.tasks = vec!["brush".to_owned(), "baskets".to_owned()];
    visit.photos = vec!["pad, north.jpg".to_owned()];
    let id = store.add_visit(&first, &visit).unwrap();
    let by = Account {
        at: at("2026-01-12T11:00:00-05:00"),
        who: "Bo".to_owned(),
        why: "misread".to_owned(),
    };
    let new = Some(reading("water.ph", 7.6));
    let ph = Amendment::Reading { fact: "water.ph".to_owned(), new };
    let brush = Amendment::Task { task: "brush".to_owned(), done: false };
    store.correct(&[(id.clone(), ph), (id, brush)], &by).unwrap();
    let until = at("2026-01-20T08:00:00-05:00");
    let postponed = Postponement {
        pool: first,
        task: "vacuum".to_owned(),
        until,
        who: "Ida".to_owned(),
        why: "ice".to_owned(),
    };
    store.postpone(&postponed).unwrap();
    let from = at("2025-12-24T00:00:00-05:00");
    store
        .add_blackout(&Blackout {
            pool: Some(second.clone()),
            from,
            to: until,
            why: "away".to_owned(),
        })
        .unwrap();
    store.retire_pool(&second, Some(until)).unwrap();
    store
}

#[test]
fn what_was_true_at_a_visit_stays_true_for_it() {
    let store = Sqlite::in_memory().unwrap();
    let id = pool(&store, "Quarry Lane 9");
    let changed = at("2026-01-01T08:00:00-05:00");
    store.add_profile(&id, &[known("filter.kind", "cartridge", changed)]).unwrap();
    let kind = |when: &str| store.profile(&id, at(when)).unwrap()[0].value.clone().unwrap();
    assert_eq!(kind("2025-12-01T08:00:00-05:00"), Held::Word("sand".to_owned()));
    assert_eq!(kind("2026-02-01T08:00:00-05:00"), Held::Word("cartridge".to_owned()));
    assert!(store.profile(&id, at("2025-09-01T08:00:00-05:00")).unwrap().is_empty());
}

#[test]
fn a_correction_keeps_the_old_value_with_who_when_and_why() {
    let store = filled();
    let visit = store.visits("quarry-lane-9", Stretch::default(), 9).unwrap().remove(0);
    let ph = visit.readings.iter().find(|reading| reading.fact == "water.ph").unwrap();
    assert_eq!(ph.value, Held::Number(7.6));
    let [correction, undone] = visit.corrections.as_slice() else { panic!("{visit:?}") };
    assert_eq!(correction.old, Some(Held::Number(7.2)));
    assert_eq!((correction.who.as_str(), correction.why.as_str()), ("Bo", "misread"));
    assert_eq!((undone.part, undone.fact.as_str()), (Part::Task, "brush"));
    assert_eq!(undone.old, Some(Held::Word("done".to_owned())));
    assert_eq!(visit.tasks, ["baskets"]);
}

/// Several parts are put right together or not at all; an addition that is another one meanwhile is left alone.
#[test]
fn an_addition_is_put_right_in_its_place() {
    let store = filled();
    let visit = store.visits("quarry-lane-9", Stretch::default(), 9).unwrap().remove(0);
    let by = Account { at: visit.at, who: "Bo".to_owned(), why: "read the scale wrong".to_owned() };
    let half = Added { amount: 0.5, given: "500 g".to_owned(), ..visit.additions[0].clone() };
    let (id, product) = (visit.id.clone(), "bicarbonate".to_owned());
    let right = |place| Amendment::Addition {
        product: product.clone(),
        place: Some(place),
        new: Some(half.clone()),
    };
    let told = store.correct(&[(id.clone(), right(0)), (id.clone(), right(7))], &by).unwrap_err();
    assert!(told.message.contains("changed meanwhile"), "{told}");
    assert_eq!(store.visit(&id).unwrap(), visit, "none of it was kept");
    store.correct(&[(id.clone(), right(0))], &by).unwrap();
    let mended = store.visit(&id).unwrap();
    assert_eq!(mended.additions, [half]);
    let before = mended.corrections.last().unwrap();
    assert_eq!((before.part, before.unit.as_str()), (Part::Addition, "kg"));
    assert_eq!(before.percent, Some(100.0));
    assert!((before.old.as_ref().unwrap().number().unwrap() - 1.0 / 3.0).abs() < 1e-9);
}

#[test]
fn a_name_is_taken_once_and_names_of_other_scripts_are_names() {
    let store = Sqlite::in_memory().unwrap();
    pool(&store, "Brücke 水 🏊");
    let again = NewPool {
        name: "Brücke 水 🏊".to_owned(),
        added: at("2026-01-01T08:00:00Z"),
        profile: Vec::new(),
    };
    assert!(store.add_pool(&again).unwrap_err().message.contains("already"));
    for name in ["", " x", "a\nb", "a\0b"] {
        assert!(store.add_pool(&NewPool { name: name.to_owned(), ..again.clone() }).is_err());
    }
}

/// A file of the first form, as the first step made it.
fn old_file(path: &std::path::Path, version: i64) {
    drop(Sqlite::open(path).unwrap());
    let raw = rusqlite::Connection::open(path).unwrap();
    raw.execute_batch(
        "DROP TABLE postponed; DROP TABLE blackout; DROP TABLE practice;
         ALTER TABLE correction DROP COLUMN part; ALTER TABLE correction DROP COLUMN unit;
         ALTER TABLE correction DROP COLUMN percent;",
    )
    .unwrap();
    raw.pragma_update(None, "user_version", version).unwrap();
}

#[test]
fn an_older_file_is_migrated_after_a_copy_and_a_newer_one_refused() {
    let folder = folder("forms");
    let old = folder.join("old.sqlite");
    old_file(&old, 1);
    let store = Sqlite::open(&old).unwrap();
    assert!(store.postponements().unwrap().is_empty());
    let copy = rusqlite::Connection::open(folder.join("old.sqlite.form-1")).unwrap();
    let form: i64 = copy.pragma_query_value(None, "user_version", |row| row.get(0)).unwrap();
    assert_eq!(form, 1);
    let new = folder.join("new.sqlite");
    old_file(&new, 99);
    let before = std::fs::read(&new).unwrap();
    let told = Sqlite::open(&new).unwrap_err();
    assert!(told.message.contains("newer brumal"), "{told}");
    assert_eq!(std::fs::read(&new).unwrap(), before, "it was not touched");
}

#[test]
fn a_foreign_database_and_a_text_file_are_refused_and_not_touched() {
    let folder = folder("foreign");
    let foreign = folder.join("foreign.sqlite");
    rusqlite::Connection::open(&foreign).unwrap().execute_batch("CREATE TABLE t (x)").unwrap();
    assert!(Sqlite::open(&foreign).unwrap_err().message.contains("another program"));
    let text = folder.join("notes.txt");
    std::fs::write(&text, "buy salt").unwrap();
    assert!(Sqlite::open(&text).unwrap_err().message.contains("damaged"));
    assert_eq!(std::fs::read(&text).unwrap(), b"buy salt");
}

#[cfg(unix)]
#[test]
fn the_file_and_its_copies_are_for_their_owner_alone() {
    use std::os::unix::fs::PermissionsExt;
    let folder = folder("mode");
    let file = folder.join("log.sqlite");
    let store = Sqlite::open(&file).unwrap();
    pool(&store, "Quarry Lane 9");
    store.backup(&folder.join("copy.sqlite")).unwrap();
    assert!(folder.join("log.sqlite-wal").exists() && folder.join("log.sqlite-shm").exists());
    old_file(&folder.join("old.sqlite"), 1);
    drop(Sqlite::open(&folder.join("old.sqlite")).unwrap());
    assert!(folder.join("old.sqlite.form-1").exists());
    std::fs::remove_file(folder.join("old.sqlite")).unwrap();
    for entry in std::fs::read_dir(&folder).unwrap() {
        let entry = entry.unwrap();
        let mode = entry.metadata().unwrap().permissions().mode();
        assert_eq!(mode & 0o077, 0, "{}", entry.path().display());
    }
}

#[test]
fn a_backup_while_in_use_is_whole_and_overwrites_nothing() {
    let folder = folder("backup");
    let store = Sqlite::open(&folder.join("log.sqlite")).unwrap();
    pool(&store, "Quarry Lane 9");
    let copy = folder.join("copy.sqlite");
    store.backup(&copy).unwrap();
    assert!(store.backup(&copy).unwrap_err().message.contains("there already"));
    assert_eq!(Sqlite::open_to_read(&copy).unwrap().pools().unwrap(), store.pools().unwrap());
}

#[test]
fn a_rescue_of_a_whole_file_loses_nothing() {
    let folder = folder("rescue-whole");
    let (file, saved) = (folder.join("log.sqlite"), folder.join("saved.sqlite"));
    filled().backup(&file).unwrap();
    assert_eq!(brumal::logbook::rescue(&file, &saved).unwrap().torn, 0);
    let all = |file: &std::path::Path| {
        let mut out = Vec::new();
        brumal::logbook::write_jsonl(&Sqlite::open_to_read(file).unwrap(), &mut out).unwrap();
        String::from_utf8(out).unwrap()
    };
    assert_eq!(all(&saved), all(&file));
}

#[test]
fn a_damaged_file_is_found_out_kept_and_rescued() {
    let folder = folder("rescue");
    let file = folder.join("log.sqlite");
    {
        let store = Sqlite::open(&file).unwrap();
        let id = pool(&store, "Quarry Lane 9");
        for day in 1..29 {
            let mut visit = NewVisit::new(at(&format!("2026-01-{day:02}T10:00:00Z")), "Ida");
            visit.note = "long words ".repeat(60);
            visit.readings =
                (0..9).map(|n| reading(&format!("water.x{n}"), f64::from(n))).collect();
            visit.tasks = vec!["brush".to_owned()];
            store.add_visit(&id, &visit).unwrap();
        }
    }
    // One page in the middle of the visits is overwritten.
    let mut bytes = std::fs::read(&file).unwrap();
    let found =
        bytes.windows(10).enumerate().filter(|(_, w)| *w == b"long words").nth(800).unwrap().0
            / 4096
            * 4096;
    bytes[found..found + 4096].fill(0xAA);
    std::fs::write(&file, &bytes).unwrap();
    let told = Sqlite::open(&file).unwrap_err();
    assert!(told.message.contains("damaged") && told.help.unwrap().contains("rescue"));
    let saved = brumal::logbook::rescue(&file, &folder.join("saved.sqlite")).unwrap();
    assert_eq!(std::fs::read(&file).unwrap(), bytes, "the damaged file is only read");
    assert!(saved.visits >= 14 && saved.visits < 28 && saved.torn > 0, "{saved:?}");
    let store = Sqlite::open(&folder.join("saved.sqlite")).unwrap();
    store.check_whole().unwrap();
    let visits = store.visits("quarry-lane-9", Stretch::default(), 99).unwrap();
    assert_eq!(visits.len(), saved.visits);
    assert!(visits.iter().all(|visit| visit.readings.len() == 9 && visit.tasks == ["brush"]));
    // A file whose end is cut off is found out too.
    std::fs::write(&file, &bytes[..bytes.len() - 4096]).unwrap();
    for left in ["-wal", "-shm"] {
        let _ = std::fs::remove_file(folder.join(format!("log.sqlite{left}")));
    }
    assert!(Sqlite::open_to_read(&file).unwrap_err().message.contains("shorter"));
}

/// The rest of the program meets the trait alone: SQL and its library stay within `logbook`, and one line of `cli`
/// names the store that is used.
#[test]
fn nothing_but_the_logbook_knows_how_it_is_kept() {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let (mut folders, mut seen) = (vec![root.clone()], 0);
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
                continue;
            }
            let name = path.strip_prefix(&root).unwrap().to_str().unwrap().to_owned();
            if name.starts_with("logbook") || !name.ends_with(".rs") {
                continue;
            }
            seen += 1;
            let source = std::fs::read_to_string(&path).unwrap();
            for word in ["rusqlite", "SELECT ", "INSERT INTO", "PRAGMA "] {
                assert!(!source.contains(word), "{name} says `{word}`");
            }
            assert!(
                !source.contains("Sqlite") || name == "cli/logbook.rs",
                "{name} names the store"
            );
        }
    }
    assert!(seen > 100);
}
