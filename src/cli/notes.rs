//! `brumal notes`: searches, shows and lists the reference notes.

use super::args::{Common, Format};
use super::exit::{Done, Failure};
use super::surroundings::{Surroundings, base};
use crate::knowledge::{NoteRef, Passage};
use crate::notes::Notes;
use crate::problem::{Code, Problem};
use crate::render::{Role, Sheet, json_line, passage_text};
use clap::{Args, Subcommand};
use serde::Serialize;

/// Search and show the reference notes
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  brumal notes search why do salt cells quit in the cold
  brumal notes show pump-failure#first-ten-minutes
  brumal notes list")]
pub(super) struct NotesArgs {
    #[command(subcommand)]
    command: NotesCommand,
}

#[derive(Debug, Subcommand)]
enum NotesCommand {
    /// Find the sections that answer a question
    Search {
        /// The question
        #[arg(required = true, value_name = "WORDS")]
        words: Vec<String>,
    },
    /// Show a note, or one section of it
    Show {
        /// `note` or `note#section`
        #[arg(value_name = "NOTE")]
        name: String,
    },
    /// List every note with its sections
    List,
}

/// So many sections answer a question.
const SHOWN: usize = 5;

#[derive(Serialize)]
struct Shape<'a> {
    schema: &'static str,
    passages: &'a [Passage],
}

/// Runs one of them.
pub(super) fn run(
    args: &NotesArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    let passages = match &args.command {
        NotesCommand::List if around.format == Format::Text => return list(&base.notes, around),
        NotesCommand::List => all(&base.notes),
        NotesCommand::Show { name } => named(&base.notes, name)?,
        NotesCommand::Search { words } => {
            let known = base.knowledge().vocabulary.thesaurus();
            let synonyms = |phrase: &str| known.of(phrase);
            let found = base.notes.search(&asked(words)?, &synonyms, SHOWN);
            found.into_iter().map(|found| found.passage).collect()
        }
    };
    if around.format == Format::Json {
        let shape = Shape { schema: "brumal.notes/1", passages: &passages };
        json_line(&mut around.out, &shape)?;
        return Ok(Done::Answered);
    }
    let mut sheet = Sheet::new(&mut around.out, around.view);
    if passages.is_empty() {
        sheet.paragraph("", &[(Role::Plain, "The notes have nothing on that.")])?;
    }
    for passage in &passages {
        passage_text(&mut sheet, passage)?;
        sheet.gap();
    }
    Ok(Done::Answered)
}

/// The question; one without a word in it is refused.
fn asked(words: &[String]) -> Result<String, Failure> {
    let question = words.join(" ");
    if question.chars().any(char::is_alphanumeric) {
        return Ok(question);
    }
    let problem = Problem::error(Code::Value, None, "there is no word to search for");
    Err(Failure::told(problem.help("try `brumal notes search salt cell in the cold`")))
}

fn all(notes: &Notes) -> Vec<Passage> {
    let of_note = |note: &crate::notes::Note| -> Vec<Passage> {
        note.sections.iter().map(|section| note.passage(section)).collect()
    };
    notes.notes().iter().flat_map(of_note).collect()
}

/// The sections of a name; an unknown one is answered with the nearest.
fn named(notes: &Notes, name: &str) -> Result<Vec<Passage>, Failure> {
    if let Some(passage) = notes.passage(&NoteRef(name.to_owned())) {
        return Ok(vec![passage]);
    }
    if let Some(note) = notes.note(name) {
        return Ok(note.sections.iter().map(|section| note.passage(section)).collect());
    }
    let sections = notes.section_names();
    let known = notes.notes().iter().map(|note| note.name.as_str());
    let known = known.chain(sections.iter().map(String::as_str));
    let told = format!("no note or section is called `{name}`");
    let problem = Problem::error(Code::UnknownName, None, told);
    Err(Failure::told(problem.did_you_mean(name, known)))
}

fn list(notes: &Notes, around: &mut Surroundings) -> Result<Done, Failure> {
    let mut sheet = Sheet::new(&mut around.out, around.view);
    for note in notes.notes() {
        sheet.heading(Role::Heading, &note.name)?;
        sheet.paragraph("  ", &[(Role::Plain, &note.summary)])?;
        for section in &note.sections {
            let name = format!("{}#{}", note.name, section.name);
            sheet.paragraph("    ", &[(Role::Strong, &name)])?;
        }
    }
    Ok(Done::Answered)
}
