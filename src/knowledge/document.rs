//! TOML with places: reads tables key by key, and notes everything that is wrong on the way.

use crate::problem::{Code, Place, Problem, SourceText, Span};
use std::cell::RefCell;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// Where problems are gathered while files are read.
#[derive(Debug, Default)]
pub struct Problems(RefCell<Vec<Problem>>);

impl Problems {
    /// Notes a problem.
    pub fn push(&self, problem: Problem) {
        self.0.borrow_mut().push(problem);
    }

    /// All that were noted.
    #[must_use]
    pub fn into_vec(self) -> Vec<Problem> {
        self.0.into_inner()
    }
}

/// A string of a file, with its place.
#[derive(Debug, Clone)]
pub struct Text<'a> {
    /// What it says.
    pub text: String,
    /// Where the value stands, quotes included.
    pub span: Span,
    source: &'a SourceText,
}

impl Text<'_> {
    /// The place of the whole string.
    #[must_use]
    pub fn place(&self) -> Place {
        self.source.place(self.inner(Span::new(0, self.text.len())))
    }

    /// The place of a stretch of the string.
    #[must_use]
    pub fn place_of(&self, part: Span) -> Place {
        self.source.place(self.inner(part))
    }

    /// Moves a span of the string into the file; the whole string if it holds escapes.
    fn inner(&self, part: Span) -> Span {
        let first = self.span.start + 1;
        match self.source.text.get(first..) {
            Some(rest) if rest.starts_with(&self.text) => {
                Span::new(first + part.start, first + part.end)
            }
            _ => self.span,
        }
    }
}

/// Parses a file; syntax errors are noted and the rest is read all the same.
#[must_use]
pub fn parse<'a>(source: &'a SourceText, problems: &Problems) -> Spanned<DeTable<'a>> {
    let (table, errors) = DeTable::parse_recoverable(&source.text);
    for error in errors {
        let place = error.span().map(|span| source.place(span.into()));
        problems.push(Problem::error(Code::Syntax, place, error.message().replace('\n', "; ")));
    }
    table
}

/// Reads one table. What is not asked for is reported by [`Reader::finish`].
pub struct Reader<'a, 'p> {
    source: &'a SourceText,
    table: &'a DeTable<'a>,
    /// Where the table stands.
    pub span: Span,
    problems: &'p Problems,
    asked: RefCell<Vec<&'static str>>,
}

impl<'a, 'p> Reader<'a, 'p> {
    /// A reader of a parsed file's top table.
    #[must_use]
    pub fn new(
        source: &'a SourceText,
        table: &'a Spanned<DeTable<'a>>,
        problems: &'p Problems,
    ) -> Self {
        let span = Span::from(table.span());
        Self { source, table: table.get_ref(), span, problems, asked: RefCell::default() }
    }

    /// Where the table begins.
    #[must_use]
    pub fn place(&self) -> Place {
        self.source.place(self.span)
    }

    /// Notes a problem.
    pub fn problem(&self, problem: Problem) {
        self.problems.push(problem);
    }

