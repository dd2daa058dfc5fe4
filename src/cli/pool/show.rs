//! `brumal pool list` and `show`.

use super::super::args::{Common, Format};
use super::super::exit::{Done, Failure};
use super::super::logbook::{pool_called, to_read};
use super::super::surroundings::{Surroundings, base};
use super::change::title;
use crate::knowledge::Vocabulary;
use crate::logbook::{Held, PoolRecord, ProfileEntry, Store};
use crate::render::{clean, json_line};
use crate::session::value;
use crate::units::{System, trim_number};
use clap::Args;
use serde::Serialize;
use std::collections::BTreeMap;
use std::io::Write;

/// List the pools
#[derive(Debug, Args)]
pub(in super::super) struct ListArgs {
    /// Retired ones too
    #[arg(long)]
    all: bool,
}

/// Show what is known of one pool
#[derive(Debug, Args)]
pub(in super::super) struct ShowArgs {
    /// The pool, by its name or a part of it
    name: String,
    /// With everything that was true before
    #[arg(long)]
    history: bool,
}

#[derive(Serialize)]
struct List {
    schema: &'static str,
    pools: Vec<Shape>,
}

#[derive(Serialize)]
struct Shape {
    name: String,
    id: String,
    facts: BTreeMap<String, serde_json::Value>,
    notes: BTreeMap<String, String>,
    since: String,
    retired: Option<String>,
}

/// A kept value as the contract writes facts: numbers, true and false, words, lists of words.
fn fact_json(words: &Vocabulary, name: &str, held: &Held) -> Option<serde_json::Value> {
    use crate::knowledge::Kind;
    let kind = words.def(name).map(|def| &def.kind);
    Some(match (held, kind) {
        (Held::Number(n), _) => serde_json::Number::from_f64(*n)?.into(),
        (Held::Word(word), Some(Kind::YesNo { .. })) => (word == "yes").into(),
        (Held::Word(word), Some(Kind::SeveralOf(_))) => {
            word.split(", ").map(str::to_owned).collect::<Vec<String>>().into()
        }
        (Held::Word(word), _) => word.clone().into(),
    })
}

fn shape(words: &Vocabulary, pool: &PoolRecord, profile: &[ProfileEntry]) -> Shape {
    let mut facts = BTreeMap::new();
    let mut notes = BTreeMap::new();
    for entry in profile {
        match (&entry.value, entry.name.strip_prefix("note.")) {
            (Some(Held::Word(text)), Some(note)) => {
                notes.insert(note.to_owned(), text.clone());
            }
            (Some(held), _) => {
                facts.extend(
                    fact_json(words, &entry.name, held).map(|value| (entry.name.clone(), value)),
                );
            }
            (None, _) => {}
        }
    }
    Shape {
        name: pool.name.clone(),
        id: pool.id.clone(),
        facts,
        notes,
        since: pool.added.rfc3339(),
        retired: pool.retired.map(crate::clock::Moment::rfc3339),
    }
}

/// Lists them.
pub(super) fn list(
    args: &ListArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    let words = &base.knowledge().vocabulary;
    let store = to_read(common)?;
    let mut pools = store.pools().map_err(Failure::told)?;
    pools.retain(|pool| args.all || pool.retired.is_none());
    let mut profiles: BTreeMap<String, Vec<ProfileEntry>> = BTreeMap::new();
    for (pool, entry) in store.profiles(around.at).map_err(Failure::told)? {
        profiles.entry(pool).or_default().push(entry);
    }
    let of = |pool: &PoolRecord| profiles.get(&pool.id).map_or(&[][..], Vec::as_slice);
    if around.format == Format::Json {
        let pools = pools.iter().map(|pool| shape(words, pool, of(pool))).collect();
        json_line(&mut around.out, &List { schema: "brumal.pools/1", pools })?;
        return Ok(Done::Answered);
    }
    for pool in &pools {
        let told = ["pool.volume", "pool.surface", "sanitizer.method"]
            .iter()
            .filter_map(|name| of(pool).iter().find(|entry| entry.name == *name))
            .filter_map(|entry| shown(words, entry, around.view.units));
        let told: Vec<String> = told.collect();
        let retired = if pool.retired.is_some() { " (retired)" } else { "" };
        writeln!(around.out, "{:<28} {}{retired}", clean(&pool.name), clean(&told.join(", ")))?;
    }
    if pools.is_empty() {
        writeln!(around.out, "No pools yet. `brumal pool add` takes one on.")?;
    }
    Ok(Done::Answered)
}

fn shown(words: &Vocabulary, entry: &ProfileEntry, units: System) -> Option<String> {
    let held = entry.value.as_ref()?;
    let fact = words.def(&entry.name).and_then(|def| Some(def.show(value(def, held)?, units)));
    Some(fact.unwrap_or_else(|| match held {
        Held::Number(n) => trim_number(*n, 4),
        Held::Word(word) => word.clone(),
    }))
}

/// Shows one.
pub(super) fn show(
    args: &ShowArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    let words = &base.knowledge().vocabulary;
    let store = to_read(common)?;
    let pool = pool_called(&store, &args.name)?;
    let profile = if args.history {
        store.profile_history(&pool.id)
    } else {
        store.profile(&pool.id, around.at)
    };
    let profile = profile.map_err(Failure::told)?;
    if around.format == Format::Json {
        json_line(&mut around.out, &shape(words, &pool, &profile))?;
        return Ok(Done::Answered);
    }
    writeln!(around.out, "{}  (since {})", clean(&pool.name), pool.added.date())?;
    for entry in &profile {
        let value =
            shown(words, entry, around.view.units).unwrap_or_else(|| "no longer".to_owned());
        let when = if args.history {
            let why = if entry.why.is_empty() { String::new() } else { format!(": {}", entry.why) };
            format!("   from {} {}{why}", entry.since.date(), entry.who)
        } else {
            String::new()
        };
        let title = title(&base, &entry.name);
        writeln!(around.out, "  {:<26} {}{}", clean(&title), clean(&value), clean(&when))?;
    }
    Ok(Done::Answered)
}
