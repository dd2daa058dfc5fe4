//! `brumal due`: what is due, most pressing first; postponements and days off.

use super::args::{Common, Format};
use super::exit::{Done, Failure};
use super::log::day;
use super::logbook::{pool_called, to_read, to_write, who};
use super::surroundings::{Surroundings, base};
use crate::logbook::{Blackout, PoolRecord, Postponement, Store};
use crate::plan::{AHEAD_DAYS, CALENDAR_DAYS, DueItem, PoolDue, minutes_words};
use crate::problem::{Code, Problem};
use crate::render::{Role, Sheet, calendar, clean, json_line};
use crate::session::{Base, round as round_ahead};
use clap::Args;
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;

/// Tell what is due, for one pool or all, most pressing first
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  brumal due
  brumal due --pool quarry
  brumal due --ics round.ics
  brumal due --exit-code || mail -s \"pools\" office
  brumal due --pool quarry --postpone vacuum --until 2026-02-01 --why \"ice\"
  brumal due --blackout 2025-12-24..2026-01-02 --why \"office closed\"")]
pub(super) struct DueArgs {
    /// Write a calendar (RFC 5545) into this file
    #[arg(long, value_name = "FILE")]
    ics: Option<PathBuf>,
    /// End in 10 when something has to be done today
    #[arg(long)]
    exit_code: bool,
    /// Put a task off, for the pool of --pool
    #[arg(long, value_name = "TASK", requires = "until")]
    postpone: Option<String>,
    /// Until this day
    #[arg(long, value_name = "DAY")]
    until: Option<String>,
    /// Note days off, for the pool of --pool or for all
    #[arg(long, value_name = "FROM..TO", conflicts_with = "postpone")]
    blackout: Option<String>,
    /// Why
    #[arg(long, value_name = "TEXT", default_value = "", hide_default_value = true)]
    why: String,
}

#[derive(Serialize)]
struct Shape<'a> {
    schema: &'static str,
    at: String,
    pools: Vec<PoolShape<'a>>,
}

#[derive(Serialize)]
struct PoolShape<'a> {
    pool: &'a str,
    urgency: &'static str,
    minutes: f64,
    due: Vec<ItemShape<'a>>,
}

#[derive(Serialize)]
struct ItemShape<'a> {
    task: &'a str,
    title: &'a str,
    due: String,
    late_days: i64,
    urgency: &'static str,
    last: Option<String>,
    why: &'a str,
    cites: &'a [String],
}

fn shape(pool: &PoolDue) -> PoolShape<'_> {
    PoolShape {
        pool: &pool.name,
        urgency: pool.urgency().name(),
        minutes: pool.minutes(),
        due: pool.items.iter().map(item).collect(),
    }
}

fn item(item: &DueItem) -> ItemShape<'_> {
    ItemShape {
        task: &item.task,
        title: &item.title,
        due: item.due.to_string(),
        late_days: item.late_days,
        urgency: item.urgency.name(),
        last: item.last.map(crate::clock::Moment::rfc3339),
        why: &item.why,
        cites: &item.cites,
    }
}

/// Tells.
pub(super) fn run(
    args: &DueArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    if args.postpone.is_some() || args.blackout.is_some() {
        note(args, common, around, &base)?;
    }
    let store = to_read(common)?;
    let only = common.pool.as_ref().map(|name| pool_called(&store, name)).transpose()?;
    let round =
        round_ahead(&base, &store, only.as_ref(), around.at, AHEAD_DAYS).map_err(Failure::told)?;
    if let Some(file) = &args.ics {
        let round = round_ahead(&base, &store, only.as_ref(), around.at, CALENDAR_DAYS);
        let round = round.map_err(Failure::told)?;
        std::fs::write(file, calendar(&round, around.at))
            .map_err(|error| Failure::unwritten(file, &error))?;
    }
    if around.format == Format::Json {
        let pools = round.iter().map(shape).collect();
        json_line(
            &mut around.out,
            &Shape { schema: "brumal.due/1", at: around.at.rfc3339(), pools },
        )?;
    } else if store.pools().map_err(Failure::told)?.is_empty() {
        writeln!(around.out, "No pools in the log yet. `brumal pool add` takes one on.")?;
    } else if let Some(pool) = only.as_ref().filter(|pool| pool.retired.is_some()) {
        let name = clean(&pool.name);
        writeln!(
            around.out,
            "{name} is retired: nothing is planned for it. `brumal pool retire {name} --back` takes it back."
        )?;
    } else {
        tell(&round, around)?;
    }
    let pressing = round.iter().any(|pool| pool.items.iter().any(|item| item.late_days >= 0));
    Ok(if args.exit_code && pressing { Done::Pressing } else { Done::Answered })
}

