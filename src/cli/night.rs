//! `brumal night`: the plan of a cold night, for one pool or the round.

mod many;

use super::args::{Common, Format};
use super::exit::{Done, Failure};
use super::forecast::{PlaceArgs, site, temperature, weather, wind};
use super::round::{RoundPool, round};
use super::surroundings::{Surroundings, base};
use crate::clock::Moment;
use crate::knowledge::{Knowledge, Urgency, Vocabulary};
use crate::plan::StatedFacts;
use crate::problem::{Code, Problem, SourceText};
use crate::render::{
    NightSheet, Warned, night_chart, night_json, nights_json_begin, nights_json_end, svg_chart,
};
use crate::units::System;
use crate::weather::{Hour, Site, Stated, hourly_curve};
use chrono::NaiveDate;
use clap::Args;
use many::Round;
use std::path::PathBuf;

/// Hours ahead that a plan looks at.
const MOST_HOURS: usize = 168;
/// Plan a cold night from a forecast or a stated low: one pool, or the round
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  brumal night --low 19F --high 34F --fact \"wind.speed=15 mph\"
  brumal night --forecast tonight.csv --pools round.json
  brumal night --forecast hourly.json --pool \"Quarry Lane 9\" --chart night.svg
  brumal night --forecast tonight.csv --pools round.json --exit-code || ring-the-bell

A forecast is a table of hours (time and temperature columns in any named unit, wind if there), an
EnergyPlus weather file, or the hourly JSON of a weather service. With --exit-code the status is 10
when something needs doing now.")]
pub(super) struct NightArgs {
    /// The forecast, hourly (`-` reads standard input)
    #[arg(long, alias = "weather", value_name = "FILE", conflicts_with = "low")]
    forecast: Option<PathBuf>,
    /// The low of the coming night, such as 19F, instead of a forecast
    #[arg(long, value_name = "TEMP", allow_hyphen_values = true)]
    low: Option<String>,
    /// The high of the day around it
    #[arg(long, value_name = "TEMP", requires = "low", allow_hyphen_values = true)]
    high: Option<String>,
    /// The evening of the night to plan, such as 2026-12-20 [default: the night after --at]
    #[arg(long, value_name = "DATE")]
    date: Option<NaiveDate>,
    /// The wind, when the forecast has none
    #[arg(long, value_name = "SPEED")]
    wind: Option<String>,
    #[command(flatten)]
    place: PlaceArgs,
    /// The pools of the round, as `brumal pool list --format json` writes them
    #[arg(long, value_name = "FILE")]
    pools: Option<PathBuf>,
    /// The parts of this pad, in the form of knowledge/equipment.toml
    #[arg(long, value_name = "FILE")]
    pad: Option<PathBuf>,
    /// Draw the night of one pool into this SVG file
    #[arg(long, value_name = "FILE")]
    chart: Option<PathBuf>,
    /// End in 10 when something needs doing now
    #[arg(long)]
    exit_code: bool,
}

/// Plans.
pub(super) fn run(
    args: &NightArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    let mut knowledge = base.knowledge().clone();
    if let Some(file) = &args.pad {
        knowledge.equipment = own_pad(&knowledge, file)?;
    }
    let words = &knowledge.vocabulary;
    let pools = round(args.pools.as_deref(), common, words, around.at)?;
    if args.chart.is_some() && pools.len() != 1 {
        let problem = Problem::error(Code::Value, None, "a chart shows one pool");
        return Err(Failure::usage(problem.help("name it with `--pool`")));
    }
    let at = args.date.map_or(around.at, |date| noon_of(date, around.at));
    let (hours, place, assumed) = hours(args, common, (around, at), &pools, words)?;
    let air: Vec<_> = hours.iter().map(|hour| (hour.at, hour.air_c)).collect();
    let round = Round { knowledge: &knowledge, hours, place, at, pools: &pools };
    let order = round.worst_first();
    let alone = pools.len() == 1;
    let (view, format) = (around.view, around.format);
    let slush_share = knowledge.equipment.night.slush_share;
    let sheet = |first| NightSheet { words: &knowledge.winter, alone, first, slush_share, view };
    let mut warned = Warned::new();
    let out = &mut around.out;
    if format == Format::Json {
        nights_json_begin(out, at)?;
    }
    let (mut first, mut drawn) = (true, None);
    round.each(&order, &mut |plan| {
        match format {
            Format::Text => sheet(first).plan(out, plan, &mut warned)?,
            Format::Json => night_json(out, plan, &knowledge.winter, first)?,
        }
        if alone && format == Format::Text {
            sheet(false).chart(out, plan, &air)?;
        }
        first = false;
        drawn = args.chart.as_ref().map(|_| svg_chart(&night_chart(plan, &air, view.units)));
        Ok(())
    })?;
    if let (Some(file), Some(chart)) = (&args.chart, drawn) {
        std::fs::write(file, chart).map_err(|error| Failure::unwritten(file, &error))?;
    }
    match format {
        Format::Text => sheet(false).end(out, &assumed)?,
        Format::Json => nights_json_end(out, &assumed)?,
    }
    let pressing = order.first().is_some_and(|worst| worst.urgency == Urgency::Now);
    Ok(if args.exit_code && pressing { Done::Pressing } else { Done::Answered })
}

