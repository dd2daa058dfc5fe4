//! `brumal log show`: the visits of a pool, newest first.

use super::super::args::{Common, Format};
use super::super::exit::{Done, Failure};
use super::super::logbook::{pool_called, to_read};
use super::super::surroundings::{Surroundings, base};
use crate::advice::titled;
use crate::clock::Moment;
use crate::logbook::{Correction, Held, Part, Store, Stretch, Visit};
use crate::problem::{Code, Problem};
use crate::render::{Role, Sheet, json_line};
use crate::session::{Base, amount_words, value};
use crate::units::{System, trim_number};
use clap::Args;
use serde::Serialize;

/// Show the visits of a pool, or the latest of the whole round, newest first
#[derive(Debug, Args)]
pub(in super::super) struct ShowArgs {
    /// The pool [default: all of them]
    name: Option<String>,
    /// So many visits
    #[arg(long, default_value_t = 10, value_name = "N")]
    last: usize,
    /// Not before this moment or day
    #[arg(long, value_name = "DAY")]
    from: Option<String>,
    /// Not after this moment or day
    #[arg(long, value_name = "DAY")]
    to: Option<String>,
}

#[derive(Serialize)]
struct Shape<'a> {
    schema: &'static str,
    pool: &'a str,
    visits: &'a [Visit],
}

#[derive(Serialize)]
struct RoundShape<'a> {
    schema: &'static str,
    pool: Option<&'a str>,
    visits: &'a [&'a Visit],
}

/// A day (`2026-01-14`) or a moment; a day ends at its last second where it ends a stretch.
pub(in super::super) fn day(text: &str, ends: bool, now: Moment) -> Result<Moment, Failure> {
    if text.len() != 10 {
        return Moment::parse(text).map_err(Failure::usage);
    }
    let clock = if ends { "23:59:59" } else { "00:00:00" };
    text.parse().ok().and_then(|day| now.at_clock(day, clock)).ok_or_else(|| {
        let problem = Problem::error(Code::Value, None, format!("`{text}` is no day"));
        Failure::usage(problem.help("write it like `2026-01-14`"))
    })
}

/// The stretch between two days.
pub(in super::super) fn stretch(
    from: Option<&String>,
    to: Option<&String>,
    now: Moment,
) -> Result<Stretch, Failure> {
    let from = from.map(|text| day(text, false, now)).transpose()?;
    let to = to.map(|text| day(text, true, now)).transpose()?;
    Ok(Stretch { from, to })
}

/// A kept value as people read it.
pub(in super::super) fn shown(base: &Base, fact: &str, held: &Held, units: System) -> String {
    let def = base.knowledge().vocabulary.def(fact);
    let known = def.and_then(|def| Some((def, value(def, held)?)));
    match (known, held) {
        (Some((def, value)), _) => titled(def, &def.show(value, units)),
        (None, Held::Number(n)) => format!("{fact} {}", trim_number(*n, 3)),
        (None, Held::Word(word)) => format!("{fact} {word}"),
    }
}

/// What a visit said before a correction.
fn said_before(base: &Base, one: &Correction, units: System) -> String {
    let task = |id: &str| base.knowledge().work.task(id).map(|task| task.title.clone());
    let named = match one.part {
        Part::Task => task(&one.fact).unwrap_or_else(|| one.fact.clone()),
        _ => one.fact.clone(),
    };
    match (&one.old, one.part) {
        (None, _) => format!("{named} was not there"),
        (Some(_), Part::Task) => format!("it said: done: {named}"),
        (Some(Held::Number(amount)), Part::Addition) => {
            let percent = one.percent.map(|p| format!(" {} %", trim_number(p, 2)));
            let amount = amount_words(*amount, &one.unit, units);
            format!("it said: added {amount} {named}{}", percent.unwrap_or_default())
        }
        (Some(old), _) => format!("it said: {}", shown(base, &one.fact, old, units)),
    }
}