/// Puts a task off, or notes days off.
fn note(
    args: &DueArgs,
    common: &Common,
    around: &Surroundings,
    base: &Base,
) -> Result<(), Failure> {
    let store = to_write(common)?;
    let pool: Option<PoolRecord> =
        common.pool.as_ref().map(|name| pool_called(&store, name)).transpose()?;
    if let (Some(task), Some(until)) = (&args.postpone, &args.until) {
        let Some(pool) = pool else {
            let problem = Problem::error(Code::Value, None, "which pool is meant is not told");
            return Err(Failure::usage(problem.help("name it with `--pool NAME`")));
        };
        if base.knowledge().work.task(task).is_none() {
            let known = base.knowledge().work.tasks.iter().map(|task| task.id.as_str());
            let problem =
                Problem::error(Code::UnknownName, None, format!("no task is called `{task}`"));
            return Err(Failure::usage(problem.did_you_mean(task, known)));
        }
        let postponed = Postponement {
            pool: pool.id,
            task: task.clone(),
            until: day(until, false, around.at)?,
            who: who(None),
            why: args.why.clone(),
        };
        return store.postpone(&postponed).map_err(Failure::told);
    }
    let Some((from, to)) = args.blackout.as_ref().and_then(|days| days.split_once("..")) else {
        let problem = Problem::error(Code::Value, None, "days off run from one day to another");
        return Err(Failure::usage(problem.help("write them like `2025-12-24..2026-01-02`")));
    };
    let (from, to) = (day(from, false, around.at)?, day(to, true, around.at)?);
    if to < from {
        let problem = Problem::error(Code::Value, None, "these days off end before they begin");
        return Err(Failure::usage(problem.help("write the earlier day first")));
    }
    let blackout = Blackout { pool: pool.map(|pool| pool.id), from, to, why: args.why.clone() };
    store.add_blackout(&blackout).map_err(Failure::told)
}

fn tell(round: &[PoolDue], around: &mut Surroundings) -> Result<(), Failure> {
    let mut sheet = Sheet::new(&mut around.out, around.view);
    for (n, pool) in (1..).zip(round) {
        let minutes = pool.minutes();
        let time = if minutes > 0.0 {
            format!("  about {}", minutes_words(minutes))
        } else {
            String::new()
        };
        sheet.gap();
        let mark = format!("{n:>2}. ");
        let aside = format!("{time}  {}", pool.water);
        sheet.paragraph(&mark, &[(Role::Strong, &pool.name), (Role::Aside, &aside)])?;
        let mut items = pool.items.clone();
        items.sort_by(|a, b| {
            a.urgency.cmp(&b.urgency).then(a.due.cmp(&b.due)).then_with(|| a.moved.cmp(&b.moved))
        });
        for day in items.chunk_by(|a, b| a.due == b.due && a.moved == b.moved) {
            let parts = day_parts(day);
            let parts: Vec<(Role, &str)> =
                parts.iter().map(|(role, text)| (*role, text.as_str())).collect();
            sheet.paragraph("    - ", &parts)?;
        }
    }
    if round.is_empty() {
        sheet.paragraph("", &[(Role::Plain, "Nothing is due in the next seven days.")])?;
    }
    Ok(())
}

/// The work of one day: when, and what.
fn day_parts(day: &[DueItem]) -> Vec<(Role, String)> {
    let Some(first) = day.first() else { return Vec::new() };
    let (role, when) = match first.late_days {
        0 => (Role::Soon, "today".to_owned()),
        1 => (Role::Soon, "1 day late".to_owned()),
        late if late > 1 => (Role::Pressing, format!("{late} days late")),
        _ => (Role::Plain, first.due.format("%a %-d %b").to_string()),
    };
    let mut parts = vec![(role, format!("{when}: "))];
    for (n, item) in day.iter().enumerate() {
        let between = if n > 0 { "; " } else { "" };
        parts.push((Role::Plain, format!("{between}{}", item.title)));
    }
    if !first.moved.is_empty() {
        let all = if day.len() > 1 { "all " } else { "" };
        parts.push((Role::Aside, format!(" ({all}{})", first.moved)));
    }
    parts
}
