//! The notes as they ship, and what their loader says of broken ones.

use brumal::knowledge::{NoteRef, read_folder};
use brumal::notes::{Notes, read};
use brumal::problem::SourceText;
use serde::Deserialize;
use std::path::{Path, PathBuf};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_owned()
}

fn texts() -> Vec<SourceText> {
    read_folder(&folder().join("knowledge")).unwrap()
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Fault {
    text: String,
    code: String,
    marked: String,
    message: String,
    help: Option<String>,
}

#[test]
fn each_fault_is_named_where_it_stands() {
    let folder = folder().join("tests/cases/problems/notes");
    let mut seen = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let fault: Fault = toml::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
        let text = SourceText { name: "notes/ice.md".to_owned(), text: fault.text };
        let problems = read(std::slice::from_ref(&text)).problems;
        assert_eq!(problems.len(), 1, "{}: {problems:#?}", path.display());
        let problem = &problems[0];
        let place = problem.place.as_ref().unwrap();
        assert_eq!(problem.code.name(), fault.code, "{}", path.display());
        assert_eq!(place.span.of(&text.text), fault.marked, "{}", path.display());
        assert_eq!(problem.message, fault.message, "{}", path.display());
        if fault.help.is_some() {
            assert_eq!(problem.help, fault.help, "{}", path.display());
        }
        seen += 1;
    }
    assert!(seen >= 14, "{seen} faults");
}

#[test]
fn the_notes_are_whole_and_short() {
    let read = read(&texts());
    assert_eq!(read.problems, []);
    let sections: Vec<_> = read.value.iter().flat_map(|note| &note.sections).collect();
    assert!(sections.len() >= 75, "{} sections", sections.len());
    for section in sections {
        let words = section.text.split_whitespace().count();
        assert!((60..=180).contains(&words), "{}: {words} words", section.title);
        assert!(!section.asked.is_empty(), "{}", section.title);
        assert!(!section.text.contains("Sources:"), "{}", section.title);
    }
}

#[test]
fn a_citation_leads_to_its_passage_with_the_marks_of_its_sources() {
    let notes = Notes::load(&texts()).unwrap().value;
    let passage = notes.passage(&NoteRef("pump-failure#first-ten-minutes".to_owned())).unwrap();
    assert_eq!(passage.title, "First ten minutes");
    assert!(passage.text.contains("switch off the breakers"), "{}", passage.text);
    assert!(passage.source.contains("(common practice)"), "{}", passage.source);
    assert!(passage.source.contains("Utah Department of Health, R392-302-23, 2024"));
    for note in notes.notes() {
        for section in &note.sections {
            let source = note.passage(section).source;
            assert!(!source.contains("undated"), "{}: {source}", section.title);
        }
    }
    assert_eq!(notes.passage(&NoteRef("pump-failure#nothing".to_owned())), None);
}

#[test]
fn packing_twice_gives_the_same_bytes_and_they_find_the_same() {
    let texts = texts();
    let pack = Notes::pack(&texts).unwrap().value;
    assert!(pack == Notes::pack(&texts).unwrap().value, "two packs differ");
    let packed = Notes::open(Box::leak(pack.into_boxed_slice())).unwrap();
    let loaded = Notes::load(&texts).unwrap().value;
    assert_eq!(packed.notes(), loaded.notes());
    for ask in
        ["why do salt cells quit in the cold?", "skimer is frozen", "what is the capital of France"]
    {
        assert_eq!(packed.search(ask, &|_| Vec::new(), 5), loaded.search(ask, &|_| Vec::new(), 5));
    }
    let best = packed.search("why do salt cells quit in the cold?", &|_| Vec::new(), 1);
    assert_eq!(best[0].passage.section, "why-they-stop-in-the-cold");
    assert!(
        best[0].snippet.starts_with("Salt cells quit in the cold because"),
        "{}",
        best[0].snippet
    );
}

#[test]
fn a_damaged_pack_is_refused_in_words() {
    let pack = Notes::pack(&texts()).unwrap().value;
    for length in [0, 7, 8, 1000, pack.len() - 1] {
        let cut: &'static [u8] = Box::leak(pack[..length].to_vec().into_boxed_slice());
        assert!(Notes::open(cut).is_err(), "{length} bytes");
    }
}

#[test]
fn the_reference_texts_of_no_note_still_load() {
    let notes = Notes::load(&[]).unwrap().value;
    assert_eq!(notes.search("salt cell", &|_| Vec::new(), 5), []);
}
