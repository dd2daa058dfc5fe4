//! `setup`: completions, manual pages, paths; and the help that all of them come from.

use super::{answered, ended, home, program};

/// The commands of the contract.
const COMMANDS: [&str; 15] = [
    "ask", "read", "stream", "pool", "log", "dose", "night", "season", "due", "report", "drill",
    "notes", "rules", "demo", "setup",
];

#[test]
fn completions_name_the_commands() {
    for shell in ["bash", "zsh", "fish"] {
        let script = answered(&["setup", "completions", shell], b"");
        for word in COMMANDS.into_iter().chain(["--practice", "--knowledge"]) {
            // In fish an option stands without its dashes: `-l practice`.
            let word = if shell == "fish" { word.trim_start_matches('-') } else { word };
            assert!(script.contains(word), "{shell} does not know {word}");
        }
    }
}

#[test]
fn every_command_has_a_manual_page() {
    let folder = home("man").join("man1");
    let (status, out, _) = ended(&["setup", "man", folder.to_str().unwrap()], b"");
    assert_eq!((status, out.as_str()), (0, ""));
    let pages = COMMANDS.iter().map(|command| format!("brumal-{command}.1"));
    for page in pages.chain(["brumal.1".to_owned(), "brumal-rules-check.1".to_owned()]) {
        let text = std::fs::read_to_string(folder.join(&page)).expect(&page);
        assert!(text.starts_with(".ie") && text.contains(".SH SYNOPSIS"), "{page}: {text}");
    }
}

#[test]
fn paths_follow_the_environment() {
    let home = home("paths");
    let out = program().args(["setup", "paths", "--format", "json"]).env("HOME", &home).output();
    let value: serde_json::Value = serde_json::from_slice(&out.unwrap().stdout).unwrap();
    let history = home.join(".local/share/brumal/history.txt");
    assert_eq!(value["history"].as_str(), history.to_str());
    let out = program()
        .args(["setup", "paths", "--format", "json"])
        .env("HOME", &home)
        .env("XDG_DATA_HOME", home.join("elsewhere"))
        .output();
    let value: serde_json::Value = serde_json::from_slice(&out.unwrap().stdout).unwrap();
    assert_eq!(value["history"].as_str(), home.join("elsewhere/brumal/history.txt").to_str());
}

/// Every command tells what it does and every option what it means.
#[test]
fn help_is_whole_and_fits_the_screen() {
    for command in COMMANDS.into_iter().chain([""]) {
        let arguments: Vec<&str> =
            [command, "--help"].into_iter().filter(|a| !a.is_empty()).collect();
        let help = answered(&arguments, b"");
        assert!(help.starts_with(char::is_uppercase), "{command}: says first what it does: {help}");
        let widest = help.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= 100, "{command}: {widest} columns");
    }
}
