//! The knowledge as named texts: from a folder, or packed into the program.

use crate::problem::{Code, Problem, SourceText};
use std::path::Path;

/// Reads every TOML and Markdown file of a knowledge folder, in order of name.
///
/// # Errors
/// A problem for each file or folder that cannot be read, and one if the folder holds no vocabulary.
pub fn read_folder(folder: &Path) -> Result<Vec<SourceText>, Vec<Problem>> {
    let mut texts = Vec::new();
    let mut problems = Vec::new();
    walk(folder, "", &mut texts, &mut problems);
    if problems.is_empty() && !texts.iter().any(|text: &SourceText| text.name == "vocabulary.toml")
    {
        problems.push(
            Problem::error(
                Code::File,
                None,
                format!("`{}` holds no `vocabulary.toml`", folder.display()),
            )
            .help("name the folder that holds the whole knowledge"),
        );
    }
    if problems.is_empty() { Ok(texts) } else { Err(problems) }
}

fn walk(folder: &Path, inside: &str, texts: &mut Vec<SourceText>, problems: &mut Vec<Problem>) {
    let unreadable = |path: &Path, why: &dyn std::fmt::Display| {
        Problem::error(Code::File, None, format!("cannot read `{}`: {why}", path.display()))
    };
    let entries = match std::fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(why) => {
            problems.push(unreadable(folder, &why).help("check the path and its permissions"));
            return;
        }
    };
    let mut paths: Vec<_> = entries.filter_map(|entry| entry.ok().map(|e| e.path())).collect();
    paths.sort();
    for path in paths {
        let Some(file) = path.file_name().and_then(|name| name.to_str()) else { continue };
        if file.starts_with('.') {
            continue;
        }
        let name = if inside.is_empty() { file.to_owned() } else { format!("{inside}/{file}") };
        if path.is_dir() {
            walk(&path, &name, texts, problems);
        } else if file.ends_with(".toml") || file.ends_with(".md") {
            match std::fs::read_to_string(&path) {
                Ok(text) => texts.push(SourceText { name, text }),
                Err(why) => problems.push(unreadable(&path, &why).help("save it as UTF-8 text")),
            }
        }
    }
}
