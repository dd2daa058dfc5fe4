//! `rules list`, `rules show`, `rules check`.

use super::{answered, ended, home};
use serde_json::Value;
use std::path::Path;

const KNOWLEDGE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/knowledge");

/// Copies the knowledge into a folder of this test's own.
pub(super) fn copy(test: &str) -> std::path::PathBuf {
    let to = home(test).join("knowledge");
    copy_folder(Path::new(KNOWLEDGE), &to);
    to
}

fn copy_folder(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copy_folder(&path, &target);
        } else {
            std::fs::copy(&path, &target).unwrap();
        }
    }
}

#[test]
fn what_ships_is_in_order() {
    let (status, out, told) = ended(&["rules", "check", "--knowledge", KNOWLEDGE], b"");
    assert_eq!((status, told.as_str()), (0, ""), "{out}");
}

#[test]
fn a_misspelt_fact_is_shown_in_its_line_with_a_hint() {
    let folder = copy("misspelt");
    let rule = "[[rule]]\nid = \"bad\"\ntitle = \"Bad\"\nwhen = [\"air.temprature <= 32 °F\"]\n\
                source = \"common practice\"\n";
    std::fs::create_dir_all(folder.join("rules")).unwrap();
    std::fs::write(folder.join("rules/zz-bad.toml"), rule).unwrap();
    let folder = folder.to_str().unwrap();
    let (status, out, _) = ended(&["rules", "check", "--knowledge", folder], b"");
    assert_eq!(status, 1, "{out}");
    for told in [
        "no fact is called `air.temprature`",
        "rules/zz-bad.toml:4:10",
        "when = [\"air.temprature <= 32 °F\"]",
        "^^^^^^^^^^^^^^",
        "did you mean `air.temperature`?",
    ] {
        assert!(out.contains(told), "{told} is missing:\n{out}");
    }
    let (status, out, _) =
        ended(&["rules", "check", "--knowledge", folder, "--format", "json"], b"");
    assert_eq!(status, 1);
    let value: Value = serde_json::from_str(&out).unwrap();
    let problems = value["problems"].as_array().unwrap();
    let told = "no fact is called `air.temprature`";
    let bad = problems.iter().find(|problem| problem["message"] == told).expect(&out);
    assert_eq!((&bad["file"], &bad["line"]), (&"rules/zz-bad.toml".into(), &4.into()));
    let (status, _, told) = ended(&["ask", "ph 7.2", "--knowledge", folder], b"");
    assert!(status == 1 && told.contains("air.temprature"), "{told}");
}

#[test]
fn a_folder_without_knowledge_is_refused() {
    let empty = home("empty-knowledge");
    let (status, _, told) = ended(&["rules", "check", "--knowledge", empty.to_str().unwrap()], b"");
    assert!(status == 1 && told.contains("vocabulary.toml"), "{told}");
}

#[test]
fn rules_that_are_listed_can_be_shown() {
    let list: Value =
        serde_json::from_str(&answered(&["rules", "list", "--format", "json"], b"")).unwrap();
    let rules = list["rules"].as_array().unwrap();
    assert!(rules.len() >= 150, "{} rules", rules.len());
    for rule in rules.iter().step_by(25) {
        let id = rule["id"].as_str().unwrap();
        let text = answered(&["rules", "show", id], b"");
        assert!(text.starts_with(id) && text.contains("SOURCE"), "{text}");
    }
    let (status, _, told) = ended(&["rules", "show", "no-such-rule"], b"");
    assert!(status == 1 && told.contains("`no-such-rule`"), "{told}");
}
