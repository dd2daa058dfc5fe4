//! `brumal season`: stays open or closes, by a winter of hourly weather.

use super::args::{Common, Format};
use super::exit::{Done, Failure};
use super::forecast::{PlaceArgs, site, weather};
use super::round::round;
use super::surroundings::{Surroundings, base};
use crate::plan::{Control, StatedFacts, Tariff, covers, winter};
use crate::problem::{Code, Problem};
use crate::render::{Season, season_json, season_page, season_text};
use clap::{Args, ValueEnum};
use std::fs::File;
use std::io::BufWriter;
use std::path::PathBuf;

/// Simulate a winter by the hour: stay open or close, and what it costs
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  brumal season --weather winter.csv --zone America/New_York --electricity 0.21 --close-cost 900
  brumal season --weather year.epw --fact heater.kind=gas --gas 0.09 --outage-hours 6 --out winter.html")]
pub(super) struct SeasonArgs {
    /// Hourly weather: a table, or an EnergyPlus weather file (`-` reads standard input)
    #[arg(long, alias = "forecast", value_name = "FILE")]
    weather: PathBuf,
    #[command(flatten)]
    place: PlaceArgs,
    /// The pools, as `brumal pool list --format json` writes them; one is named by --pool
    #[arg(long, value_name = "FILE")]
    pools: Option<PathBuf>,
    /// Who starts the pump
    #[arg(long, value_enum, default_value = "sensor")]
    control: ControlArg,
    /// Price of a kWh of current
    #[arg(long, value_name = "PRICE", value_parser = price)]
    electricity: Option<f64>,
    /// Price of a kWh of gas
    #[arg(long, value_name = "PRICE", value_parser = price)]
    gas: Option<f64>,
    /// What closing and reopening costs
    #[arg(long, value_name = "AMOUNT", value_parser = price)]
    close_cost: Option<f64>,
    /// What the upkeep of an open winter costs
    #[arg(long, value_name = "AMOUNT", value_parser = price)]
    upkeep: Option<f64>,
    /// Name of the currency
    #[arg(long, value_name = "NAME", default_value = "")]
    currency: String,
    /// Longest power failure to reckon with, in hours
    #[arg(long, value_name = "HOURS", value_parser = price)]
    outage_hours: Option<f64>,
    /// Write a page with charts into this HTML file
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum ControlArg {
    /// It runs all winter
    Always,
    /// A timer some hours a day, and a freeze sensor
    Sensor,
    /// Only at or below 40 °F
    Cold,
}

fn price(text: &str) -> Result<f64, String> {
    let value: f64 = text.parse().map_err(|_| "write a number, such as 0.21".to_owned())?;
    if value.is_finite() && value >= 0.0 { Ok(value) } else { Err("no less than 0".to_owned()) }
}

/// Simulates.
pub(super) fn run(
    args: &SeasonArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    let (knowledge, words) = (base.knowledge(), &base.knowledge().vocabulary);
    let pools = round(args.pools.as_deref(), common, words, around.at)?;
    let [pool] = pools.as_slice() else {
        let problem = Problem::error(Code::Value, None, "a winter is simulated for one pool");
        return Err(Failure::usage(problem.help("name it with `--pool`")));
    };
    let series = weather(&args.weather, &args.place, common, around)?;
    let (filled, filled_h) =
        series.filled().map_err(|problems| Failure::Files(problems, Vec::new()))?;
    let (place, taken) = site(&args.place, series.place, around);
    let tariff = Tariff {
        electricity: args.electricity,
        gas: args.gas,
        close: args.close_cost,
        upkeep: args.upkeep,
        currency: args.currency.clone(),
        outage_h: args.outage_hours,
    };
    let control = match args.control {
        ControlArg::Always => Control::Always,
        ControlArg::Sensor => Control::Sensor,
        ControlArg::Cold => Control::Cold,
    };
    let told = StatedFacts { words, facts: &pool.facts };
    let equipment = &knowledge.equipment;
    let simulated =
        winter(equipment, &told, (&series, &filled, filled_h), place, (control, &tariff));
    let mut assumed = series.assumed.clone();
    assumed.extend(taken.filter(|_| series.hours().all(|hour| hour.sun_w_m2.is_none())));
    if filled_h > 0 {
        assumed.push(format!("{filled_h} missing hours filled in from their neighbours"));
    }
    if filled.periods.len() > 1 {
        assumed
            .push(format!("{} periods joined; the time between is left out", filled.periods.len()));
    }
    let season = Season {
        pool: &pool.name,
        winter: &simulated,
        covers: &covers(equipment, &told, &filled, place),
        tariff: &tariff,
        cost: &simulated.cost(&tariff),
        verdict: &simulated.verdict(&tariff, &knowledge.winter, around.view.units),
        words: &knowledge.winter,
        assumed: &assumed,
    };
    match around.format {
        Format::Text => season_text(&mut around.out, &season, around.view)?,
        Format::Json => season_json(&mut around.out, &season)?,
    }
    if let Some(file) = &args.out {
        let made = File::create(file).map_err(|error| Failure::unwritten(file, &error))?;
        season_page(&mut BufWriter::new(made), &season, around.view)?;
    }
    Ok(Done::Answered)
}
