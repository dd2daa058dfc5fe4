//! Hourly weather in columns: delimiter, header, units and time format are found out, and said.

use std::io::BufRead;

use ::csv::{ReaderBuilder, StringRecord};

use super::cell::{Cell, measures, read_cell};
use super::column::{Column, Quantity, columns};
use super::gather::Gather;
use super::read::Options;
use super::series::{Hour, Series, WeatherSource};
use super::stamp::{DateOrder, Zone, has_slashes_day_first_possible, read_stamp};
use crate::problem::{Checked, Code, Problem};
use crate::units::base_value;

/// Rows looked at before deciding on units and order of dates.
const LOOKED_AT: usize = 500;
/// Most rows read: more than twenty years of hours.
const MOST_ROWS: usize = 200_000;

/// How a file is written.
#[derive(Debug)]
struct Layout {
    columns: Vec<Column>,
    order: DateOrder,
    decimal_comma: bool,
    fahrenheit: bool,
    percent_is_share: bool,
    us_habit: bool,
    zone: Zone,
}

/// Reads rows of `input`; `start` is what it begins with.
pub(super) fn read(
    mut gather: Gather,
    input: impl BufRead,
    start: &str,
    options: &Options,
) -> Checked<Series> {
    let header_line = start.lines().find(|line| !line.trim_start().starts_with('#'));
    let delimiter = delimiter_of(header_line.unwrap_or(start));
    let mut reader = ReaderBuilder::new()
        .delimiter(delimiter)
        .has_headers(false)
        .flexible(true)
        .comment(Some(b'#'))
        .trim(::csv::Trim::All)
        .from_reader(input);
    let mut records = reader.byte_records().map(|record| {
        record.map(|record| {
            let line = record.position().map_or(0, ::csv::Position::line);
            (line, StringRecord::from_byte_record_lossy(record))
        })
    });
    let header = match records.next() {
        Some(Ok((_, header))) => header,
        Some(Err(error)) => return refuse(gather, &error),
        None => {
            let problem = unknown_header(&gather.name, &[]);
            return gather.refuse(problem, WeatherSource::Columns);
        }
    };
    let headers: Vec<String> = header.iter().map(str::to_owned).collect();
    let (used, passed) = columns(&headers);
    if let Some(problem) = missing_columns(&gather.name, &used, &headers) {
        return gather.refuse(problem, WeatherSource::Columns);
    }
    for header in passed {
        gather.assume(format!("column `{}` was passed over", short(&header)));
    }
    let first: Vec<_> = records.by_ref().take(LOOKED_AT).collect();
    let rows: Vec<&StringRecord> =
        first.iter().filter_map(|row| row.as_ref().ok().map(|(_, row)| row)).collect();
    let layout = layout(&mut gather, used, &rows, delimiter, options);
    for record in first.into_iter().chain(records) {
        if gather.rows() >= MOST_ROWS {
            let line = record.as_ref().map_or(0, |(line, _)| *line);
            let message =
                format!("`{}` holds more than {MOST_ROWS} rows, up to line {line}", gather.name);
            let problem = Problem::error(Code::Value, None, message)
                .help("give the hours that matter: a forecast, or one winter");
            return gather.refuse(problem, WeatherSource::Columns);
        }
        match record {
            Ok((line, row)) => read_row(&mut gather, &layout, line, &row),
            Err(error) if error.is_io_error() => return refuse(gather, &error),
            Err(error) => {
                let line = error.position().map_or(0, ::csv::Position::line);
                gather.skip(line, format!("this line cannot be read: {error}"));
            }
        }
    }
    gather.finish(WeatherSource::Columns, None)
}

/// A file that cannot be read on.
fn refuse(gather: Gather, error: &::csv::Error) -> Checked<Series> {
    let problem = Problem::error(Code::File, None, format!("`{}`: {error}", gather.name))
        .help("name the columns in the first line, such as `time,temp_f,wind_mph`, and give an hour a line");
    gather.refuse(problem, WeatherSource::Columns)
}

