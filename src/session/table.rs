//! A table of another making: one visit a row, one reading a column.

use super::additions::additions;
use super::base::Base;
use super::history::held;
use crate::clock::Moment;
use crate::facts::FactId;
use crate::language::{ReadingContext, read};
use crate::logbook::{Added, Found, PoolRecord, Reading, Record, Visit, find_pool, parts_of};
use crate::problem::{Code, Problem};
use crate::units::System;
use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeZone};
use std::collections::BTreeMap;

/// What a column holds.
#[derive(Debug, Clone, PartialEq)]
enum Holds {
    At,
    Date,
    Time,
    Pool,
    Who,
    Note,
    Added,
    Fact(FactId),
    Nothing,
}

/// One column.
#[derive(Debug, Clone)]
pub struct Column {
    /// Its heading.
    pub header: String,
    /// A value of it.
    pub sample: String,
    holds: Holds,
    name: String,
}

impl Column {
    /// What it is taken to hold, in words.
    #[must_use]
    pub fn meaning(&self) -> &str {
        &self.name
    }
}

/// How a table is read, and its rows.
#[derive(Debug, Clone)]
pub struct Mapping {
    /// The columns, in order.
    pub columns: Vec<Column>,
    rows: Vec<(usize, Vec<String>)>,
    system: System,
}

fn wrong(message: String, help: &str) -> Problem {
    Problem::error(Code::Value, None, message).help(help.to_owned())
}

/// Headings that are no facts, in lower case.
const OTHERS: [(&str, &[&str], Holds); 7] = [
    ("at", &["at", "when", "timestamp", "datetime", "date time", "date and time"], Holds::At),
    ("date", &["date", "day", "visit date"], Holds::Date),
    ("time", &["time", "clock"], Holds::Time),
    ("pool", &["pool", "site", "customer", "name", "address", "property"], Holds::Pool),
    ("who", &["who", "by", "tech", "technician"], Holds::Who),
    ("note", &["note", "notes", "comment", "comments", "remarks"], Holds::Note),
    ("added", &["added", "additions", "chemicals", "chemicals added"], Holds::Added),
];

/// Finds out what each column holds: by `maps` (`COLUMN=FACT`), by its heading, by reading heading and value like a
/// message.
///
/// # Errors
/// A table that cannot be read, a map of a column or fact that is not there, or no time or pool at all.
pub fn table_mapping(
    base: &Base,
    text: &str,
    maps: &[String],
    system: System,
) -> Result<Mapping, Problem> {
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .has_headers(false)
        .from_reader(text.trim_start_matches('\u{feff}').as_bytes());
    let mut rows: Vec<(usize, Vec<String>)> = Vec::new();
    for row in reader.records() {
        let row = row.map_err(|error| {
            wrong(
                format!("the table cannot be read: {error}"),
                "it should be CSV with a heading row",
            )
        })?;
        let line = row.position().and_then(|at| usize::try_from(at.line()).ok()).unwrap_or(0);
        if let Some(long) = row.iter().find(|cell| cell.len() > crate::logbook::LARGEST_CELL) {
            let message =
                format!("line {line}: a cell of {} bytes is longer than 1 MiB", long.len());
            return Err(wrong(message, "nothing was taken in"));
        }
        rows.push((line, row.iter().map(str::to_owned).collect()));
    }
    if rows.len() < 2 {
        return Err(wrong(
            "the table has no rows".to_owned(),
            "it should be CSV with a heading row",
        ));
    }
    let (_, header) = rows.remove(0);
    let mut columns = Vec::new();
    for (at, header) in header.iter().enumerate() {
        let values = rows.iter().filter_map(|(_, row)| row.get(at));
        let sample = values.map(|cell| cell.trim()).find(|cell| !cell.is_empty()).unwrap_or("");
        columns.push(column(base, header.trim(), sample, maps, system)?);
    }
    if let Some(map) =
        maps.iter().find(|map| !columns.iter().any(|c| mapped(map, &c.header).is_some()))
    {
        return Err(wrong(format!("`{map}` names no column of the table"), "write `COLUMN=FACT`"));
    }
    let has = |holds: Holds| columns.iter().any(|column| column.holds == holds);
    if !(has(Holds::At) || has(Holds::Date)) {
        return Err(wrong("no column says when".to_owned(), "name it with `--map COLUMN=at`"));
    }
    Ok(Mapping { columns, rows, system })
}

