//! The sections of a note.

use super::{Section, Source, slug};
use crate::problem::{Code, Problem, SourceText, Span};
use pulldown_cmark::{Event, HeadingLevel, Parser, Tag, TagEnd};

/// What begins the line of sources, the last of a section.
const SOURCES: &str = "Sources:";
/// What begins the line of other words by which people ask for the section; it may be left out.
const ASKED: &str = "Asked:";

/// A heading and the paragraphs under it, with their places in the file.
#[derive(Debug, Default)]
struct Raw {
    title: String,
    span: Span,
    paragraphs: Vec<(String, Span)>,
}

/// Reads the sections of the text at `span`.
pub(super) fn read_sections(
    source: &SourceText,
    span: Span,
    known: &[(Source, Span)],
    problems: &mut Vec<Problem>,
) -> Vec<Section> {
    let mut sections: Vec<Section> = Vec::new();
    for raw in gather(source, span, problems) {
        let section = finish(source, &raw, known, problems);
        if sections.iter().any(|other| other.name == section.name) {
            let message = format!("two sections are called `{}`", section.name);
            problems.push(
                Problem::error(Code::Duplicate, Some(source.place(raw.span)), message)
                    .help("give one of them another heading"),
            );
            continue;
        }
        sections.push(section);
    }
    if sections.is_empty() {
        let place = source.place(Span::new(span.start, span.start));
        problems.push(
            Problem::error(Code::Syntax, Some(place), "the note has no section")
                .help("begin a section with a `## ` heading"),
        );
    }
    sections
}

/// Walks the Markdown and gathers headings and paragraphs.
fn gather(source: &SourceText, span: Span, problems: &mut Vec<Problem>) -> Vec<Raw> {
    let mut all: Vec<Raw> = Vec::new();
    let mut text = String::new();
    let mut bullet = false;
    for (event, part) in Parser::new(span.of(&source.text)).into_offset_iter() {
        let at = Span::new(span.start + part.start, span.start + part.end);
        match event {
            Event::Start(Tag::Heading { .. } | Tag::Paragraph) => text.clear(),
            Event::Start(Tag::Item) => {
                text.clear();
                bullet = true;
            }
            Event::Text(words) | Event::Code(words) => text.push_str(&words),
            Event::SoftBreak | Event::HardBreak => text.push('\n'),
            Event::End(TagEnd::Heading(HeadingLevel::H2)) => {
                all.push(Raw { title: text.trim().to_owned(), span: at, paragraphs: Vec::new() });
            }
            Event::End(TagEnd::Heading(_)) => problems.push(
                Problem::error(Code::Syntax, Some(source.place(at)), "only `##` headings are read")
                    .help("make it a section of its own with `## `"),
            ),
            Event::End(TagEnd::Paragraph | TagEnd::Item) if !text.is_empty() => {
                let line = if bullet { format!("- {text}") } else { text.clone() };
                text.clear();
                bullet = false;
                match all.last_mut() {
                    Some(raw) => raw.paragraphs.push((line, at)),
                    None => problems.push(
                        Problem::error(
                            Code::Syntax,
                            Some(source.place(at)),
                            "this text stands before the first section",
                        )
                        .help("move it under a `## ` heading"),
                    ),
                }
            }
            _ => {}
        }
    }
    all
}

/// Makes a section of a heading and its paragraphs.
fn finish(
    source: &SourceText,
    raw: &Raw,
    known: &[(Source, Span)],
    problems: &mut Vec<Problem>,
) -> Section {
    let mut paragraphs: Vec<String> = Vec::new();
    let (mut sources, mut asked) = (None, Vec::new());
    for (text, at) in &raw.paragraphs {
        let mut words: Vec<&str> = Vec::new();
        for line in text.lines() {
            if let Some(keys) = line.strip_prefix(SOURCES) {
                sources = Some(read_keys(source, keys, *at, known, problems));
            } else if let Some(phrases) = line.strip_prefix(ASKED) {
                let phrases = phrases.split(';').map(|phrase| phrase.trim().to_owned());
                asked.extend(phrases.filter(|phrase| !phrase.is_empty()));
            } else {
                words.push(line);
            }
        }
        if !words.is_empty() {
            paragraphs.push(words.join(" "));
        }
    }
    if paragraphs.is_empty() {
        let message = format!("the section `{}` has no text", raw.title);
        problems.push(Problem::error(Code::Syntax, Some(source.place(raw.span)), message));
    }
    if sources.as_ref().is_none_or(Vec::is_empty) {
        let message = format!("the section `{}` names no source", raw.title);
        problems.push(
            Problem::error(Code::Source, Some(source.place(raw.span)), message)
                .help("end it with a line `Sources: key, key`"),
        );
    }
    Section {
        name: slug(&raw.title),
        title: raw.title.clone(),
        text: paragraphs.join("\n\n"),
        asked,
        sources: sources.unwrap_or_default(),
    }
}

fn read_keys(
    source: &SourceText,
    keys: &str,
    at: Span,
    known: &[(Source, Span)],
    problems: &mut Vec<Problem>,
) -> Vec<String> {
    let keys = keys.split(',').map(str::trim).filter(|key| !key.is_empty());
    let mut read = Vec::new();
    for key in keys {
        if known.iter().any(|(source, _)| source.key == key) {
            read.push(key.to_owned());
            continue;
        }
        let found = at
            .of(&source.text)
            .rfind(key)
            .map_or(at, |found| Span::new(at.start + found, at.start + found + key.len()));
        let message = format!("no source is called `{key}`");
        let problem = Problem::error(Code::UnknownName, Some(source.place(found)), message);
        problems
            .push(problem.did_you_mean(key, known.iter().map(|(source, _)| source.key.as_str())));
    }
    read
}
