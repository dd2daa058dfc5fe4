//! `setup`: completions, manual pages, paths; and the help that all of them come from.

use super::{answered, ended, home, program};

#[test]
fn completions_name_the_commands() {
    for shell in ["bash", "zsh", "fish"] {
        let script = answered(&["setup", "completions", shell], b"");
        for command in ["ask", "read", "stream", "rules"] {
            assert!(script.contains(command), "{shell} does not know {command}");
        }
    }
}

#[test]
fn every_command_has_a_manual_page() {
    let folder = home("man").join("man1");
    let (status, out, _) = ended(&["setup", "man", folder.to_str().unwrap()], b"");
    assert_eq!((status, out.as_str()), (0, ""));
    for page in ["brumal.1", "brumal-ask.1", "brumal-stream.1", "brumal-rules-check.1"] {
        let text = std::fs::read_to_string(folder.join(page)).expect(page);
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
    for command in [
        "", "ask", "read", "stream", "rules", "setup", "notes", "dose", "night", "season", "pool",
        "log", "due", "report", "drill", "demo",
    ] {
        let arguments: Vec<&str> =
            [command, "--help"].into_iter().filter(|a| !a.is_empty()).collect();
        let help = answered(&arguments, b"");
        assert!(help.starts_with(char::is_uppercase), "{command}: says first what it does: {help}");
        let widest = help.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= 100, "{command}: {widest} columns");
    }
}
