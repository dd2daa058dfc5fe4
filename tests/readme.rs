//! The README's conversation is a real one, and its commands exist.

use crate::cli::{brumal, ended, program};
use std::path::Path;

fn path() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md")
}

/// The text between the fences of a block, by the language of the block.
fn block<'a>(readme: &'a str, language: &str) -> &'a str {
    let open = format!("```{language}\n");
    let from = readme.split_once(open.as_str()).map_or("", |(_, from)| from);
    from.split_once("```").map_or("", |(block, _)| block)
}

/// `BRUMAL_WRITE_TRANSCRIPTS=1 cargo test readme` writes it anew: read it before keeping it.
#[test]
fn the_conversation_is_what_the_program_says() {
    let readme = std::fs::read_to_string(path()).unwrap();
    let kept = block(&readme, "text");
    let typed: String = kept
        .lines()
        .filter_map(|line| line.strip_prefix("~ "))
        .map(|line| format!("{line}\n"))
        .collect();
    assert!(!typed.is_empty(), "somebody says something");
    let output = brumal(&["--echo"]).write_stdin(typed).output().unwrap();
    let now = String::from_utf8(output.stdout).unwrap();
    let now = format!("{}\n", now.trim_end());
    if crate::transcripts::wanted_anew() {
        std::fs::write(path(), readme.replace(kept, &now)).unwrap();
    } else {
        assert_eq!(kept, now);
    }
}

#[test]
fn two_commands_come_first() {
    let readme = std::fs::read_to_string(path()).unwrap();
    assert_eq!(block(&readme, "sh"), "cargo run --release\ncargo test\n");
    let before = readme.split_once("```").unwrap().0;
    assert!(before.lines().count() < 15, "the job in one paragraph, then the commands");
}

#[test]
fn every_command_of_the_table_is_there() {
    let readme = std::fs::read_to_string(path()).unwrap();
    let help = String::from_utf8(program().arg("--help").output().unwrap().stdout).unwrap();
    let rows = readme.lines().filter_map(|line| line.strip_prefix("| `brumal "));
    let named: Vec<&str> = rows.filter_map(|row| row.split([' ', '`']).next()).collect();
    let list = help.split_once("Commands:\n").unwrap().1.split("\n\n").next().unwrap();
    let listed = list.lines().filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    let mut listed: Vec<&str> = listed.filter_map(|line| line.split_whitespace().next()).collect();
    listed.retain(|command| *command != "help");
    let mut sorted = named.clone();
    sorted.sort_unstable();
    listed.sort_unstable();
    assert_eq!(sorted, listed, "each command has one row");
    for command in named {
        assert!(help.contains(&format!("\n  {command} ")), "`{command}` is not in --help");
        assert_eq!(ended(&[command, "--help"], b"").0, 0, "{command}");
    }
}

#[test]
fn the_object_of_the_example_is_answered() {
    let readme = std::fs::read_to_string(path()).unwrap();
    let (status, out, _) = ended(&["stream"], block(&readme, "json").as_bytes());
    assert_eq!(status, 0);
    assert!(out.starts_with("{\"id\":17,\"schema\":\"brumal.answer/1\""), "{out}");
}
