//! The demo conversations are real: each is typed again, and the program must write the same bytes.
//!
//! A transcript begins with lines `# name: value` (what it shows, and the options it was run with), then
//! holds what `brumal --echo` wrote: `~ ` stands before what was typed. After a change of wording, look at
//! what `BRUMAL_WRITE_TRANSCRIPTS=1 cargo test transcripts` makes of them, and read it before keeping it.

use crate::cli::program;
use std::path::{Path, PathBuf};

/// A transcript of the folder.
struct Transcript {
    path: PathBuf,
    header: String,
    command: Vec<String>,
    options: Vec<String>,
    body: String,
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("transcripts-demo")
}

fn read(path: PathBuf) -> Transcript {
    let text = std::fs::read_to_string(&path).unwrap();
    let lines = text.split_inclusive('\n');
    let header: String = lines.take_while(|line| line.starts_with("# ")).collect();
    let mut options = Vec::new();
    let mut command = Vec::new();
    for line in header.lines() {
        let (name, value) = line.trim_start_matches("# ").split_once(": ").expect(line);
        match name {
            "shows" => {}
            "command" => command.extend(value.split_whitespace().map(str::to_owned)),
            "at" | "pool" | "units" | "fact" => {
                options.extend([format!("--{name}"), value.to_owned()]);
            }
            other => panic!("{}: `{other}` is no option of a transcript", path.display()),
        }
    }
    let body = text
        .strip_prefix(header.as_str())
        .unwrap()
        .strip_prefix('\n')
        .expect("a blank line after the header");
    Transcript { header, command, options, body: body.to_owned(), path }
}

fn all() -> Vec<Transcript> {
    let entries = std::fs::read_dir(folder()).unwrap().map(|entry| entry.unwrap().path());
    let mut paths: Vec<PathBuf> =
        entries.filter(|path| path.extension().is_some_and(|ending| ending == "txt")).collect();
    paths.sort();
    paths.into_iter().map(read).collect()
}

/// Whether the kept conversations are to be written anew.
#[expect(clippy::disallowed_methods, reason = "a test may be told by the environment what to do")]
pub(crate) fn wanted_anew() -> bool {
    std::env::var("BRUMAL_WRITE_TRANSCRIPTS").is_ok()
}

/// What the program writes when the transcript's messages are typed.
fn replay(transcript: &Transcript) -> String {
    let typed: String = transcript
        .body
        .lines()
        .filter_map(|line| line.strip_prefix("~ "))
        .map(|line| format!("{line}\n"))
        .collect();
    let output = program()
        .args(&transcript.command)
        .arg("--echo")
        .args(&transcript.options)
        .write_stdin(typed)
        .output()
        .unwrap();
    assert!(output.status.success(), "{}: {output:?}", transcript.path.display());
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn demo_conversations_are_what_the_program_says() {
    let transcripts = all();
    assert!(transcripts.len() >= 8, "at least eight conversations");
    let write = wanted_anew();
    let mut different = Vec::new();
    for transcript in &transcripts {
        let now = replay(transcript);
        if now == transcript.body {
            continue;
        }
        if write {
            std::fs::write(&transcript.path, format!("{}\n{now}", transcript.header)).unwrap();
        } else {
            different.push(first_difference(&transcript.path, &transcript.body, &now));
        }
    }
    assert!(different.is_empty(), "{}", different.join("\n"));
}

fn first_difference(path: &Path, kept: &str, now: &str) -> String {
    let mut pairs = kept.lines().zip(now.lines()).enumerate();
    let (line, (kept, now)) =
        pairs.find(|(_, (kept, now))| kept != now).unwrap_or((0, ("it ends", "elsewhere")));
    format!("{} line {}:\n  kept {kept}\n  now  {now}", path.display(), line + 1)
}
