//! Packs the knowledge into the program: what ships is checked here, and a bad rule fails the build.
//!
//! The rooms that load the knowledge are compiled into this script too, from the same sources.

#[path = "src"]
#[expect(dead_code, unused_imports, reason = "the script uses a part of what the rooms offer")]
mod house {
    pub mod facts;
    pub mod knowledge;
    pub mod notes;
    pub mod problem;
    pub mod units;
}

use house::{facts, knowledge, notes, problem, units};
use std::path::Path;
use std::process::ExitCode;

fn main() -> ExitCode {
    println!("cargo::rerun-if-changed=knowledge");
    for room in ["units", "problem", "facts", "knowledge", "notes"] {
        println!("cargo::rerun-if-changed=src/{room}.rs");
        println!("cargo::rerun-if-changed=src/{room}");
    }
    let _ = (facts::is_fact_name, units::count);
    match pack(Path::new("knowledge")) {
        Ok(()) => ExitCode::SUCCESS,
        Err(problems) => {
            for problem in problems {
                println!("cargo::error=knowledge/{problem}");
            }
            ExitCode::FAILURE
        }
    }
}

fn pack(folder: &Path) -> Result<(), Vec<problem::Problem>> {
    let texts = knowledge::read_folder(folder)?;
    let loaded = knowledge::Knowledge::load(&texts);
    let mut problems = loaded.problems;
    let notes = notes::Notes::pack(&texts).map_err(|problem| vec![problem])?;
    problems.extend(notes.problems);
    let sections = notes::section_names(&notes::read(&texts).value);
    problems.extend(loaded.value.check(Some(&sections)));
    problems.retain(|problem| problem.severity == problem::Severity::Error);
    if !problems.is_empty() {
        return Err(problems);
    }
    let packed = postcard::to_stdvec(&loaded.value).map_err(|why| vec![told(&why)])?;
    write("knowledge.pack", &packed)?;
    write("notes.pack", &notes.value)
}

fn write(name: &str, bytes: &[u8]) -> Result<(), Vec<problem::Problem>> {
    #[expect(clippy::disallowed_methods, reason = "cargo tells a build script by the environment")]
    let out = std::env::var_os("OUT_DIR").unwrap_or_default();
    std::fs::write(Path::new(&out).join(name), bytes).map_err(|why| vec![told(&why)])
}

fn told(why: &dyn std::fmt::Display) -> problem::Problem {
    problem::Problem::error(problem::Code::File, None, format!("cannot pack the knowledge: {why}"))
}
