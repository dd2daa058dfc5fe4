//! Who may import whom, and how long a file may be. Change the table first, with a reason.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// Each room and the rooms it may import, ground floor first. A room may use its own files; `cli` may
/// not meet engine, figures, chemistry and thermal, and so on: what is not in the table fails.
const ROOMS: [(&str, &str); 20] = [
    ("units", ""),
    ("problem", ""),
    ("clock", "problem"),
    ("facts", "units problem"),
    ("chemistry", "units problem"),
    ("thermal", "units problem"),
    ("weather", "units problem clock"),
    ("knowledge", "facts units problem"),
    ("logbook", "facts units problem clock"),
    ("language", "knowledge facts units problem clock"),
    ("engine", "knowledge facts units problem"),
    ("notes", "knowledge problem"),
    ("plan", "chemistry thermal weather knowledge facts units problem clock"),
    // `plan` holds the cold of a pool's pipes, which figures report.
    ("figures", "plan engine chemistry thermal weather knowledge facts units problem clock"),
    ("advice", "language engine figures plan knowledge facts units problem clock"),
    (
        "session",
        "advice plan figures weather engine language logbook notes knowledge facts units problem clock",
    ),
    // `drill` asks the rules for the right answer, and the planner for amounts; a trainee's amounts and times are read by
    // the language, as those of a message are.
    ("drill", "advice plan engine language knowledge facts units problem clock"),
    ("render", "advice plan drill language logbook notes knowledge facts units problem clock"),
    (
        "cli",
        "session drill render advice plan weather language logbook notes knowledge facts units problem clock",
    ),
    ("main", "cli"),
];

/// Names that say nothing about what is inside.
const EMPTY_NAMES: [&str; 5] = ["util", "utils", "common", "helpers", "misc"];

/// A reader's patience.
const LONGEST_FILE: usize = 400;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    let Ok(entries) = std::fs::read_dir(folder) else { return files };
    for entry in entries {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(rust_files(&path));
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            files.push(path);
        }
    }
    files.sort();
    files
}

/// The room of a file under `src`.
fn room(file: &Path) -> String {
    let inside = file.strip_prefix(root().join("src")).unwrap();
    let first = inside.components().next().unwrap().as_os_str().to_str().unwrap();
    first.trim_end_matches(".rs").to_owned()
}

/// The source without its `//` comments, on one line.
fn code(source: &str) -> String {
    let line = |line: &str| line.split_once("//").map_or(line, |(code, _)| code).to_owned();
    source.lines().map(line).collect::<Vec<_>>().join(" ")
}

fn word(text: &str) -> String {
    text.trim_start().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
}

/// Every room that a source names after `crate::` (or `brumal::`), also inside `crate::{…}`.
fn imports(source: &str) -> BTreeSet<String> {
    let code = code(source);
    let mut rooms = BTreeSet::new();
    for (at, _) in code.match_indices("crate::").chain(code.match_indices("brumal::")) {
        let after = code.split_at(at).1.split_once("::").unwrap().1.trim_start();
        let Some(group) = after.strip_prefix('{') else {
            rooms.insert(word(after));
            continue;
        };
        let mut depth = 0usize;
        let mut begins = true;
        for (at, c) in group.char_indices() {
            match c {
                '{' => depth += 1,
                '}' if depth == 0 => break,
                '}' => depth -= 1,
                ',' if depth == 0 => {
                    begins = true;
                    continue;
                }
                c if begins && !c.is_whitespace() => {
                    rooms.insert(word(group.split_at(at).1));
                    begins = false;
                }
                _ => {}
            }
        }
    }
    rooms.remove("");
    rooms
}

#[test]
fn rooms_import_downward_only() {
    let table: BTreeMap<&str, BTreeSet<&str>> = ROOMS
        .iter()
        .map(|(room, may)| (*room, may.split_whitespace().collect::<BTreeSet<_>>()))
        .collect();
    let mut breaches = Vec::new();
    for file in rust_files(&root().join("src")) {
        let room = room(&file);
        if room == "lib" {
            continue;
        }
        let source = std::fs::read_to_string(&file).unwrap();
        let Some(may) = table.get(room.as_str()) else {
            breaches.push(format!("{}: the room `{room}` is not in the table", file.display()));
            continue;
        };
        for named in imports(&source) {
            let is_room = table.contains_key(named.as_str());
            if is_room && named != room && !may.contains(named.as_str()) {
                breaches.push(format!("{}: `{room}` may not import `{named}`", file.display()));
            }
        }
        if code(&source).contains("super::super::super::super") {
            breaches.push(format!("{}: climbs out of its room by `super`", file.display()));
        }
    }
    assert!(breaches.is_empty(), "{}", breaches.join("\n"));
}

