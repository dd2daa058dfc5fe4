//! Finds out what a weather file is, and reads it.

use std::io::{BufRead, BufReader, Read as _};

use chrono::FixedOffset;
use chrono_tz::Tz;

use super::gather::Gather;
use super::lines::ShortLines;
use super::series::{Series, WeatherSource};
use super::{csv, epw, forecast};
use crate::problem::{Checked, Code, Problem};

/// Longest JSON forecast read; an hourly forecast is far smaller.
const MOST_JSON_BYTES: u64 = 64 << 20;

/// How to read what a file leaves open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Options {
    /// Time zone of times without an offset.
    pub zone: Option<Tz>,
    /// The plain clock for them when no zone is given.
    pub offset: FixedOffset,
    /// Whether bare temperatures are °F (and 03/04 the 4th of March), where the numbers don't tell.
    pub us_habit: bool,
}

/// Reads a weather file of whatever kind. Nothing usable means an empty series and an error among
/// the problems; lines that can't be used are warnings with their numbers.
#[must_use]
pub fn read(name: &str, mut input: impl BufRead, options: &Options) -> Checked<Series> {
    let gather = Gather::new(name);
    let start = match input.fill_buf() {
        Ok(start) => start.iter().take(4096).copied().collect::<Vec<u8>>(),
        Err(error) => {
            let problem =
                Problem::error(Code::File, None, format!("`{name}` cannot be read: {error}"));
            return gather.refuse(problem, WeatherSource::Columns);
        }
    };
    if start.starts_with(&[0xEF, 0xBB, 0xBF]) {
        input.consume(3);
    }
    let text = String::from_utf8_lossy(&start);
    let text = text.trim_start_matches('\u{feff}').trim_start();
    let not_weather = |what: &str| {
        Problem::error(Code::Value, None, format!("`{name}` {what}"))
            .help("a forecast is a table of hours with a header, an EnergyPlus weather file, or a weather service's JSON")
    };
    if text.is_empty() {
        return gather.refuse(not_weather("is empty"), WeatherSource::Columns);
    }
    if start.contains(&0) {
        return gather.refuse(not_weather("is not text"), WeatherSource::Columns);
    }
    if text.starts_with('<') {
        let problem = not_weather("is a web page or XML, not a forecast");
        return gather.refuse(problem, WeatherSource::Columns);
    }
    if text.starts_with('{') || text.starts_with('[') {
        let mut bytes = Vec::new();
        let limited = input.take(MOST_JSON_BYTES).read_to_end(&mut bytes);
        return match limited {
            Ok(size) if u64::try_from(size).is_ok_and(|size| size < MOST_JSON_BYTES) => {
                forecast::read(gather, &bytes, options)
            }
            Ok(_) => {
                let problem = not_weather("is longer than 64 MiB of JSON");
                gather.refuse(problem, WeatherSource::Forecast)
            }
            Err(error) => {
                let problem = not_weather(&format!("cannot be read: {error}"));
                gather.refuse(problem, WeatherSource::Forecast)
            }
        };
    }
    let input = BufReader::new(ShortLines::new(input));
    if text.get(..9).is_some_and(|word| word.eq_ignore_ascii_case("LOCATION,")) {
        return epw::read(gather, input);
    }
    csv::read(gather, input, text, options)
}