fn mapped<'m>(map: &'m str, header: &str) -> Option<&'m str> {
    let (column, what) = map.rsplit_once('=')?;
    (column.trim().eq_ignore_ascii_case(header)).then(|| what.trim())
}

fn column(
    base: &Base,
    header: &str,
    sample: &str,
    maps: &[String],
    system: System,
) -> Result<Column, Problem> {
    let words = &base.knowledge().vocabulary;
    let made = |holds: Holds, name: &str| Column {
        header: header.to_owned(),
        sample: sample.chars().take(40).collect(),
        holds,
        name: name.to_owned(),
    };
    let wish = maps.iter().find_map(|map| mapped(map, header));
    let heading = wish.unwrap_or(header).to_lowercase();
    if heading == "nothing" {
        return Ok(made(Holds::Nothing, "left out"));
    }
    if let Some((name, _, holds)) =
        OTHERS.iter().find(|(name, words, _)| *name == heading || words.contains(&heading.as_str()))
    {
        return Ok(made(holds.clone(), name));
    }
    if let Some(id) = words.find(&heading) {
        return Ok(made(Holds::Fact(id), &heading));
    }
    if let Some(wish) = wish {
        return words.named(wish, None).map(|(id, _)| made(Holds::Fact(id), wish));
    }
    Ok(match cell_fact(base, header, sample, system, None) {
        Some((id, _)) => made(Holds::Fact(id), words.name(id)),
        None => made(Holds::Nothing, "left out: name it with --map COLUMN=FACT"),
    })
}

/// A heading with a value, read like a message.
fn cell_fact(
    base: &Base,
    header: &str,
    cell: &str,
    system: System,
    wanted: Option<FactId>,
) -> Option<(FactId, Reading)> {
    let plain = header.replace(['(', ')', '[', ']', '_', '/'], " ");
    let parts = parts_of(&plain);
    // "Water temp (F)", "44": the unit of the heading belongs behind the number.
    let unit = parts
        .last()
        .filter(|part| ["f", "c", "ppm", "psi", "kpa", "gal", "l"].contains(&part.as_str()));
    let text = match unit {
        Some(unit) => {
            let rest: Vec<&str> = parts.iter().take(parts.len() - 1).map(String::as_str).collect();
            format!(
                "{} {cell} {}",
                rest.join(" "),
                if unit.len() == 1 { unit.to_uppercase() } else { unit.clone() }
            )
        }
        None => format!("{plain} {cell}"),
    };
    let context = ReadingContext { system, asked: wanted, ..ReadingContext::default() };
    let facts = read(&text, &context, base.knowledge()).facts;
    let fact = facts
        .into_iter()
        .find(|fact| wanted.is_none_or(|id| id == fact.id) && fact.doubt.is_none())?;
    let def = base.knowledge().vocabulary.get(fact.id)?;
    let reading = Reading {
        fact: def.name.clone(),
        value: held(def, fact.value),
        given: cell.to_owned(),
        method: String::new(),
    };
    Some((fact.id, reading))
}

/// The rows as visits. All of them, or the first that cannot be read.
///
/// # Errors
/// A row without a time, of a pool that is not known, or with a value that cannot be read.
pub fn table_records(
    base: &Base,
    mapping: &Mapping,
    pools: &[PoolRecord],
    (now, who, new_pools): (Moment, &str, bool),
) -> Result<Vec<Record>, Problem> {
    let mut pools = pools.to_vec();
    let mut records = Vec::new();
    let mut ids: BTreeMap<String, usize> = BTreeMap::new();
    for (line, row) in &mapping.rows {
        if row.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        let mut visit = row_visit(base, mapping, (*line, row), now, who)?;
        let found = match find_pool(&pools, &visit.pool) {
            Found::One(pool) => Some(pool.id.clone()),
            Found::None(_) if new_pools && !visit.pool.is_empty() => None,
            _ => {
                let message = format!("line {line}: the log has no one pool `{}`", visit.pool);
                return Err(wrong(
                    message,
                    "nothing was taken in; `--new-pools` takes new ones on",
                ));
            }
        };
        visit.pool = found.unwrap_or_else(|| {
            let id = parts_of(&visit.pool).join("-");
            let pool = PoolRecord {
                id: id.clone(),
                name: visit.pool.trim().to_owned(),
                added: visit.at,
                retired: None,
            };
            pools.push(pool.clone());
            records.push(Record::Pool(pool));
            id
        });
        // The same row again gives the same id, so that a second import knows it.
        let base_id = format!("{}.{}", visit.pool, visit.at.time().format("%Y%m%d-%H%M"));
        let many = ids.entry(base_id.clone()).or_insert(0);
        *many += 1;
        visit.id = if *many == 1 { base_id } else { format!("{base_id}-{many}") };
        records.push(Record::Visit(visit));
    }
    Ok(records)
}

