//! `brumal dose`: what to add, how much, in which order, and what the water reads afterwards.

use super::args::{Common, Format};
use super::exit::{Done, Failure};
use super::logbook::for_answer;
use super::surroundings::{Surroundings, base, session};
use crate::facts::Value;
use crate::plan::{DoseWish, parse_addition, parse_size};
use crate::problem::{Code, Problem};
use crate::render::{dose_json, dose_text};
use crate::session::{Base, Keep};
use crate::units::{Dimension, base_value, parse_quantity, unit};
use clap::{Args, ValueEnum};

/// Plan what to add to a pool, or predict the water after an addition
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  brumal dose --text \"ph 7.2 alk 90 ch 180 cya 20 fc .5 water 44 plaster 18000 gal\"
  brumal dose --to water.ph=7.5 --text \"ph 7.9 alk 90 water 44, 18000 gal\"
  brumal dose --add \"muriatic-acid 31.45 % 500 mL\" --text \"ph 7.9 alk 90 water 44, 18000 gal\"
  brumal dose --replace \"30 %\" --fill \"ph 7.8 alk 60 ch 80\" --text \"ph 7.4 alk 120 ch 600 cya 90\"
  brumal dose --size \"rectangle 32 x 16 x 5 ft\" --fact water.ph=8 --fact water.total_alkalinity=110

It plans the smallest change that brings the readings to their ranges and the saturation index
into its band, now and when the water is coldest. The label of the product has the last word.")]
pub(super) struct DoseArgs {
    /// The test in your own words
    #[arg(long, value_name = "MESSAGE", allow_hyphen_values = true)]
    text: Option<String>,
    /// A value to reach, such as water.ph=7.5; may be repeated [default: the ranges that apply]
    #[arg(long, value_name = "NAME=VALUE", conflicts_with = "add")]
    to: Vec<String>,
    /// Predict the water after this, plan nothing: product, strength, amount; may be repeated
    #[arg(long, value_name = "ADDITION", allow_hyphen_values = true)]
    add: Vec<String>,
    /// The pool's volume by shape: length x width x average depth
    #[arg(long, value_name = "SHAPE AND SIZE", allow_hyphen_values = true)]
    size: Option<String>,
    /// How it was tested: strips tell less apart than drops
    #[arg(long, value_enum, default_value_t)]
    test: Test,
    /// The coldest that the water is expected to get, such as "34 F"
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    coldest: Option<String>,
    /// A share of the water replaced first, such as "30 %"
    #[arg(long, value_name = "SHARE", allow_hyphen_values = true)]
    replace: Option<String>,
    /// A test of the fill water, in your own words
    #[arg(long, value_name = "MESSAGE", requires = "replace")]
    fill: Option<String>,
    /// Rain that mixes in first, such as "2 in"
    #[arg(long, value_name = "DEPTH", allow_hyphen_values = true)]
    rain: Option<String>,
    /// Predict the water after so many days open to the air
    #[arg(allow_negative_numbers = true, long, value_name = "DAYS")]
    days: Option<f64>,
}

/// How the water was tested.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
enum Test {
    #[default]
    Drops,
    Strips,
}

/// Plans.
pub(super) fn run(
    args: &DoseArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    let mut wish = wish(args, &base)?;
    let book = for_answer(common, false, around)?;
    let record = book.as_ref().map(|book| (book, Keep::Nothing));
    let mut session = session(&base, record, common)?;
    if let Some(fill) = &args.fill {
        wish.fill = session.numbers_of(fill, around.at);
        if wish.fill.is_empty() {
            let problem = wrong(format!("`{fill}` is no test of water"));
            return Err(Failure::usage(problem.help("write it like `ph 7.8 alk 60 ch 80`")));
        }
    }
    if let Some(size) = &args.size {
        let litres = parse_size(size, base.knowledge()).map_err(Failure::usage)?;
        session.state("pool.volume", &format!("{litres} L")).map_err(Failure::usage)?;
    }
    let planned = session.dose(args.text.as_deref(), &wish, around.at);
    let plan = planned.map_err(told)?;
    match around.format {
        Format::Text => dose_text(&mut around.out, &plan, base.knowledge(), around.view)?,
        Format::Json => dose_json(&mut around.out, &plan)?,
    }
    Ok(Done::Answered)
}

