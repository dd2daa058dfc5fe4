//! What is due, the calendar, the demo, the report.

use super::{at, folder, known};
use crate::cli::ended;
use brumal::logbook::{NewPool, NewVisit, Sqlite, Store, rescue};
use brumal::plan::{AHEAD_DAYS, CALENDAR_DAYS, DuePool, due};
use brumal::session::Base;
use proptest::prelude::*;
use std::collections::BTreeMap;

fn base() -> Base {
    Base::packed().unwrap()
}

fn pool(filter: &str, done: &[(&str, &str)], water_c: Option<f64>) -> DuePool {
    let now = at("2026-01-14T06:40:00-05:00");
    DuePool {
        id: "quarry".to_owned(),
        name: "Quarry Lane 9".to_owned(),
        since: Some(at("2025-10-01T08:00:00-05:00").date()),
        profile: BTreeMap::from([("filter.kind".to_owned(), filter.to_owned())]),
        done: done.iter().map(|(task, when)| ((*task).to_owned(), at(when))).collect(),
        water_c: water_c.map(|water| (water, now)),
        ..DuePool::default()
    }
}

fn day_of(pool: DuePool, task: &str) -> Option<String> {
    let round = due(&base().knowledge().work, &[pool], at("2026-01-14T06:40:00-05:00"), AHEAD_DAYS);
    let items = &round.first()?.items;
    Some(items.iter().find(|item| item.task == task)?.due.to_string())
}

/// By hand from `knowledge/tasks.toml`: baskets every 7 days in cold water and every 4 in cool (from 50 °F, 10 °C).
#[test]
fn the_interval_goes_by_the_waters_temperature() {
    let done = [("baskets", "2026-01-10T10:00:00-05:00")];
    assert_eq!(day_of(pool("sand", &done, Some(6.0)), "baskets").unwrap(), "2026-01-17");
    assert_eq!(day_of(pool("sand", &done, Some(12.0)), "baskets").unwrap(), "2026-01-14");
    // Nobody measured it: January is a cold month, and a warm one on the southern half of the earth.
    assert_eq!(day_of(pool("sand", &done, None), "baskets").unwrap(), "2026-01-17");
    let south = DuePool { place: Some((-38.0, 145.0)), ..pool("sand", &done, None) };
    assert_eq!(day_of(south, "baskets").unwrap(), "2026-01-14");
}

#[test]
fn a_filter_is_cleaned_in_its_own_way_and_yearly_work_is_due_once() {
    assert!(day_of(pool("sand", &[], None), "backwash").is_some());
    assert!(day_of(pool("cartridge", &[], None), "backwash").is_none());
    assert!(day_of(pool("cartridge", &[], None), "cartridge").is_some());
    assert_eq!(day_of(pool("sand", &[], None), "drain-plug-drill").unwrap(), "2025-10-25");
    let drilled = [("drain-plug-drill", "2025-10-02T10:00:00-05:00")];
    assert!(day_of(pool("sand", &drilled, None), "drain-plug-drill").is_none());
}

#[test]
fn what_is_put_off_waits_and_days_off_are_passed_over() {
    let done = [("brush", "2025-12-20T10:00:00-05:00")];
    let mut put_off = pool("sand", &done, None);
    put_off
        .postponed
        .insert("brush".to_owned(), (at("2026-01-19T00:00:00-05:00"), "ice".to_owned()));
    assert_eq!(day_of(put_off.clone(), "brush").unwrap(), "2026-01-19");
    let day = |text: &str| text.parse().unwrap();
    put_off.blackouts.push((day("2026-01-18"), day("2026-01-20")));
    assert_eq!(day_of(put_off, "brush").unwrap(), "2026-01-21");
}

/// A calendar has the next day of every task, so that taking it in again moves what was done: a yearly task that was
/// done stands a year later, and days off that touch each other are passed over together.
#[test]
fn a_calendar_knows_the_next_day_of_everything() {
    let next = |pool: DuePool, task: &str| {
        let now = at("2026-01-14T06:40:00-05:00");
        let round = due(&base().knowledge().work, &[pool], now, CALENDAR_DAYS);
        let items = &round[0].items;
        items.iter().find(|item| item.task == task).map(|item| item.due.to_string())
    };
    let drilled = [("drain-plug-drill", "2025-10-02T10:00:00-05:00")];
    assert_eq!(next(pool("sand", &drilled, None), "drain-plug-drill").unwrap(), "2026-10-25");
    let base = base_once();
    let all = base.knowledge().work.tasks.iter().filter(|task| task.only.is_none());
    for task in all {
        assert!(next(pool("sand", &[], None), &task.id).is_some(), "{}", task.id);
    }
    let day = |text: &str| text.parse().unwrap();
    let mut off = pool("sand", &[("brush", "2026-01-02T10:00:00-05:00")], Some(6.0));
    off.blackouts =
        vec![(day("2026-01-20"), day("2026-01-22")), (day("2026-01-16"), day("2026-01-19"))];
    assert_eq!(next(off, "brush").unwrap(), "2026-01-23");
    // A pool taken on in January is not months late with October's work.
    let new = DuePool { since: Some(day("2026-01-14")), ..pool("sand", &[], None) };
    assert_eq!(next(new, "drain-plug-drill").unwrap(), "2026-01-14");
}