fn row_visit(
    base: &Base,
    mapping: &Mapping,
    (line, row): (usize, &[String]),
    now: Moment,
    who: &str,
) -> Result<Visit, Problem> {
    let help = "nothing was taken in; put the row right, or leave its column out with `--map COLUMN=nothing`";
    let mut visit = Visit {
        id: String::new(),
        pool: String::new(),
        at: now,
        who: who.to_owned(),
        note: String::new(),
        readings: Vec::new(),
        additions: Vec::<Added>::new(),
        tasks: Vec::new(),
        photos: Vec::new(),
        corrections: Vec::new(),
    };
    let (mut date, mut time) = (String::new(), String::new());
    for (column, cell) in mapping.columns.iter().zip(row) {
        let text = cell.trim();
        if text.is_empty() {
            continue;
        }
        match &column.holds {
            Holds::At | Holds::Date => date = text.to_owned(),
            Holds::Time => time = text.to_owned(),
            Holds::Pool => visit.pool = text.to_owned(),
            Holds::Who => visit.who = text.to_owned(),
            Holds::Note => visit.note = cell.clone(),
            Holds::Added => visit.additions = additions(&format!("added {text}"), base.knowledge()),
            Holds::Nothing => {}
            Holds::Fact(id) => {
                let def = base.knowledge().vocabulary.get(*id);
                let read = cell_fact(base, &column.header, text, mapping.system, Some(*id));
                let parsed = || {
                    let def = def?;
                    let value = def.parse(text).ok()?;
                    let fits =
                        |n: f64| def.possible.is_none_or(|(low, high)| n >= low && n <= high);
                    value.number().is_none_or(fits).then(|| Reading {
                        fact: def.name.clone(),
                        value: held(def, value),
                        given: text.to_owned(),
                        method: String::new(),
                    })
                };
                let reading = read.map(|(_, reading)| reading).or_else(parsed);
                let reading = reading.ok_or_else(|| {
                    let title = def.map_or("", |def| def.title.as_str());
                    wrong(format!("line {line}: `{text}` cannot be read as {title}"), help)
                })?;
                visit.readings.push(reading);
            }
        }
    }
    visit.at = moment(&date, &time, now).ok_or_else(|| {
        wrong(format!("line {line}: `{date} {time}` is no time I can read"), help)
    })?;
    Ok(visit)
}

/// RFC 3339, or a day (year first, or month first as in the US) with or without a time, in the offset of now.
fn moment(date: &str, time: &str, now: Moment) -> Option<Moment> {
    if let Ok(moment) = Moment::parse(date) {
        return Some(moment);
    }
    let (day, clock) = match date.split_once([' ', 'T']) {
        Some((day, clock)) => (day, clock.trim()),
        None => (date, time),
    };
    let day = ["%Y-%m-%d", "%Y/%m/%d", "%m/%d/%Y", "%d.%m.%Y"]
        .iter()
        .find_map(|form| NaiveDate::parse_from_str(day, form).ok())?;
    let clock = if clock.is_empty() {
        NaiveTime::from_hms_opt(12, 0, 0)?
    } else {
        ["%H:%M:%S", "%H:%M", "%I:%M %p", "%I:%M%p"]
            .iter()
            .find_map(|form| NaiveTime::parse_from_str(clock, form).ok())?
    };
    let local = NaiveDateTime::new(day, clock);
    now.time().offset().from_local_datetime(&local).single().map(Moment::new)
}
