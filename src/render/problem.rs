//! Problems of a file: where, a picture of the line, what is wrong, what to do.

use super::clean::{clean, shows};
use super::style::View;
use crate::problem::{Problem, Severity, SourceText};
use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use serde::Serialize;
use std::borrow::Cow;
use std::io::{self, Write};

/// Writes problems for an author, each with a picture of its line where the text is at hand.
///
/// # Errors
/// The writer's.
pub fn problems(
    out: &mut dyn Write,
    problems: &[Problem],
    texts: &[SourceText],
    view: View,
) -> io::Result<()> {
    for problem in problems {
        let base = if view.colour { Renderer::styled() } else { Renderer::plain() };
        let renderer = base.term_width(view.width);
        writeln!(out, "{}\n", renderer.render(&report(problem, texts)).trim_end())?;
    }
    Ok(())
}

/// Paths and labels pass the drawing library raw, so they are cleaned here.
fn report<'a>(problem: &'a Problem, texts: &'a [SourceText]) -> Vec<Group<'a>> {
    let level = match problem.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let title = level.primary_title(clean(&problem.message)).id(problem.code.name());
    let mut group = Group::with_title(title);
    if let Some(place) = &problem.place {
        let text = texts.iter().find(|text| text.name == place.file);
        let span = text.map(|text| fitting(&text.text, place.span.start, place.span.end));
        if let (Some(text), Some(span)) = (text, span) {
            let mut mark = AnnotationKind::Primary.span(span);
            if let Some(label) = &problem.label {
                mark = mark.label(clean(label));
            }
            group = group.element(
                Snippet::source(masked(&text.text)).path(clean(&place.file)).annotation(mark),
            );
        } else {
            group = group.element(Level::NOTE.message(clean(&place.to_string()).into_owned()));
        }
    }
    if let Some(help) = &problem.help {
        group = group.element(Level::HELP.message(clean(help)));
    }
    vec![group]
}

/// A span that lies inside the text and on its first line, however it was given.
fn fitting(text: &str, start: usize, end: usize) -> std::ops::Range<usize> {
    let start = text.floor_char_boundary(start.min(text.len()));
    let end = text.floor_char_boundary(end.clamp(start, text.len()));
    let line = text.get(start..end).and_then(|words| words.find('\n')).map_or(end, |n| start + n);
    start..line
}

/// A source text with a `?` for each byte of what may not be shown, so that spans still fit.
fn masked(text: &str) -> Cow<'_, str> {
    let stays = |c: char| c == '\t' || shows(c);
    if text.chars().all(stays) {
        return Cow::Borrowed(text);
    }
    let mut masked = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\r' => masked.push(' '),
            c if stays(c) => masked.push(c),
            c => masked.extend(std::iter::repeat_n('?', c.len_utf8())),
        }
    }
    Cow::Owned(masked)
}

/// One problem as JSON.
#[derive(Serialize)]
struct Shape<'a> {
    code: &'a str,
    severity: &'a str,
    file: Option<&'a str>,
    line: Option<usize>,
    column: Option<usize>,
    message: &'a str,
    help: Option<&'a str>,
}

/// All the problems of a knowledge folder.
#[derive(Serialize)]
struct List<'a> {
    schema: &'static str,
    problems: Vec<Shape<'a>>,
}

/// Writes problems as one line of JSON.
///
/// # Errors
/// The writer's.
pub fn problems_json(out: &mut dyn Write, problems: &[Problem]) -> io::Result<()> {
    let list = List { schema: "brumal.problems/1", problems: problems.iter().map(shape).collect() };
    super::json::line(out, &list)
}

fn shape(problem: &Problem) -> Shape<'_> {
    let place = problem.place.as_ref();
    Shape {
        code: problem.code.name(),
        severity: match problem.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
        },
        file: place.map(|place| place.file.as_str()),
        line: place.map(|place| place.line),
        column: place.map(|place| place.column),
        message: &problem.message,
        help: problem.help.as_deref(),
    }
}