fn delimiter_of(header: &str) -> u8 {
    [b',', b';', b'\t', b'|']
        .into_iter()
        .max_by_key(|delimiter| {
            let found = header.bytes().filter(|byte| byte == delimiter).count();
            // Ties go to the earlier one.
            (found, u8::MAX - delimiter)
        })
        .filter(|delimiter| header.as_bytes().contains(delimiter))
        .unwrap_or(b',')
}

fn short(text: &str) -> String {
    text.chars().filter(|c| !c.is_control()).take(40).collect()
}

fn unknown_header(name: &str, headers: &[String]) -> Problem {
    let seen: Vec<String> = headers.iter().take(6).map(|header| short(header)).collect();
    let message =
        format!("`{name}` is not a table of hours: its first line is `{}`", seen.join(", "));
    Problem::error(Code::Value, None, message)
        .help("name the columns in the first line, such as `time,temp_f,wind_mph`")
}

fn missing_columns(name: &str, used: &[Column], headers: &[String]) -> Option<Problem> {
    let has = |quantity: Quantity| used.iter().any(|column| column.quantity == quantity);
    if has(Quantity::Air) && has(Quantity::Time) {
        return None;
    }
    if has(Quantity::DayRange) && has(Quantity::Time) {
        let message = format!("`{name}` holds a low and high for each day, not hourly weather");
        return Some(
            Problem::error(Code::Value, None, message)
                .help("give one night's low and high instead: `--low 19F --high 34F`"),
        );
    }
    let problem = unknown_header(name, headers);
    let wanted = match (has(Quantity::Time), has(Quantity::Air)) {
        (true, _) => "no column is called temperature; name it `temp_f` or `temp_c`",
        (_, true) => "no column is called time; name it `time`",
        _ => return Some(problem),
    };
    Some(problem.help(wanted))
}

fn layout(
    gather: &mut Gather,
    columns: Vec<Column>,
    rows: &[&StringRecord],
    delimiter: u8,
    options: &Options,
) -> Layout {
    let decimal_comma = delimiter != b',';
    let bare = |quantity: Quantity| {
        let at = columns.iter().find(|column| column.quantity == quantity).map(|c| c.at);
        rows.iter().filter_map(move |row| match read_cell(row.get(at?)?, decimal_comma) {
            Cell::Bare(value) => Some(value),
            _ => None,
        })
    };
    let warmest = bare(Quantity::Air).fold(f64::MIN, f64::max);
    let fahrenheit = warmest > 45.0 || options.us_habit;
    let named = columns.iter().any(|c| c.quantity == Quantity::Air && c.unit.is_some());
    if !named && warmest > f64::MIN {
        let why = if warmest > 45.0 { ", since some are above 45" } else { "" };
        let name = if fahrenheit { "°F" } else { "°C" };
        gather.assume(format!("temperatures carry no unit: taken as {name}{why}"));
    }
    let wind_bare = columns.iter().any(|c| c.quantity == Quantity::Wind && c.unit.is_none());
    if wind_bare && bare(Quantity::Wind).next().is_some() {
        let name = if options.us_habit { "mph" } else { "m/s" };
        gather.assume(format!("wind carries no unit: taken as {name}"));
    }
    let wettest = bare(Quantity::Humidity).fold(0.0, f64::max);
    let percent_is_share = wettest > 0.0 && wettest <= 1.0;
    let zone = match options.zone {
        Some(zone) => Zone::Named(zone),
        None => Zone::Plain(options.offset),
    };
    let order = date_order(gather, &columns, rows, options);
    Layout {
        columns,
        order,
        decimal_comma,
        fahrenheit,
        percent_is_share,
        us_habit: options.us_habit,
        zone,
    }
}

fn date_order(
    gather: &mut Gather,
    columns: &[Column],
    rows: &[&StringRecord],
    options: &Options,
) -> DateOrder {
    let at = columns.iter().find(|column| column.quantity == Quantity::Time).map(|c| c.at);
    let pairs: Vec<(u32, u32)> =
        rows.iter().filter_map(|row| has_slashes_day_first_possible(row.get(at?)?)).collect();
    let (day_first, month_first) =
        (pairs.iter().any(|pair| pair.0 > 12), pairs.iter().any(|pair| pair.1 > 12));
    match (pairs.is_empty(), day_first, month_first) {
        (_, true, false) => DateOrder::DayFirst,
        (true, ..) | (_, false, true) => DateOrder::MonthFirst,
        _ => {
            let (order, shown) = if options.us_habit {
                (DateOrder::MonthFirst, "month first")
            } else {
                (DateOrder::DayFirst, "day first")
            };
            gather.assume(format!("dates with slashes are taken {shown}"));
            order
        }
    }
}

