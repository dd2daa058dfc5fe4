//! The record as CSV (RFC 4180): one row for each reading, addition, task and so on.

use super::super::record::{Held, Practice, ProfileEntry, Record, Visit};
use super::super::store::Store;
use super::failed;
use crate::problem::Problem;
use std::collections::BTreeMap;
use std::io::Write;

/// The columns, with what they hold.
pub const COLUMNS: [(&str, &str); 14] = [
    (
        "record",
        "pool, profile, visit, reading, addition, task, photo, correction, postponed, blackout or practice",
    ),
    ("pool", "the pool's id; empty in a blackout of all pools"),
    ("visit", "the visit's id"),
    ("at", "when it was, or from when it holds (RFC 3339)"),
    ("until", "when it ends: a pool retired, a task put off, a blackout (RFC 3339)"),
    ("who", "who was there, or who said so"),
    ("name", "the pool's name, or the fact, product, task, photo or skill practised"),
    ("kind", "what `value` is: number, word, or none"),
    (
        "value",
        "the value in the fact's canonical unit; the amount of an addition; the note of a visit; the old value of a correction; the points of a practice",
    ),
    ("unit", "the unit of an addition's amount, or of the one before a correction: L or kg"),
    ("percent", "the strength of what was added, or of that before a correction"),
    ("given", "the words that said it; the drill of a practice"),
    (
        "method",
        "how it was measured; the part that was corrected: reading, addition or task; the seed of a practice",
    ),
    ("why", "why it was corrected, changed or put off; how a practice went"),
];

/// One row, by column.
type Cells<'a> = BTreeMap<&'static str, String>;

/// A cell that a spreadsheet would run as a formula gets a `'` before it, as does one that begins with `'`, so that
/// the import can take it off again.
#[must_use]
pub fn harmless(text: &str) -> String {
    let runs = text.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '\'']);
    if runs { format!("'{text}") } else { text.to_owned() }
}

fn valued(row: &mut Cells<'_>, value: Option<&Held>) {
    let (kind, text) = match value {
        Some(Held::Number(n)) => ("number", n.to_string()),
        Some(Held::Word(word)) => ("word", harmless(word)),
        None => ("none", String::new()),
    };
    row.insert("kind", kind.to_owned());
    row.insert("value", text);
}

fn row(record: &str, cells: &[(&'static str, &str)]) -> Cells<'static> {
    let mut row: Cells<'static> =
        cells.iter().map(|(column, text)| (*column, harmless(text))).collect();
    row.insert("record", record.to_owned());
    row
}

fn profile(pool: &str, entry: &ProfileEntry) -> Cells<'static> {
    let mut cells = row(
        "profile",
        &[
            ("pool", pool),
            ("at", &entry.since.rfc3339()),
            ("who", &entry.who),
            ("name", &entry.name),
            ("given", &entry.given),
            ("why", &entry.why),
        ],
    );
    valued(&mut cells, entry.value.as_ref());
    cells
}

fn visit(visit: &Visit) -> Vec<Cells<'static>> {
    let of = |record: &str, cells: &[(&'static str, &str)]| {
        let mut row = row(record, cells);
        row.insert("pool", visit.pool.clone());
        row.insert("visit", visit.id.clone());
        row
    };
    let at = visit.at.rfc3339();
    let mut rows = vec![of("visit", &[("at", &at), ("who", &visit.who), ("value", &visit.note)])];
    for one in &visit.readings {
        let cells = [("name", one.fact.as_str()), ("given", &one.given), ("method", &one.method)];
        let mut cells = of("reading", &cells);
        valued(&mut cells, Some(&one.value));
        rows.push(cells);
    }
    for one in &visit.additions {
        let percent = one.percent.map(|p| p.to_string()).unwrap_or_default();
        let cells = [
            ("name", one.product.as_str()),
            ("unit", &one.unit),
            ("percent", &percent),
            ("given", &one.given),
        ];
        let mut cells = of("addition", &cells);
        valued(&mut cells, Some(&Held::Number(one.amount)));
        rows.push(cells);
    }
    rows.extend(visit.tasks.iter().map(|task| of("task", &[("name", task)])));
    rows.extend(visit.photos.iter().map(|file| of("photo", &[("name", file)])));
    for one in &visit.corrections {
        let at = one.at.rfc3339();
        let percent = one.percent.map(|p| p.to_string()).unwrap_or_default();
        let cells = [
            ("at", at.as_str()),
            ("who", &one.who),
            ("name", &one.fact),
            ("unit", &one.unit),
            ("percent", &percent),
            ("given", &one.given),
            ("method", one.part.name()),
            ("why", &one.why),
        ];
        let mut cells = of("correction", &cells);
        valued(&mut cells, one.old.as_ref());
        rows.push(cells);
    }
    rows
}

fn practice(one: &Practice) -> Cells<'static> {
    let (at, seed) = (one.at.rfc3339(), one.seed.to_string());
    let cells = [
        ("at", at.as_str()),
        ("who", &one.who),
        ("name", &one.skill),
        ("given", &one.scenario),
        ("method", &seed),
        ("why", &one.grade),
    ];
    let mut cells = row("practice", &cells);
    valued(&mut cells, Some(&Held::Number(one.share)));
    cells
}

fn rows(record: &Record) -> Vec<Cells<'static>> {
    match record {
        Record::Pool(pool) => {
            let until = pool.retired.map(crate::clock::Moment::rfc3339).unwrap_or_default();
            let at = pool.added.rfc3339();
            let cells =
                [("pool", pool.id.as_str()), ("at", &at), ("until", &until), ("name", &pool.name)];
            vec![row("pool", &cells)]
        }
        Record::Profile { pool, entry } => vec![profile(pool, entry)],
        Record::Visit(one) => visit(one),
        Record::Postponed(one) => {
            let until = one.until.rfc3339();
            let cells = [
                ("pool", one.pool.as_str()),
                ("until", &until),
                ("who", &one.who),
                ("name", &one.task),
                ("why", &one.why),
            ];
            vec![row("postponed", &cells)]
        }
        Record::Blackout(one) => {
            let (at, until) = (one.from.rfc3339(), one.to.rfc3339());
            let pool = one.pool.clone().unwrap_or_default();
            let cells =
                [("pool", pool.as_str()), ("at", &at), ("until", &until), ("why", &one.why)];
            vec![row("blackout", &cells)]
        }
        Record::Practice(one) => vec![practice(one)],
    }
}

/// Writes everything as CSV with the columns [`COLUMNS`].
///
/// # Errors
/// The record's or the writer's.
pub fn write_csv(store: &dyn Store, out: &mut dyn Write) -> Result<(), Problem> {
    let mut writer = csv::Writer::from_writer(out);
    let header = COLUMNS.iter().map(|(column, _)| *column);
    writer.write_record(header).map_err(|error| failed(&error))?;
    store.export(&mut |record| {
        for row in rows(record) {
            let cells =
                COLUMNS.iter().map(|(column, _)| row.get(column).map_or("", String::as_str));
            writer.write_record(cells).map_err(|error| failed(&error))?;
        }
        Ok(())
    })?;
    writer.flush().map_err(|error| failed(&error))
}
