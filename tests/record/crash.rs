//! Killed at any moment, full disks, read-only folders, two writers.

use super::{at, folder, pool, reading};
use crate::cli::PROGRAM;
use brumal::logbook::{NewVisit, Sqlite, Store, Stretch};
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Command, Stdio};

/// The test binary itself, run again as a writer that tells each visit once it is kept.
const WRITER: &str = "BRUMAL_TEST_WRITER";

#[test]
fn writer_to_be_killed() {
    #[expect(clippy::disallowed_methods, reason = "the parent test hands the file over")]
    let Some(file) = std::env::var_os(WRITER) else { return };
    let store = Sqlite::open(Path::new(&file)).unwrap();
    let mut out = std::io::stdout();
    for _ in 0..10_000 {
        let mut visit = NewVisit::new(at("2026-01-12T10:00:00Z"), "Ida");
        visit.readings = (0..10).map(|n| reading(&format!("water.x{n}"), f64::from(n))).collect();
        visit.tasks = vec!["brush".to_owned()];
        // One that waited in vain is told so; it comes again, as a person would.
        let id = (0..20).find_map(|_| store.add_visit("quarry-lane-9", &visit).ok()).unwrap();
        writeln!(out, "kept {id}").unwrap();
        out.flush().unwrap();
    }
}