/// Noon of a day by the clock's own offset: the night that follows is planned.
fn noon_of(date: NaiveDate, at: Moment) -> Moment {
    let noon = date.and_hms_opt(12, 0, 0);
    let local = noon.and_then(|noon| noon.and_local_timezone(*at.time().offset()).single());
    local.map_or(at, Moment::new)
}

fn own_pad(
    knowledge: &Knowledge,
    file: &std::path::Path,
) -> Result<crate::knowledge::Equipment, Failure> {
    let name = file.display().to_string();
    let text = std::fs::read_to_string(file).map_err(|error| Failure::unread(file, &error))?;
    let source = SourceText { name, text };
    let checked = knowledge.equipment.with_pad(&source);
    checked.ok().map_err(|problems| Failure::Files(problems, vec![source]))
}

/// A number of the command line, if its fact can have it.
fn within(number: f64, text: &str, fact: &str, words: &Vocabulary) -> Result<f64, Failure> {
    match words.def(fact) {
        Some(def) => def.allows(number, text, System::Us).map(|()| number).map_err(Failure::usage),
        None => Ok(number),
    }
}

/// The hours ahead, where the pool is, and what was assumed of the forecast.
fn hours(
    args: &NightArgs,
    common: &Common,
    (around, at): (&Surroundings, Moment),
    pools: &[RoundPool],
    words: &Vocabulary,
) -> Result<(Vec<Hour>, Site, Vec<String>), Failure> {
    let units = around.view.units;
    let blows = |text: &str| within(wind(text, units)?, text, "wind.speed", words);
    let said_wind = args.wind.as_deref().map(blows).transpose()?;
    let Some(file) = &args.forecast else {
        let Some(low) = args.low.as_deref() else {
            let problem =
                Problem::error(Code::Value, None, "neither a forecast nor a low is given");
            return Err(Failure::usage(problem.help("give `--forecast FILE` or `--low 19F`")));
        };
        let air = |text: &str| within(temperature(text, units)?, text, "air.temperature", words);
        let low_c = air(low)?;
        let high_c = args.high.as_deref().map(air).transpose()?;
        if high_c.is_some_and(|high_c| high_c < low_c) {
            let high = args.high.as_deref().unwrap_or_default();
            let message = format!("a high of `{high}` is below a low of `{low}`");
            let problem = Problem::error(Code::Value, None, message);
            return Err(Failure::usage(problem.help("give the low of the night as `--low`")));
        }
        let (place, taken) = site(&args.place, None, around);
        let known = pools.first().map(|pool| StatedFacts { words, facts: &pool.facts });
        let number =
            |name: &str| known.as_ref().and_then(|known| crate::plan::Told::number(known, name));
        let stated = Stated {
            low_c,
            high_c,
            now_c: number("air.temperature"),
            wind_m_s: said_wind.or_else(|| number("wind.speed")),
            cloud: None,
        };
        let series = hourly_curve(&stated, at, place);
        let mut assumed = series.assumed.clone();
        assumed.extend(taken);
        return Ok((series.hours().copied().collect(), place, assumed));
    };
    let series = weather(file, &args.place, common, around)?.at_year_of(at);
    let (place, taken) = site(&args.place, series.place, around);
    let failed = |problems: Vec<Problem>| match <[Problem; 1]>::try_from(problems) {
        Ok([problem]) => Failure::told(problem),
        Err(problems) => Failure::Files(problems, Vec::new()),
    };
    let (mut hours, filled) = series.cut(at, MOST_HOURS).map_err(failed)?;
    for hour in &mut hours {
        hour.wind_m_s = hour.wind_m_s.or(said_wind);
    }
    let mut assumed = series.assumed.clone();
    assumed.extend(taken.filter(|_| hours.iter().all(|hour| hour.sun_w_m2.is_none())));
    if filled > 0 {
        assumed.push(format!("{filled} missing hours filled in from their neighbours"));
    }
    Ok((hours, place, assumed))
}
