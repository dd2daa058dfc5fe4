//! An export as CSV, read back into records.

use super::super::record::{
    Added, Blackout, Correction, Held, Part, PoolRecord, Postponement, Practice, ProfileEntry,
    Reading, Record, Visit,
};
use super::{COLUMNS, check};
use crate::clock::Moment;
use crate::problem::{Code, Problem};
use std::collections::BTreeMap;

/// Whether a CSV text begins like an export of this program.
#[must_use]
pub fn is_export(text: &str) -> bool {
    let header: Vec<&str> = COLUMNS.iter().map(|(column, _)| *column).collect();
    text.trim_start_matches('\u{feff}').starts_with(&header.join(","))
}

/// One row with its line.
struct Row<'r> {
    line: usize,
    cells: BTreeMap<&'static str, &'r str>,
}

impl Row<'_> {
    fn wrong(&self, why: &str) -> Problem {
        Problem::error(Code::Value, None, format!("line {}: {why}", self.line))
            .help("nothing was taken in")
    }

    fn raw(&self, column: &str) -> &str {
        self.cells.get(column).copied().unwrap_or("")
    }

    /// Text as it was before the export made it harmless.
    fn text(&self, column: &str) -> String {
        let raw = self.raw(column);
        raw.strip_prefix('\'').unwrap_or(raw).to_owned()
    }

    fn number(&self, column: &str) -> Result<f64, Problem> {
        let raw = self.raw(column);
        let number = raw.parse::<f64>().ok().filter(|n| n.is_finite());
        number.ok_or_else(|| self.wrong(&format!("`{column}` is no number")))
    }

    fn moment(&self, column: &str) -> Result<Moment, Problem> {
        Moment::parse(self.raw(column))
            .map_err(|_| self.wrong(&format!("`{column}` is no moment in time")))
    }

    fn percent(&self) -> Result<Option<f64>, Problem> {
        if self.raw("percent").is_empty() { Ok(None) } else { self.number("percent").map(Some) }
    }

    fn until(&self) -> Result<Option<Moment>, Problem> {
        if self.raw("until").is_empty() { Ok(None) } else { self.moment("until").map(Some) }
    }

    fn value(&self) -> Result<Option<Held>, Problem> {
        match self.raw("kind") {
            "number" => self.number("value").map(|n| Some(Held::Number(n))),
            "word" => Ok(Some(Held::Word(self.text("value")))),
            "none" => Ok(None),
            other => Err(self.wrong(&format!("`{other}` is no kind of value"))),
        }
    }

    fn profile(&self) -> Result<Record, Problem> {
        let entry = ProfileEntry {
            name: self.text("name"),
            value: self.value()?,
            given: self.text("given"),
            since: self.moment("at")?,
            who: self.text("who"),
            why: self.text("why"),
        };
        Ok(Record::Profile { pool: self.text("pool"), entry })
    }

    fn visit(&self) -> Result<Visit, Problem> {
        Ok(Visit {
            id: self.text("visit"),
            pool: self.text("pool"),
            at: self.moment("at")?,
            who: self.text("who"),
            note: self.text("value"),
            readings: Vec::new(),
            additions: Vec::new(),
            tasks: Vec::new(),
            photos: Vec::new(),
            corrections: Vec::new(),
        })
    }

    /// A row that belongs to a visit.
    fn part(&self, visit: &mut Visit) -> Result<(), Problem> {
        let name = self.text("name");
        match self.raw("record") {
            "reading" => visit.readings.push(Reading {
                fact: name,
                value: self.value()?.ok_or_else(|| self.wrong("a reading needs a value"))?,
                given: self.text("given"),
                method: self.text("method"),
            }),
            "addition" => visit.additions.push(Added {
                product: name,
                percent: self.percent()?,
                amount: self.number("value")?,
                unit: self.text("unit"),
                given: self.text("given"),
            }),
            "task" => visit.tasks.push(name),
            "photo" => visit.photos.push(name),
            "correction" => visit.corrections.push(Correction {
                part: Part::named(self.raw("method")),
                fact: name,
                old: self.value()?,
                unit: self.text("unit"),
                percent: self.percent()?,
                given: self.text("given"),
                at: self.moment("at")?,
                who: self.text("who"),
                why: self.text("why"),
            }),
            other => return Err(self.wrong(&format!("`{other}` is no kind of record"))),
        }
        Ok(())
    }

    fn seed(&self) -> Result<u32, Problem> {
        let text = self.text("method");
        text.parse().map_err(|_| self.wrong(&format!("`{text}` is no seed")))
    }

    fn other(&self) -> Result<Option<Record>, Problem> {
        Ok(Some(match self.raw("record") {
            "pool" => Record::Pool(PoolRecord {
                id: self.text("pool"),
                name: self.text("name"),
                added: self.moment("at")?,
                retired: self.until()?,
            }),
            "profile" => self.profile()?,
            "postponed" => Record::Postponed(Postponement {
                pool: self.text("pool"),
                task: self.text("name"),
                until: self.moment("until")?,
                who: self.text("who"),
                why: self.text("why"),
            }),
            "blackout" => Record::Blackout(Blackout {
                pool: Some(self.text("pool")).filter(|pool| !pool.is_empty()),
                from: self.moment("at")?,
                to: self.moment("until")?,
                why: self.text("why"),
            }),
            "practice" => Record::Practice(Practice {
                who: self.text("who"),
                skill: self.text("name"),
                scenario: self.text("given"),
                seed: self.seed()?,
                at: self.moment("at")?,
                grade: self.text("why"),
                share: self.number("value")?,
            }),
            _ => return Ok(None),
        }))
    }
}

/// Reads an export in CSV.
///
/// # Errors
/// The first row that cannot be read, by its line.
pub fn read_csv(text: &str) -> Result<Vec<Record>, Problem> {
    let text = text.trim_start_matches('\u{feff}');
    let mut reader = csv::ReaderBuilder::new().from_reader(text.as_bytes());
    let mut records = Vec::new();
    let mut open: Option<(Visit, usize)> = None;
    for row in reader.records() {
        let row = row.map_err(|error| {
            Problem::error(Code::Value, None, format!("the file cannot be read: {error}"))
                .help("nothing was taken in")
        })?;
        let line = row.position().and_then(|at| usize::try_from(at.line()).ok()).unwrap_or(0);
        let cells = COLUMNS.iter().map(|(column, _)| *column).zip(row.iter()).collect();
        let row = Row { line, cells };
        let begins = row.raw("record") == "visit";
        let belongs = open.as_ref().is_some_and(|(visit, _)| visit.id == row.text("visit"));
        if let Some(other) = row.other()? {
            close(&mut open, &mut records)?;
            check(&other, line)?;
            records.push(other);
        } else if begins {
            close(&mut open, &mut records)?;
            open = Some((row.visit()?, line));
        } else if let Some((visit, _)) = open.as_mut().filter(|_| belongs) {
            row.part(visit)?;
        } else {
            return Err(row.wrong("this row stands under no visit of its id"));
        }
    }
    close(&mut open, &mut records)?;
    Ok(records)
}

fn close(open: &mut Option<(Visit, usize)>, records: &mut Vec<Record>) -> Result<(), Problem> {
    if let Some((visit, line)) = open.take() {
        let record = Record::Visit(visit);
        check(&record, line)?;
        records.push(record);
    }
    Ok(())
}