fn visit_lines(base: &Base, visit: &Visit, units: System) -> Vec<String> {
    let mut lines = Vec::new();
    let join = |parts: Vec<String>| parts.join(", ");
    let readings = visit.readings.iter().map(|one| {
        let method =
            if one.method.is_empty() { String::new() } else { format!(" ({})", one.method) };
        format!("{}{method}", shown(base, &one.fact, &one.value, units))
    });
    lines.push(join(readings.collect()));
    let added = visit.additions.iter().map(|one| {
        let percent = one.percent.map(|p| format!(" {} %", trim_number(p, 2))).unwrap_or_default();
        format!("added {} {}{percent}", one.given, one.product)
    });
    lines.push(join(added.collect()));
    let task = |id: &String| {
        base.knowledge().work.task(id).map_or(id.clone(), |task| format!("done: {}", task.title))
    };
    lines.extend(visit.tasks.iter().map(task));
    lines.extend(visit.photos.iter().map(|file| format!("photo {file}")));
    lines.push(visit.note.clone());
    lines.extend(visit.corrections.iter().map(|one| {
        let old = said_before(base, one, units);
        format!("corrected {} by {}, {old}; {}", one.at.date(), one.who, one.why)
    }));
    lines.retain(|line| !line.is_empty());
    lines
}

/// Shows.
pub(super) fn run(
    args: &ShowArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    let store = to_read(common)?;
    let stretch = stretch(args.from.as_ref(), args.to.as_ref(), around.at)?;
    let Some(name) = args.name.as_ref().or(common.pool.as_ref()) else {
        return show_round(args, &base, &store, stretch, around);
    };
    let pool = pool_called(&store, name)?;
    let visits = store.visits(&pool.id, stretch, args.last).map_err(Failure::told)?;
    if around.format == Format::Json {
        let shape = Shape { schema: "brumal.visits/1", pool: &pool.name, visits: &visits };
        json_line(&mut around.out, &shape)?;
        return Ok(Done::Answered);
    }
    let units = around.view.units;
    let mut sheet = Sheet::new(&mut around.out, around.view);
    sheet.heading(Role::Heading, &pool.name)?;
    for visit in &visits {
        show_visit(&mut sheet, &base, visit, "", units)?;
    }
    if visits.is_empty() {
        sheet.paragraph("", &[(Role::Plain, "No visits in that time.")])?;
    }
    Ok(Done::Answered)
}

fn show_visit(
    sheet: &mut Sheet<'_>,
    base: &Base,
    visit: &Visit,
    pool: &str,
    units: System,
) -> Result<(), Failure> {
    let when = visit.at.time().format("%a %-d %b %Y %H:%M").to_string();
    let between = if pool.is_empty() { "" } else { "  " };
    let head = format!("{pool}{between}{when}  {}", visit.who);
    sheet.paragraph("", &[(Role::Strong, &head), (Role::Aside, &format!("  {}", visit.id))])?;
    for line in visit_lines(base, visit, units) {
        sheet.paragraph("   ", &[(Role::Plain, &line)])?;
    }
    Ok(())
}

/// The latest visits of all pools.
fn show_round(
    args: &ShowArgs,
    base: &Base,
    store: &dyn Store,
    stretch: Stretch,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let mut visits: Vec<(String, Visit)> = Vec::new();
    for pool in store.pools().map_err(Failure::told)? {
        let of = store.visits(&pool.id, stretch, args.last).map_err(Failure::told)?;
        visits.extend(of.into_iter().map(|visit| (pool.name.clone(), visit)));
    }
    visits.sort_by(|a, b| b.1.at.cmp(&a.1.at).then_with(|| a.1.id.cmp(&b.1.id)));
    visits.truncate(args.last);
    if around.format == Format::Json {
        let visits: Vec<&Visit> = visits.iter().map(|(_, visit)| visit).collect();
        let shape = RoundShape { schema: "brumal.visits/1", pool: None, visits: &visits };
        json_line(&mut around.out, &shape)?;
        return Ok(Done::Answered);
    }
    let units = around.view.units;
    let mut sheet = Sheet::new(&mut around.out, around.view);
    for (pool, visit) in &visits {
        show_visit(&mut sheet, base, visit, pool, units)?;
    }
    if visits.is_empty() {
        sheet.paragraph("", &[(Role::Plain, "No visits in that time.")])?;
    }
    Ok(Done::Answered)
}