#[test]
fn the_round_begins_with_the_most_pressing_and_goes_on_to_the_nearest() {
    let far = |n: u32, latitude: f64| DuePool {
        id: format!("p{n}"),
        name: format!("Pool {n}"),
        place: Some((latitude, -72.0)),
        ..pool("sand", &[], None)
    };
    let pools = [far(1, 44.0), far(2, 45.0), far(10, 44.1)];
    let round = due(&base().knowledge().work, &pools, at("2026-01-14T06:40:00-05:00"), AHEAD_DAYS);
    let names: Vec<&str> = round.iter().map(|pool| pool.name.as_str()).collect();
    assert_eq!(names, ["Pool 1", "Pool 10", "Pool 2"]);
    // Work that is weeks late comes before the nearest one.
    let all = ["skim", "baskets", "test", "full-test", "brush", "vacuum", "backwash"];
    let mut fresh: Vec<(&str, &str)> =
        all.iter().map(|task| (*task, "2026-01-13T10:00:00-05:00")).collect();
    fresh.extend([("drain-plug-drill", "2025-10-10T10:00:00-05:00")]);
    let mut pools = pools.map(|pool| DuePool {
        done: fresh.iter().map(|(task, when)| ((*task).to_owned(), at(when))).collect(),
        ..pool
    });
    for (pool, when) in pools.iter_mut().zip(["2025-12-23", "2025-12-22", "2025-11-10"]) {
        pool.done.insert("vacuum".to_owned(), at(&format!("{when}T10:00:00-05:00")));
    }
    let round = due(&base().knowledge().work, &pools, at("2026-01-14T06:40:00-05:00"), AHEAD_DAYS);
    assert_eq!(round[0].name, "Pool 10");
}

fn demo(test: &str, seed: &str) -> String {
    let file = folder(test).join("demo.sqlite").to_str().unwrap().to_owned();
    assert_eq!(ended(&["demo", "--logbook", &file, "--seed", seed], b"").0, 0);
    file
}

#[test]
fn the_demo_is_the_same_bytes_for_the_same_seed() {
    let read = |file: &str| std::fs::read(file).unwrap();
    assert_eq!(read(&demo("demo-a", "7")), read(&demo("demo-b", "7")));
    assert_ne!(read(&demo("demo-c", "7")), read(&demo("demo-d", "8")));
    let (status, _, told) = ended(&["demo", "--logbook", &demo("demo-e", "1")], b"");
    assert_eq!((status, told.contains("there already")), (1, true));
}

/// RFC 5545: lines end in CRLF and are folded at 75 bytes (section 3.1), each event has UID and DTSTAMP (3.6.1).
#[test]
fn the_calendar_is_rfc_5545_and_an_event_keeps_its_id() {
    let file = demo("calendar", "1");
    let calendar = |time: &str| {
        let ics = std::path::Path::new(&file).with_extension("ics");
        let args = ["--at", time, "--logbook", &file, "due", "--ics", ics.to_str().unwrap()];
        assert!(crate::cli::program().args(args).output().unwrap().status.success());
        std::fs::read_to_string(ics).unwrap()
    };
    let (first, later) =
        (calendar("2026-02-10T07:00:00-05:00"), calendar("2026-02-11T07:00:00-05:00"));
    assert!(first.starts_with("BEGIN:VCALENDAR\r\n") && first.ends_with("END:VCALENDAR\r\n"));
    assert!(first.split("\r\n").all(|line| line.len() <= 75 && !line.contains('\n')));
    let count = |what: &str| first.matches(what).count();
    assert!(count("BEGIN:VEVENT") > 10);
    assert_eq!(count("BEGIN:VEVENT"), count("\r\nUID:"));
    assert_eq!(count("BEGIN:VEVENT"), count("\r\nDTSTAMP:"));
    let ids = |text: &str| -> std::collections::BTreeSet<String> {
        text.split("\r\n").filter(|line| line.starts_with("UID:")).map(str::to_owned).collect()
    };
    assert_eq!(ids(&first).len(), count("BEGIN:VEVENT"), "no id twice");
    assert!(ids(&first).intersection(&ids(&later)).count() > 10, "the same work keeps its id");
}

