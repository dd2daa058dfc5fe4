//! The whole record as JSON Lines or CSV, and back. What was written out reads in as the same record.

mod csv_in;
mod csv_out;

pub use csv_in::{is_export, read_csv};
pub use csv_out::{COLUMNS, harmless, write_csv};

use super::record::{Added, Held, Reading, Record};
use super::store::Store;
use crate::problem::{Code, Problem};
use serde::Deserialize;
use std::io::Write;

/// No cell and no line of an import may be longer.
pub const LARGEST_CELL: usize = 1 << 20;

/// The first line of an export as JSON Lines.
const HEADER: &str = "{\"schema\":\"brumal.log/1\"}";

#[derive(Deserialize)]
struct Header {
    schema: String,
}

fn failed(error: &dyn std::fmt::Display) -> Problem {
    Problem::error(Code::File, None, format!("the export could not be written: {error}"))
        .help("look whether there is room on the disk")
}

/// Writes everything as JSON Lines: a header, then a record a line.
///
/// # Errors
/// The record's or the writer's.
pub fn write_jsonl(store: &dyn Store, out: &mut dyn Write) -> Result<(), Problem> {
    writeln!(out, "{HEADER}").map_err(|error| failed(&error))?;
    store.export(&mut |record| {
        serde_json::to_writer(&mut *out, record).map_err(|error| failed(&error))?;
        writeln!(out).map_err(|error| failed(&error))
    })
}

/// Reads an export in JSON Lines.
///
/// # Errors
/// The first line that cannot be read, by its number.
pub fn read_jsonl(text: &str) -> Result<Vec<Record>, Problem> {
    let mut records = Vec::new();
    let mut lines = (1_usize..).zip(text.lines()).filter(|(_, line)| !line.trim().is_empty());
    let header = lines.next().and_then(|(_, line)| serde_json::from_str::<Header>(line).ok());
    if header.is_none_or(|header| header.schema != "brumal.log/1") {
        return Err(Problem::error(Code::Value, None, "the file does not begin like an export")
            .help(format!("its first line should be `{HEADER}`")));
    }
    for (number, line) in lines {
        let record: Record = serde_json::from_str(line).map_err(|error| {
            let message = format!("line {number} cannot be read: {error}");
            Problem::error(Code::Value, None, message).help("nothing was taken in")
        })?;
        check(&record, number)?;
        records.push(record);
    }
    Ok(records)
}

/// Refuses what the record cannot hold: cells beyond all measure, numbers that are none.
fn check(record: &Record, line: usize) -> Result<(), Problem> {
    let too_long = |name: &str, text: &str| {
        if text.len() <= LARGEST_CELL {
            return Ok(());
        }
        let message = format!("line {line}: `{name}` is longer than 1 MiB");
        Err(Problem::error(Code::Value, None, message).help("nothing was taken in"))
    };
    let value = |name: &str, value: &Held| match value {
        Held::Word(word) => too_long(name, word),
        Held::Number(n) if n.is_finite() => Ok(()),
        Held::Number(_) => {
            let message = format!("line {line}: `{name}` is no number");
            Err(Problem::error(Code::Value, None, message).help("nothing was taken in"))
        }
    };
    match record {
        Record::Profile { entry, .. } => {
            entry.value.iter().try_for_each(|held| value(&entry.name, held))?;
            too_long("given", &entry.given)?;
            too_long("why", &entry.why)
        }
        Record::Visit(visit) => {
            too_long("note", &visit.note)?;
            too_long("who", &visit.who)?;
            let reading =
                |one: &Reading| value(&one.fact, &one.value).and(too_long("given", &one.given));
            visit.readings.iter().try_for_each(reading)?;
            let added = |one: &Added| value(&one.product, &Held::Number(one.amount));
            visit.additions.iter().try_for_each(added)
        }
        Record::Practice(one) => {
            value("share", &Held::Number(one.share)).and(too_long("who", &one.who))
        }
        Record::Pool(_) | Record::Postponed(_) | Record::Blackout(_) => Ok(()),
    }
}
