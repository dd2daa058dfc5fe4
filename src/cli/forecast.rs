//! The weather that a plan is made by: a file, or a stated low and high.

use super::args::Common;
use super::exit::Failure;
use super::surroundings::Surroundings;
use crate::problem::{Code, Problem, Severity};
use crate::units::{Dimension, System, base_value, find_unit, split_number, unit};
use crate::weather::{Options, Series, Site, read};
use clap::Args;
use std::fs::File;
use std::io::{self, BufReader};
use std::path::Path;

/// Latitude taken when nothing says where the pool is, ° north.
const USUAL_LATITUDE: f64 = 40.0;

/// Where and by which clock.
#[derive(Debug, Args)]
pub(super) struct PlaceArgs {
    /// Time zone of times without an offset, such as America/New_York
    #[arg(long, value_name = "ZONE", value_parser = zone)]
    pub(super) zone: Option<chrono_tz::Tz>,
    /// Latitude in degrees north, for sunrise and sun [default: the file's, else 40]
    #[arg(long, value_name = "DEG", allow_negative_numbers = true, value_parser = latitude)]
    pub(super) latitude: Option<f64>,
    /// Longitude in degrees east [default: the file's, else the middle of the time zone]
    #[arg(long, value_name = "DEG", allow_negative_numbers = true, value_parser = longitude)]
    pub(super) longitude: Option<f64>,
}

fn zone(text: &str) -> Result<chrono_tz::Tz, String> {
    text.parse().map_err(|_| "name a zone like America/New_York or Europe/Vienna".to_owned())
}

fn degrees(text: &str, most: f64) -> Result<f64, String> {
    let value: f64 = text.parse().map_err(|_| "write degrees, such as 41.5".to_owned())?;
    if value.abs() <= most { Ok(value) } else { Err(format!("not beyond {most} degrees")) }
}

fn latitude(text: &str) -> Result<f64, String> {
    degrees(text, 90.0)
}

fn longitude(text: &str) -> Result<f64, String> {
    degrees(text, 180.0)
}

/// Reads a weather file; `-` is standard input. What was wrong with single lines is said on standard
/// error; a file that cannot be used is the failure.
pub(super) fn weather(
    file: &Path,
    place: &PlaceArgs,
    common: &Common,
    around: &Surroundings,
) -> Result<Series, Failure> {
    let options = Options {
        zone: place.zone,
        offset: *around.at.time().offset(),
        us_habit: System::from(common.units) == System::Us,
    };
    let name = file.display().to_string();
    let read = if name == "-" {
        read("standard input", BufReader::new(io::stdin().lock()), &options)
    } else {
        let open = File::open(file).map_err(|error| Failure::unread(file, &error))?;
        read(&name, BufReader::with_capacity(1 << 16, open), &options)
    };
    if read.problems.iter().any(|problem| problem.severity == Severity::Error) {
        return Err(Failure::Files(read.problems, Vec::new()));
    }
    for problem in &read.problems {
        around.note(&crate::render::clean(&problem.to_string()));
    }
    Ok(read.value)
}

/// Where the pool is: as said, else as the file says, else taken; and what was taken.
pub(super) fn site(
    place: &PlaceArgs,
    file: Option<(f64, f64)>,
    around: &Surroundings,
) -> (Site, Option<String>) {
    let latitude = place.latitude.or(file.map(|place| place.0));
    let offset_h = f64::from(around.at.time().offset().local_minus_utc()) / 3600.0;
    let longitude = place.longitude.or(file.map(|place| place.1)).unwrap_or(offset_h * 15.0);
    let assumed = latitude
        .is_none()
        .then(|| format!("sun as at {USUAL_LATITUDE:.0}° north (say `--latitude`)"));
    let latitude_deg = latitude.unwrap_or(USUAL_LATITUDE);
    (Site { latitude_deg, longitude_deg: longitude }, assumed)
}

/// A temperature of the command line, °C: `19F`, `-7 C`, or a bare number in the units of the answer.
pub(super) fn temperature(text: &str, units: System) -> Result<f64, Failure> {
    quantity(text, Dimension::Temperature, if units == System::Us { "°F" } else { "°C" })
}

/// A wind of the command line, m/s.
pub(super) fn wind(text: &str, units: System) -> Result<f64, Failure> {
    quantity(text, Dimension::Speed, if units == System::Us { "mph" } else { "m/s" })
}

fn quantity(text: &str, dimension: Dimension, bare: &str) -> Result<f64, Failure> {
    let wrong = |why: &str| {
        let message = format!("`{text}` {why}");
        Failure::usage(
            Problem::error(Code::Value, None, message).help("write it like `19F` or `-7 C`"),
        )
    };
    let (value, rest) = split_number(text).ok_or_else(|| wrong("does not begin with a number"))?;
    let name = if rest.is_empty() { bare } else { rest };
    let id = find_unit(name)
        .filter(|id| unit(*id).dimension == dimension)
        .ok_or_else(|| wrong("has no unit that fits"))?;
    Ok(base_value(value, id))
}