/// All refusals in one.
fn told(problems: Vec<Problem>) -> Failure {
    let mut problems = problems.into_iter();
    let first = problems.next().unwrap_or_else(|| {
        Problem::error(Code::Value, None, "nothing can be planned from these values")
    });
    Failure::told(problems.fold(first, |mut all, next| {
        let more = next.help.map_or_else(String::new, |help| format!(" ({help})"));
        let help = all.help.take().map_or_else(String::new, |help| format!("{help}\n  "));
        all.help = Some(format!("{help}{}{more}", next.message));
        all
    }))
}

fn wish(args: &DoseArgs, base: &Base) -> Result<DoseWish, Failure> {
    let knowledge = base.knowledge();
    let mut wish = DoseWish { strips: args.test == Test::Strips, ..DoseWish::default() };
    for target in &args.to {
        wish.to.push(self::target(target, base)?);
    }
    for text in &args.add {
        wish.add.push(parse_addition(text, knowledge).map_err(Failure::usage)?);
    }
    if let Some(coldest) = &args.coldest {
        let (_, celsius) = target(&format!("water.temperature={coldest}"), base)?;
        wish.coldest_c = Some(celsius);
    }
    if let Some(days) = args.days {
        if !(0.0..=3650.0).contains(&days) {
            let problem = Problem::error(Code::Value, None, format!("{days} days cannot be"));
            return Err(Failure::usage(problem.help("give a number of days from 0 up")));
        }
        wish.days = Some(days);
    }
    if let Some(share) = &args.replace {
        let (value, from) = quantity(share, Dimension::Share, "write it like `30 %`")?;
        if !(value > 0.0 && value < 100.0 && from == value) {
            let problem = wrong(format!("`{share}` of the water cannot be replaced"));
            return Err(Failure::usage(problem.help("give a share between 0 and 100 %")));
        }
        wish.replace = Some(value / 100.0);
    }
    if let Some(rain) = &args.rain {
        let (_, mm) = quantity(rain, Dimension::Length, "write it like `2 in` or `50 mm`")?;
        if !(0.0..=1000.0).contains(&mm) {
            let problem = wrong(format!("`{rain}` of rain cannot be"));
            return Err(Failure::usage(problem.help("give a depth from 0 to 1,000 mm")));
        }
        wish.rain_mm = Some(mm);
    }
    Ok(wish)
}

fn wrong(message: String) -> Problem {
    Problem::error(Code::Value, None, message)
}

/// A quantity of a dimension: as written, and in the base unit.
fn quantity(text: &str, dimension: Dimension, help: &str) -> Result<(f64, f64), Failure> {
    let parsed = parse_quantity(text).ok().filter(|(_, from)| unit(*from).dimension == dimension);
    match parsed {
        Some((value, from)) => Ok((value, base_value(value, from))),
        None => Err(Failure::usage(wrong(format!("cannot read `{text}`")).help(help))),
    }
}

/// One `NAME=VALUE` of a number.
fn target(text: &str, base: &Base) -> Result<(crate::facts::FactId, f64), Failure> {
    let words = &base.knowledge().vocabulary;
    let Some((name, value)) = text.split_once('=') else {
        let problem = wrong(format!("`{text}` is not a value to reach"));
        return Err(Failure::usage(problem.help("write it like `water.ph=7.5`")));
    };
    let name = name.trim();
    let (id, def) = words.named(name, None).map_err(Failure::usage)?;
    let parsed =
        def.parse(value).map_err(|why| Failure::usage(wrong(format!("`{name}`: {why}"))))?;
    match parsed {
        Value::Number(number) => Ok((id, number)),
        _ => {
            let problem = wrong(format!("`{name}` is not a number"));
            Err(Failure::usage(problem.help("a plan reaches readings such as `water.ph`")))
        }
    }
}