fn read_row(gather: &mut Gather, layout: &Layout, line: u64, row: &StringRecord) {
    if row.iter().all(str::is_empty) {
        return;
    }
    let cell = |quantity: Quantity| {
        let column = layout.columns.iter().find(|column| column.quantity == quantity)?;
        row.get(column.at)
    };
    let stamp = cell(Quantity::Time).unwrap_or("");
    let Some(written) = read_stamp(stamp, cell(Quantity::Clock), layout.order) else {
        gather.skip(line, format!("`{}` is not a time", short(stamp)));
        return;
    };
    let at = match layout.zone.resolve(written, gather.last_at()) {
        Ok(at) => at,
        Err(local) => {
            let shown = local.format("%Y-%m-%d %H:%M");
            gather.skip(line, format!("`{shown}` does not exist on this clock: it is put forward"));
            return;
        }
    };
    let mut hour = Hour::empty(at);
    for column in &layout.columns {
        let Some(text) = row.get(column.at) else { continue };
        if matches!(column.quantity, Quantity::Time | Quantity::Clock | Quantity::DayRange) {
            continue;
        }
        match value(layout, column, text) {
            Ok(Some(value)) => set(&mut hour, column.quantity, value),
            Ok(None) => {}
            Err(why) => {
                let name = column.quantity.name();
                gather.skip(line, format!("`{}` {why} of {name}", short(text)));
            }
        }
        let own = matches!(read_cell(text, layout.decimal_comma), Cell::WithUnit(_, id)
            if column.unit.is_some_and(|unit| unit != id));
        if own {
            let message =
                format!("`{}` has another unit than its column: taken as written", short(text));
            gather.skip(line, message);
        }
    }
    gather.push(hour);
}

/// The canonical value of a cell: °C, m/s, share, mm, W/m².
fn value(layout: &Layout, column: &Column, text: &str) -> Result<Option<f64>, &'static str> {
    let value = match read_cell(text, layout.decimal_comma) {
        Cell::Missing => return Ok(None),
        Cell::Unreadable => return Err("is no value"),
        Cell::WithUnit(value, id) if measures(id, column.quantity.dimension()) => value,
        Cell::WithUnit(..) => return Err("has no unit"),
        Cell::Bare(value) => match (column.quantity, column.unit) {
            (_, Some(id)) => base_value(value, id),
            (Quantity::Air | Quantity::DewPoint, None) if layout.fahrenheit => (value - 32.0) / 1.8,
            (Quantity::Wind, None) if layout.us_habit => value * 0.447_04,
            (Quantity::Humidity, None) if layout.percent_is_share => value * 100.0,
            _ => value,
        },
    };
    let (value, range) = match column.quantity {
        Quantity::Humidity | Quantity::Cloud => (value / 100.0, 0.0..=1.2),
        Quantity::Wind => (value, 0.0..=120.0),
        Quantity::Rain => (value, 0.0..=300.0),
        Quantity::Sun => (value, -20.0..=1500.0),
        _ => (value, -80.0..=60.0),
    };
    if range.contains(&value) { Ok(Some(value)) } else { Err("is no possible value") }
}

fn set(hour: &mut Hour, quantity: Quantity, value: f64) {
    match quantity {
        Quantity::Air => hour.air_c = Some(value),
        Quantity::Wind => hour.wind_m_s = Some(value),
        Quantity::Humidity => hour.humidity = Some(value.min(1.0)),
        Quantity::Cloud => hour.cloud = Some(value.min(1.0)),
        Quantity::Rain => hour.rain_mm = Some(value),
        Quantity::Sun => hour.sun_w_m2 = Some(value.max(0.0)),
        Quantity::DewPoint | Quantity::Time | Quantity::Clock | Quantity::DayRange => {}
    }
}