#[test]
fn the_exit_code_tells_a_timer_that_something_is_due() {
    let file = demo("exit", "1");
    let status = |args: &[&str]| {
        let mut all = vec!["--at", "2026-02-10T07:00:00-05:00", "--logbook", &file];
        all.extend(args);
        crate::cli::program().args(all).output().unwrap().status.code()
    };
    assert_eq!(status(&["due", "--exit-code"]), Some(10));
    assert_eq!(status(&["due"]), Some(0));
}

#[test]
fn the_report_is_one_page_that_asks_for_nothing_else() {
    let file = demo("report", "1");
    let page = std::path::Path::new(&file).with_extension("html");
    let spring = ["--at", "2026-04-01T08:00:00-04:00", "--logbook", &file, "report", "quarry"];
    let args = [&spring[..], &["--out", page.to_str().unwrap()]].concat();
    assert!(crate::cli::program().args(&args).output().unwrap().status.success());
    let html = std::fs::read_to_string(&page).unwrap();
    for outside in ["http:", "https:", "<script", "<link", "<img", "url(", "@import", "src="] {
        assert!(!html.contains(outside), "{outside}");
    }
    let charts = html.matches("<svg").count();
    assert!(charts >= 7);
    assert_eq!(charts, html.matches("role=\"img\"").count());
    assert_eq!(charts, html.matches("<desc ").count(), "every chart says what it shows");
    assert!(html.contains("prefers-color-scheme: dark") && html.contains("@media print"));
    let told = |args: &[&str]| -> serde_json::Value {
        let output = crate::cli::program().args(args).args(["--format", "json"]).output().unwrap();
        serde_json::from_slice(&output.stdout).unwrap()
    };
    let json = told(&spring);
    assert_eq!(json["schema"], "brumal.report/1");
    assert_eq!(json["visits"].as_array().unwrap().len(), 52);
    // What lies ahead of the day of the report is no part of it.
    let winter = [&["--at", "2026-01-14T08:00:00-05:00"], &spring[2..]].concat();
    assert_eq!(told(&winter)["to"], "13 January 2026");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Whatever people typed, the page has the same elements as with plain words.
    #[test]
    fn html_is_escaped_everywhere(words in "([<>&\"'/={}%#-]|script|svg|onload|\\PC|[\u{0}-\u{1f}]|\u{202e}){1,40}") {
        let elements = |words: &str| {
            let html = page(words);
            let tags: Vec<String> = html.split('<').skip(1)
                .map(|rest| rest.split(['>', ' ', '\n']).next().unwrap().to_owned()).collect();
            assert!(!html.chars().any(|c| c.is_control() && c != '\n'));
            assert!(!html.contains('\u{202e}'));
            tags
        };
        prop_assert_eq!(elements(&words), elements("plain"));
    }
}

fn page(words: &str) -> String {
    let base = base_once();
    let store = Sqlite::in_memory().unwrap();
    let added = at("2025-10-01T08:00:00-05:00");
    let name: String = words.chars().filter(|c| !c.is_control()).take(100).collect();
    let name = format!("x{}x", name.trim());
    let pool = store
        .add_pool(&NewPool { name, added, profile: vec![known("cover.kind", "solid", added)] })
        .unwrap();
    for day in 1..4 {
        let mut visit = NewVisit::new(at(&format!("2026-01-{day:02}T10:00:00-05:00")), words);
        visit.readings = vec![super::reading("water.ph", 7.4 + f64::from(day) / 10.0)];
        visit.readings.push(super::reading("air.low_past", -4.0));
        visit.note = format!("n{words}");
        visit.tasks = vec![format!("t{words}")];
        visit.additions = vec![brumal::logbook::Added {
            product: format!("p{words}"),
            percent: None,
            amount: 1.0,
            unit: "L".to_owned(),
            given: words.to_owned(),
        }];
        store.add_visit(&pool.id, &visit).unwrap();
    }
    let moment = at("2026-01-14T06:40:00-05:00");
    let report = brumal::session::season_report(
        base,
        &store,
        &pool,
        brumal::logbook::Stretch::default(),
        (moment, brumal::units::System::Us),
    )
    .unwrap();
    let mut html = Vec::new();
    brumal::render::report_html(&mut html, &report).unwrap();
    String::from_utf8(html).unwrap()
}

fn base_once() -> &'static Base {
    static BASE: std::sync::OnceLock<Base> = std::sync::OnceLock::new();
    BASE.get_or_init(base)
}

#[test]
fn rescue_of_nothing_says_so() {
    let folder = folder("rescue-nothing");
    let file = folder.join("x.sqlite");
    std::fs::write(&file, vec![0x55; 9000]).unwrap();
    assert!(rescue(&file, &folder.join("y.sqlite")).is_err());
    assert!(!folder.join("y.sqlite").exists());
}