    /// Where problems go.
    #[must_use]
    pub fn problems(&self) -> &'p Problems {
        self.problems
    }

    fn value(&self, key: &'static str) -> Option<&'a Spanned<DeValue<'a>>> {
        self.asked.borrow_mut().push(key);
        self.table.get(key)
    }

    fn wrong(&self, key: &str, value: &Spanned<DeValue<'_>>, wanted: &str) {
        let place = self.source.place(value.span().into());
        let kind = value.get_ref().type_str();
        self.problem(Problem::error(
            Code::Syntax,
            Some(place),
            format!("`{key}` should be {wanted}, not a {kind}"),
        ));
    }

    fn as_text(&self, key: &str, value: &'a Spanned<DeValue<'a>>) -> Option<Text<'a>> {
        let Some(text) = value.get_ref().as_str() else {
            self.wrong(key, value, "text in quotes");
            return None;
        };
        Some(Text { text: text.to_owned(), span: value.span().into(), source: self.source })
    }

    /// Text that may be left out.
    pub fn opt_text(&self, key: &'static str) -> Option<Text<'a>> {
        self.value(key).and_then(|value| self.as_text(key, value))
    }

    /// Text that must be there.
    pub fn text(&self, key: &'static str) -> Option<Text<'a>> {
        if self.value(key).is_none() {
            self.problem(
                Problem::error(Code::Syntax, Some(self.place()), format!("`{key}` is missing"))
                    .help(format!("add `{key} = \"…\"`")),
            );
        }
        self.opt_text(key)
    }

    /// The words of a text that may be left out.
    pub fn opt_string(&self, key: &'static str) -> Option<String> {
        self.opt_text(key).map(|text| text.text)
    }

    /// The words of a text that must be there; empty if it is not.
    pub fn string(&self, key: &'static str) -> String {
        self.text(key).map(|text| text.text).unwrap_or_default()
    }

    /// A list of texts; none if left out. A single text stands for a list of one.
    pub fn texts(&self, key: &'static str) -> Vec<Text<'a>> {
        let Some(value) = self.value(key) else { return Vec::new() };
        if value.get_ref().is_str() {
            return self.as_text(key, value).into_iter().collect();
        }
        let Some(list) = value.get_ref().as_array() else {
            self.wrong(key, value, "a list of texts");
            return Vec::new();
        };
        list.iter().filter_map(|item| self.as_text(key, item)).collect()
    }

    /// A list of texts, without their places.
    pub fn strings(&self, key: &'static str) -> Vec<String> {
        self.texts(key).into_iter().map(|text| text.text).collect()
    }

    /// A number that may be left out.
    pub fn number(&self, key: &'static str) -> Option<f64> {
        let value = self.value(key)?;
        let text = match value.get_ref() {
            DeValue::Integer(n) => n.as_str(),
            DeValue::Float(n) => n.as_str(),
            _ => {
                self.wrong(key, value, "a number");
                return None;
            }
        };
        let number = text.replace('_', "").parse::<f64>().ok().filter(|n| n.is_finite());
        if number.is_none() {
            self.wrong(key, value, "a finite number");
        }
        number
    }

    /// A list of numbers; none if left out.
    pub fn numbers(&self, key: &'static str) -> Vec<f64> {
        let Some(value) = self.value(key) else { return Vec::new() };
        let Some(list) = value.get_ref().as_array() else {
            self.wrong(key, value, "a list of numbers");
            return Vec::new();
        };
        let number = |item: &Spanned<DeValue<'_>>| {
            let text = match item.get_ref() {
                DeValue::Integer(n) => n.as_str(),
                DeValue::Float(n) => n.as_str(),
                _ => "",
            };
            text.replace('_', "").parse::<f64>().ok().filter(|n| n.is_finite())
        };
        let numbers: Vec<f64> = list.iter().filter_map(number).collect();
        if numbers.len() != list.len() {
            self.wrong(key, value, "a list of finite numbers");
        }
        numbers
    }

    /// Yes or no; may be left out.
    pub fn flag(&self, key: &'static str) -> Option<bool> {
        let value = self.value(key)?;
        let flag = value.get_ref().as_bool();
        if flag.is_none() {
            self.wrong(key, value, "true or false");
        }
        flag
    }

    fn child(&self, table: &'a DeTable<'a>, span: Span) -> Self {
        Self {
            source: self.source,
            table,
            span,
            problems: self.problems,
            asked: RefCell::default(),
        }
    }

    /// A table inside this one.
    pub fn table(&self, key: &'static str) -> Option<Self> {
        let value = self.value(key)?;
        let Some(table) = value.get_ref().as_table() else {
            self.wrong(key, value, "a table");
            return None;
        };
        Some(self.child(table, value.span().into()))
    }

    /// A list of tables (`[[key]]`).
    pub fn tables(&self, key: &'static str) -> Vec<Self> {
        let Some(value) = self.value(key) else { return Vec::new() };
        let Some(list) = value.get_ref().as_array() else {
            self.wrong(key, value, "a list of tables");
            return Vec::new();
        };
        let mut tables = Vec::new();
        for item in list {
            match item.get_ref().as_table() {
                Some(table) => tables.push(self.child(table, item.span().into())),
                None => self.wrong(key, item, "a table"),
            }
        }
        tables
    }

    /// Every entry of a table whose keys are names, as texts: `true`, `4.5` and `"x"` alike.
    pub fn entries(&self) -> Vec<(Text<'a>, Text<'a>)> {
        let mut entries = Vec::new();
        for (key, value) in self.table {
            let name = Text {
                text: key.get_ref().to_string(),
                span: key.span().into(),
                source: self.source,
            };
            let text = match value.get_ref() {
                DeValue::String(s) => s.to_string(),
                DeValue::Integer(n) => n.as_str().to_owned(),
                DeValue::Float(n) => n.as_str().to_owned(),
                DeValue::Boolean(b) => if *b { "yes" } else { "no" }.to_owned(),
                DeValue::Array(list) => list
                    .iter()
                    .filter_map(|item| item.get_ref().as_str())
                    .collect::<Vec<_>>()
                    .join(", "),
                _ => {
                    self.wrong(
                        &name.text,
                        value,
                        "a text, a number, a list of texts, true or false",
                    );
                    continue;
                }
            };
            entries.push((name, Text { text, span: value.span().into(), source: self.source }));
        }
        entries
    }

    /// Every entry of a table whose keys are names and whose values are lists of texts.
    pub fn lists(&self) -> Vec<(Text<'a>, Vec<Text<'a>>)> {
        let mut lists = Vec::new();
        for (key, value) in self.table {
            let span = key.span().into();
            let name = Text { text: key.get_ref().to_string(), span, source: self.source };
            match value.get_ref().as_array() {
                Some(list) => {
                    let texts = list.iter().filter_map(|item| self.as_text(&name.text, item));
                    let texts = texts.collect();
                    lists.push((name, texts));
                }
                None => self.wrong(&name.text, value, "a list of texts"),
            }
        }
        lists
    }

    /// Reports keys that nobody asked for.
    pub fn finish(&self) {
        let asked = self.asked.borrow();
        for key in self.table.keys() {
            let name: &str = key.get_ref();
            if !asked.contains(&name) {
                let place = self.source.place(key.span().into());
                let problem =
                    Problem::error(Code::Syntax, Some(place), format!("unknown key `{name}`"))
                        .label("nothing reads this");
                self.problem(problem.did_you_mean(name, asked.iter().copied()));
            }
        }
    }
}
