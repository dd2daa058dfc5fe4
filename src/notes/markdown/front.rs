//! The front matter of a note: title, summary and the table of sources.

use super::{Mark, Source};
use crate::problem::{Code, Problem, SourceText, Span};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// What the front matter says.
#[derive(Debug, Default)]
pub(super) struct Front {
    pub(super) title: String,
    pub(super) summary: String,
    /// The sources, sorted by key, each with the place of its key.
    pub(super) sources: Vec<(Source, Span)>,
}

/// Reads the front matter at `span` of the file.
pub(super) fn read_front(source: &SourceText, span: Span, problems: &mut Vec<Problem>) -> Front {
    let within =
        |part: std::ops::Range<usize>| Span::new(span.start + part.start, span.start + part.end);
    let (table, errors) = DeTable::parse_recoverable(span.of(&source.text));
    for error in errors {
        let place = error.span().map(|part| source.place(within(part)));
        problems.push(Problem::error(Code::Syntax, place, error.message().replace('\n', "; ")));
    }
    let mut front = Front::default();
    for (key, value) in table.get_ref() {
        let at = within(key.span());
        let name: &str = key.get_ref();
        match name {
            "title" => front.title = text(source, at, value, problems),
            "summary" => front.summary = text(source, at, value, problems),
            "sources" => front.sources = read_sources(source, span.start, value, problems),
            _ => problems.push(
                Problem::error(
                    Code::Syntax,
                    Some(source.place(at)),
                    format!("unknown key `{name}`"),
                )
                .did_you_mean(name, ["title", "summary", "sources"]),
            ),
        }
    }
    for (name, said) in [("title", &front.title), ("summary", &front.summary)] {
        if said.is_empty() {
            let place = source.place(Span::new(span.start, span.start));
            problems.push(
                Problem::error(Code::Syntax, Some(place), format!("`{name}` is missing"))
                    .help(format!("add `{name} = \"…\"`")),
            );
        }
    }
    front
}

fn text(
    source: &SourceText,
    at: Span,
    value: &Spanned<DeValue<'_>>,
    problems: &mut Vec<Problem>,
) -> String {
    let Some(text) = value.get_ref().as_str() else {
        let kind = value.get_ref().type_str();
        let message = format!("this should be text in quotes, not a {kind}");
        problems.push(Problem::error(Code::Syntax, Some(source.place(at)), message));
        return String::new();
    };
    text.to_owned()
}

fn read_sources(
    source: &SourceText,
    offset: usize,
    value: &Spanned<DeValue<'_>>,
    problems: &mut Vec<Problem>,
) -> Vec<(Source, Span)> {
    let mut sources = Vec::new();
    let Some(table) = value.get_ref().as_table() else { return sources };
    for (key, value) in table {
        let at = Span::new(offset + key.span().start, offset + key.span().end);
        let said = text(source, at, value, problems);
        match read_source(key.get_ref(), &said) {
            Ok(read) => sources.push((read, at)),
            Err(problem) => {
                problems.push(Problem { place: Some(source.place(at)), ..problem });
                // Kept all the same, so that its sections do not complain as well.
                let key = key.get_ref().to_string();
                sources.push((Source { key, text: said, mark: Mark::FromMemory }, at));
            }
        }
    }
    sources
}

/// Reads `body, document, year, section; mark`.
fn read_source(key: &str, said: &str) -> Result<Source, Problem> {
    let wrong =
        |message: String, help: &str| Problem::error(Code::Source, None, message).help(help);
    if said.contains("http:") || said.contains("https:") || said.contains("www.") {
        return Err(wrong(
            format!("the source `{key}` holds an address"),
            "name the body, the document, the year and the section instead",
        ));
    }
    let (text, mark) = said.rsplit_once(';').unwrap_or((said, ""));
    let Some(mark) = Mark::ALL.into_iter().find(|known| known.words() == mark.trim()) else {
        let known: Vec<&str> = Mark::ALL.iter().map(|mark| mark.words()).collect();
        return Err(wrong(
            format!("the source `{key}` does not say how it was checked"),
            &format!("end it with `; ` and one of: {}", known.join(", ")),
        ));
    };
    if text.split(',').filter(|part| !part.trim().is_empty()).count() < 3 {
        return Err(wrong(
            format!("the source `{key}` is too short to be found again"),
            "write body, document, year (or undated), section",
        ));
    }
    Ok(Source { key: key.to_owned(), text: text.trim().to_owned(), mark })
}