#[test]
fn the_table_itself_runs_downward() {
    let floor: BTreeMap<&str, usize> =
        ROOMS.iter().enumerate().map(|(floor, (room, _))| (*room, floor)).collect();
    for (room, may) in ROOMS {
        for named in may.split_whitespace() {
            let below = floor.get(named).is_some_and(|floor_of| *floor_of < floor[room]);
            // `render` may use the types of `drill`, which stands beside it.
            assert!(below, "`{room}` imports `{named}`, which does not lie below it");
        }
    }
}

/// The net catches what it is meant to catch.
#[test]
fn imports_are_found_in_groups_paths_and_lines() {
    let source = "use crate::facts::{Fact, Origin};\nuse crate::{units::{self, show}, problem};\n\
                  // use crate::comment::Out;\nfn f() { crate::engine::run(); }\nuse super::x;";
    let found: Vec<String> = imports(source).into_iter().collect();
    assert_eq!(found, ["engine", "facts", "problem", "units"]);
}

#[test]
fn files_are_short_named_after_something_and_explained() {
    let mut wrong = Vec::new();
    for folder in ["src", "tests", "benches"] {
        for file in rust_files(&root().join(folder)) {
            let source = std::fs::read_to_string(&file).unwrap();
            let name = file.file_stem().unwrap().to_str().unwrap().to_owned();
            let shown = file.strip_prefix(root()).unwrap().display().to_string();
            let lines = source.lines().count();
            if lines > LONGEST_FILE {
                wrong.push(format!("{shown}: {lines} lines, more than {LONGEST_FILE}"));
            }
            if EMPTY_NAMES.contains(&name.as_str()) || name == "mod" {
                wrong.push(format!("{shown}: a name that says nothing"));
            }
            if !source.starts_with("//!") {
                wrong.push(format!("{shown}: the first line does not say what the file is about"));
            }
            if source.contains(concat!("#", "[allow")) || source.contains(concat!("#!", "[allow")) {
                wrong.push(format!("{shown}: an exception without a reason"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_test_file_is_part_of_the_one_binary() {
    let main = std::fs::read_to_string(root().join("tests/main.rs")).unwrap();
    for entry in std::fs::read_dir(root().join("tests")).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap().to_str().unwrap();
        if path.extension().is_some_and(|ending| ending == "rs") && name != "main" {
            // The lints tell tests from the program by this mark.
            let line = format!("#[cfg(test)]\nmod {name};");
            assert!(main.contains(&line), "tests/{name}.rs is never run, or not marked as a test");
        }
    }
}

#[test]
fn every_room_of_the_source_stands_in_lib() {
    let lib = std::fs::read_to_string(root().join("src/lib.rs")).unwrap();
    for file in rust_files(&root().join("src")) {
        let room = room(&file);
        if room != "lib" && room != "main" {
            assert!(lib.contains(&format!("pub mod {room};")), "`{room}` is not in lib.rs");
        }
    }
}

/// Messages start in lower case (or with the user's words) and have no full stop; the next step is in
/// the help.
#[test]
fn messages_keep_to_their_grammar() {
    let literal = regex::Regex::new(
        r#"(?s)(?:Problem::(?:error|warning)\([^;"]*?|let message = (?:format!\()?|\.help\((?:format!\()?)"((?:[^"\\]|\\.)*)""#,
    )
    .unwrap();
    let mut wrong = Vec::new();
    let mut seen = 0;
    for file in rust_files(&root().join("src")) {
        let source = std::fs::read_to_string(&file).unwrap();
        for found in literal.captures_iter(&source) {
            let message = found.get(1).unwrap().as_str();
            if message.len() < 4 {
                continue; // a separator between listed words
            }
            seen += 1;
            let begins = message.starts_with(|c: char| c.is_lowercase() || "`{\\".contains(c));
            let named = ["TOML", "UTF-8"].iter().any(|name| message.starts_with(name));
            if !(begins || named) || message.ends_with(['.', '!']) {
                wrong.push(format!("{}: {message}", file.display()));
            }
        }
    }
    assert!(seen > 50, "the net is out of order: {seen}");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
