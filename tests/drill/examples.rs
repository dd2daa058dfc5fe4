//! Examples of what people say: what no pattern knows is taken for the action whose example it is most like.

use brumal::drill::{Ear, Sitting, draw};
use brumal::knowledge::{Knowledge, read_folder};
use brumal::problem::{Problem, SourceText};
use brumal::session::Base;
use brumal::units::System;
use std::path::Path;

const FILE: &str = "scenarios/examples.toml";

/// The shipped knowledge with these examples and no others.
fn with(examples: &str) -> Vec<SourceText> {
    let folder = Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/knowledge"));
    let mut texts = read_folder(folder).unwrap();
    texts.retain(|text| text.name != FILE);
    texts.push(SourceText { name: FILE.to_owned(), text: examples.to_owned() });
    texts
}

/// What is ticked in a case when something is said of which no word is known.
fn ticked(examples: &str, says: &str) -> Vec<String> {
    let base = Base::from_texts(&with(examples)).unwrap();
    let ear = Ear::new(base.knowledge());
    let scenario = base.knowledge().scenarios.iter().find(|one| one.id == "noise-in-the-frost");
    let case = draw(&base.network, scenario.unwrap(), 1, System::Us);
    let mut sitting = Sitting::new(&base.network, &ear, case, System::Us);
    assert!(sitting.right.needed.iter().any(|one| one.id == "lay-out-for-draining"));
    sitting.say(says);
    let mark = sitting.mark();
    mark.right.iter().map(|at| sitting.right.needed[*at].id.clone()).collect()
}

#[test]
fn what_no_pattern_knows_is_read_by_an_example() {
    let says = "whatever zorbles in the frimbled gubbins";
    let example = "[does]\nlay-out-for-draining = [\"see to what zorbled in those gubbins\"]\n";
    assert_eq!(ticked("[does]\n", says), Vec::<String>::new());
    assert_eq!(ticked(example, says), ["lay-out-for-draining"]);
    // More like what another action is said with; of one word only; denied.
    let other = format!("{example}backwash-sand = [\"{says}\"]\n");
    assert_eq!(ticked(&other, says), Vec::<String>::new());
    assert_eq!(ticked(example, "the weather zorbles"), Vec::<String>::new());
}

#[test]
fn a_fault_of_an_example_is_told_with_its_place() {
    let text = "[does]\nopen-drain-plug = [\"have the lot dangling\"]\nbackwash-sand = [\n  \"Yank 'em, all of them\",\n  \"?!\",\n]\n\
        open-drain-plugs = [\"yank em all of them!\"]\n\n[done]\n";
    let loaded = Knowledge::load(&with(text));
    let mut problems = loaded.problems;
    problems.extend(loaded.value.check(None));
    let told = |line: usize, message: &str, help: &str| {
        let fits = |problem: &&Problem| {
            let place = problem.place.as_ref();
            place.is_some_and(|at| at.file == FILE && at.line == line)
                && problem.message.contains(message)
                && problem.help.as_deref().unwrap_or("").contains(help)
        };
        assert!(problems.iter().find(fits).is_some(), "{line} {message}: {problems:?}");
    };
    told(2, "no action is called `open-drain-plug`", "did you mean `open-drain-plugs`?");
    told(5, "this example says nothing", "write a clause");
    told(7, "this example is one of `backwash-sand` already", "somebody else");
    told(9, "unknown key `done`", "DEVELOPERS.md");
}
