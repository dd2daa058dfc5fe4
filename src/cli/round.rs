//! The pools that a plan is made for: one from the command line, or a file of them.

use super::args::Common;
use super::exit::Failure;
use super::logbook::for_talk;
use super::stream::written;
use crate::clock::Moment;
use crate::facts::{Fact, Origin};
use crate::knowledge::Vocabulary;
use crate::logbook::{Found, ProfileEntry, Store as _, find_pool};
use crate::problem::{Code, Problem};
use crate::session::value;
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::Path;

/// A pool and what is known of it.
#[derive(Debug)]
pub(super) struct RoundPool {
    /// Its name.
    pub(super) name: String,
    /// What is known.
    pub(super) facts: Vec<Fact>,
}

/// The pools: those of `file` (`brumal.pools/1`), only the one named by `--pool` if it is among them;
/// without a file one pool with the facts of the command line.
pub(super) fn round(
    file: Option<&Path>,
    common: &Common,
    words: &Vocabulary,
    at: Moment,
) -> Result<Vec<RoundPool>, Failure> {
    let stated = stated(common, words)?;
    if file.is_none()
        && let Some(pools) = from_log(common, words, &stated, at)?
    {
        return Ok(pools);
    }
    let Some(file) = file else {
        let name = common.pool.clone().unwrap_or_else(|| "the pool".to_owned());
        return Ok(vec![RoundPool { name, facts: stated }]);
    };
    let mut pools = read(file, words)?;
    if let Some(wanted) = &common.pool {
        let near: Vec<String> = pools.iter().map(|pool| pool.name.clone()).collect();
        pools.retain(|pool| pool.name.eq_ignore_ascii_case(wanted));
        if pools.is_empty() {
            let problem =
                Problem::error(Code::UnknownName, None, format!("no pool is called `{wanted}`"));
            return Err(Failure::told(
                problem.did_you_mean(wanted, near.iter().map(String::as_str)),
            ));
        }
    }
    for pool in &mut pools {
        pool.facts.extend(stated.iter().cloned());
    }
    Ok(pools)
}

/// The pools of the log that are still looked after; `None` without a log, without pools in it, or for
/// a pool that it does not hold.
fn from_log(
    common: &Common,
    words: &Vocabulary,
    stated: &[Fact],
    at: Moment,
) -> Result<Option<Vec<RoundPool>>, Failure> {
    let Some(store) = for_talk(common, false)? else { return Ok(None) };
    let mut kept = store.pools().map_err(Failure::told)?;
    kept.retain(|pool| pool.retired.is_none());
    if let Some(wanted) = &common.pool {
        match find_pool(&kept, wanted) {
            Found::One(pool) => kept = vec![pool.clone()],
            _ => return Ok(None),
        }
    }
    if kept.is_empty() {
        return Ok(None);
    }
    let mut profiles: BTreeMap<String, Vec<ProfileEntry>> = BTreeMap::new();
    for (pool, entry) in store.profiles(at).map_err(Failure::told)? {
        profiles.entry(pool).or_default().push(entry);
    }
    let pools = kept.into_iter().map(|pool| {
        let of_pool = profiles.get(&pool.id).map_or(&[][..], Vec::as_slice);
        let known = of_pool.iter().filter_map(|entry| {
            let (id, def) = (words.find(&entry.name)?, words.def(&entry.name)?);
            let value = value(def, entry.value.as_ref()?)?;
            Some(Fact::stated(id, value, entry.given.clone(), Origin::Profile))
        });
        let facts = known.chain(stated.iter().cloned()).collect();
        RoundPool { name: pool.name, facts }
    });
    Ok(Some(pools.collect()))
}

fn stated(common: &Common, words: &Vocabulary) -> Result<Vec<Fact>, Failure> {
    let mut facts = Vec::new();
    for (name, value) in &common.facts {
        facts.push(fact(name, value, words, Origin::Message).map_err(Failure::usage)?);
    }
    Ok(facts)
}

fn fact(name: &str, value: &str, words: &Vocabulary, origin: Origin) -> Result<Fact, Problem> {
    let id = words.find(name).ok_or_else(|| {
        Problem::error(Code::UnknownName, None, format!("no fact is called `{name}`"))
            .did_you_mean(name, words.names())
    })?;
    let parsed = words.get(id).map_or_else(|| Err(String::new()), |def| def.parse(value));
    let read =
        parsed.map_err(|why| Problem::error(Code::Value, None, format!("`{name}`: {why}")))?;
    Ok(Fact::stated(id, read, format!("{name}={value}"), origin))
}

fn read(file: &Path, words: &Vocabulary) -> Result<Vec<RoundPool>, Failure> {
    let shown = file.display();
    let told = |message: String| {
        Failure::told(Problem::error(Code::File, None, message).help(
        "give what `brumal pool list --format json` writes: {\"schema\": \"brumal.pools/1\", \"pools\": […]}",
    ))
    };
    let text = std::fs::read_to_string(file)
        .map_err(|error| told(format!("`{shown}` cannot be read: {error}")))?;
    let json: Value = serde_json::from_str(&text)
        .map_err(|error| told(format!("`{shown}` is not JSON: {error}")))?;
    let Some(list) = json.get("pools").and_then(Value::as_array) else {
        return Err(told(format!("`{shown}` holds no list of pools")));
    };
    let mut pools = Vec::with_capacity(list.len());
    for item in list {
        let name = item.get("name").or_else(|| item.get("pool")).and_then(Value::as_str);
        let Some(name) = name else {
            return Err(told(format!("pool {} of `{shown}` has no name", pools.len() + 1)));
        };
        let mut facts = Vec::new();
        for (key, value) in item.get("facts").and_then(Value::as_object).into_iter().flatten() {
            let text = written(key, value).map_err(|why| told(format!("pool `{name}`: {why}")))?;
            if let Some(text) = text {
                let fact = fact(key, &text, words, Origin::Profile).map_err(Failure::told)?;
                facts.push(fact);
            }
        }
        pools.push(RoundPool { name: name.to_owned(), facts });
    }
    Ok(pools)
}