fn writer(file: &Path) -> std::process::Child {
    Command::new(std::env::current_exe().unwrap())
        .args(["--exact", "record::crash::writer_to_be_killed", "--nocapture"])
        .env(WRITER, file)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

/// 200 times a process is killed while it writes: every visit it told of is there, and none is half there.
#[test]
fn killed_two_hundred_times_nothing_is_lost_and_nothing_half_there() {
    let folder = folder("kill");
    let file = folder.join("log.sqlite");
    pool(&Sqlite::open(&file).unwrap(), "Quarry Lane 9");
    let mut told = std::collections::BTreeSet::new();
    let mut kills = 0_u64;
    while kills < 200 {
        let mut child = writer(&file);
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        // Wait for the first visit, then for a time that differs from one round to the next.
        let mut seen = 0;
        for line in lines.by_ref().map_while(Result::ok) {
            if let Some((_, id)) = line.split_once("kept ") {
                told.insert(id.to_owned());
                seen += 1;
            }
            if seen > kills % 5 {
                break;
            }
        }
        std::thread::sleep(std::time::Duration::from_micros(kills * 37 % 2900));
        child.kill().unwrap();
        child.wait().unwrap();
        let rest = lines.map_while(Result::ok);
        told.extend(rest.filter_map(|line| Some(line.split_once("kept ")?.1.to_owned())));
        kills += 1;
    }
    let store = Sqlite::open(&file).unwrap();
    store.check_whole().unwrap();
    let visits = store.visits("quarry-lane-9", Stretch::default(), usize::MAX).unwrap();
    assert!(visits.iter().all(|visit| visit.readings.len() == 10 && visit.tasks.len() == 1));
    let there: std::collections::BTreeSet<String> = visits.into_iter().map(|v| v.id).collect();
    let lost: Vec<_> = told.iter().filter(|id| !there.contains(*id)).collect();
    assert!(told.len() >= 200 && lost.is_empty(), "{} told, lost: {lost:?}", told.len());
}

/// Four processes write into one log at once, each fifty visits: every one of the two hundred is there, whole.
#[test]
fn processes_that_write_at_once_all_succeed() {
    let folder = folder("two");
    let file = folder.join("log.sqlite");
    pool(&Sqlite::open(&file).unwrap(), "Quarry Lane 9");
    let mut writers: Vec<_> = (0..4)
        .map(|_| {
            let mut child = writer(&file);
            let lines = BufReader::new(child.stdout.take().unwrap()).lines();
            (child, lines)
        })
        .collect();
    let mut told = std::collections::BTreeSet::new();
    // In turns, so that all of them write at the same time.
    for _ in 0..50 {
        for (_, lines) in &mut writers {
            let kept = lines.by_ref().map_while(Result::ok).find(|line| line.contains("kept "));
            told.insert(kept.unwrap().split_once("kept ").unwrap().1.to_owned());
        }
    }
    for (child, _) in &mut writers {
        child.kill().unwrap();
        child.wait().unwrap();
    }
    let store = Sqlite::open(&file).unwrap();
    store.check_whole().unwrap();
    let visits = store.visits("quarry-lane-9", Stretch::default(), usize::MAX).unwrap();
    assert!(visits.iter().all(|visit| visit.readings.len() == 10 && visit.tasks.len() == 1));
    let there: std::collections::BTreeSet<String> = visits.into_iter().map(|v| v.id).collect();
    assert!(told.len() == 200 && told.is_subset(&there), "{} told", told.len());
}

/// A writer that finds the log locked for longer than it waits is told so, and keeps nothing.
#[test]
fn a_writer_that_waits_in_vain_is_told() {
    let folder = folder("locked");
    let file = folder.join("log.sqlite");
    pool(&Sqlite::open(&file).unwrap(), "Quarry Lane 9");
    let other = rusqlite::Connection::open(&file).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let ran = Command::new(PROGRAM)
        .args(["--logbook", file.to_str().unwrap(), "--pool", "quarry", "log", "add", "ph 7.4"])
        .output()
        .unwrap();
    let told = String::from_utf8_lossy(&ran.stderr).into_owned();
    assert_eq!(ran.status.code(), Some(1), "{told}");
    assert!(told.contains("another program is writing") && told.contains("nothing was kept"));
    other.execute_batch("COMMIT").unwrap();
    let store = Sqlite::open(&file).unwrap();
    assert!(store.visits("quarry-lane-9", Stretch::default(), 9).unwrap().is_empty());
}

/// Runs a shell with its own mounts, if this system lets us; `None` where it does not.
fn in_own_mounts(script: &str) -> Option<(bool, String)> {
    let ran = Command::new("unshare")
        .args(["--mount", "--map-root-user", "sh", "-c", script])
        .output()
        .ok()?;
    let told =
        String::from_utf8_lossy(&ran.stdout).into_owned() + &String::from_utf8_lossy(&ran.stderr);
    if told.contains("unshare:") || told.contains("mount:") {
        return None;
    }
    Some((ran.status.success(), told))
}

#[test]
fn a_full_disk_is_told_and_what_the_log_held_is_intact() {
    let folder = folder("full");
    let script = format!(
        "mount -t tmpfs -o size=400k none {dir} && cd {dir} && export HOME={dir} && \
         {PROGRAM} --logbook log.sqlite pool add 'Quarry Lane 9' >/dev/null && \
         {PROGRAM} --logbook log.sqlite --pool quarry log add 'ph 7.4' >/dev/null && \
         dd if=/dev/zero of=fill bs=1k count=1000 2>/dev/null; \
         for n in 1 2 3 4 5 6; do {PROGRAM} --logbook log.sqlite --pool quarry log add 'ph 7.6' \
           --note \"$(head -c 60000 /dev/zero | tr '\\0' x)\" >/dev/null || echo \"status $?\"; done; \
         rm fill; {PROGRAM} --logbook log.sqlite log show quarry --last 1 --format json; \
         {PROGRAM} --logbook log.sqlite log backup copy.sqlite",
        dir = folder.display()
    );
    let Some((_, told)) = in_own_mounts(&script) else {
        eprintln!("not run: this system gives no mounts of our own");
        return;
    };
    assert!(told.contains("the disk is full") || told.contains("disk failed"), "{told}");
    assert!(told.contains("status 1") && told.contains("the copy is whole"), "{told}");
    assert!(told.contains("\"water.ph\""), "{told}");
}

#[test]
fn a_read_only_folder_is_told_and_the_log_can_still_be_read() {
    let folder = folder("read-only");
    let file = folder.join("log.sqlite");
    {
        let store = Sqlite::open(&file).unwrap();
        let id = pool(&store, "Quarry Lane 9");
        let mut visit = NewVisit::new(at("2026-01-12T10:00:00Z"), "Ida");
        visit.readings = vec![reading("water.ph", 7.4)];
        store.add_visit(&id, &visit).unwrap();
    }
    let script = format!(
        "mount --bind {dir} {dir} && mount -o remount,bind,ro {dir} && export HOME={dir} && \
         {PROGRAM} --logbook {dir}/log.sqlite --pool quarry log add 'ph 7.6'; echo \"status $?\"; \
         {PROGRAM} --logbook {dir}/log.sqlite log show quarry --format json",
        dir = folder.display()
    );
    let Some((shown, told)) = in_own_mounts(&script) else {
        eprintln!("not run: this system gives no mounts of our own");
        return;
    };
    assert!(told.contains("status 1") && told.contains("read-only"), "{told}");
    assert!(shown && told.contains("7.4"), "{told}");
}
