//! The pools that a plan is made for: one from the command line, or a file of them.

use super::args::Common;
use super::exit::Failure;
use super::logbook::for_talk;
use super::stream::written;
use crate::clock::Moment;
use crate::facts::{FactId, Value as Known};
use crate::knowledge::Vocabulary;
use crate::logbook::{Found, ProfileEntry, Store as _, find_pool};
use crate::problem::{Code, Problem};
use crate::session::value;
use crate::units::System;
use serde::de::{
    DeserializeSeed, Deserializer, Error as _, IgnoredAny, MapAccess, SeqAccess, Visitor,
};
use serde_json::Value as Json;
use serde_json::error::Category;
use std::collections::BTreeMap;
use std::fmt;
use std::io::BufReader;
use std::path::Path;

/// A pool and what is known of it.
#[derive(Debug)]
pub(super) struct RoundPool {
    /// Its name.
    pub(super) name: String,
    /// What is known.
    pub(super) facts: Vec<(FactId, Known)>,
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
        pool.facts.extend_from_slice(&stated);
    }
    Ok(pools)
}

/// The pools of the log that are still looked after; `None` without a log, without pools in it, or for
/// a pool that it does not hold.
fn from_log(
    common: &Common,
    words: &Vocabulary,
    stated: &[(FactId, Known)],
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
            Some((id, value(def, entry.value.as_ref()?)?))
        });
        let facts = known.chain(stated.iter().copied()).collect();
        RoundPool { name: pool.name, facts }
    });
    Ok(Some(pools.collect()))
}

fn stated(common: &Common, words: &Vocabulary) -> Result<Vec<(FactId, Known)>, Failure> {
    let mut facts = Vec::new();
    for (name, value) in common.stated() {
        facts.push(fact(name, value, words).map_err(Failure::usage)?);
    }
    Ok(facts)
}

fn fact(name: &str, value: &str, words: &Vocabulary) -> Result<(FactId, Known), Problem> {
    let (id, def) = words.named(name, None)?;
    let read = def.stated(value, System::Us)?;
    Ok((id, read))
}

/// Reads a file of pools one after the other: only what is known of each is kept.
fn read(file: &Path, words: &Vocabulary) -> Result<Vec<RoundPool>, Failure> {
    let shown = file.display();
    let told = |message: String| {
        Failure::told(Problem::error(Code::File, None, message).help(
        "give what `brumal pool list --format json` writes: {\"schema\": \"brumal.pools/1\", \"pools\": […]}",
    ))
    };
    let open = std::fs::File::open(file)
        .map_err(|error| told(format!("`{shown}` cannot be read: {error}")))?;
    let mut text = serde_json::Deserializer::from_reader(BufReader::with_capacity(1 << 16, open));
    let top = Top { words };
    let pools = top.deserialize(&mut text).and_then(|pools| text.end().map(|()| pools));
    let pools = pools.map_err(|error| match error.classify() {
        Category::Data => told(format!("`{shown}`: {error}")),
        Category::Io | Category::Syntax | Category::Eof => {
            told(format!("`{shown}` is not JSON: {error}"))
        }
    })?;
    pools.ok_or_else(|| told(format!("`{shown}` holds no list of pools")))
}

/// The object that holds the list of pools.
struct Top<'k> {
    words: &'k Vocabulary,
}

impl<'de> DeserializeSeed<'de> for Top<'_> {
    type Value = Option<Vec<RoundPool>>;

    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<Self::Value, D::Error> {
        from.deserialize_map(self)
    }
}

impl<'de> Visitor<'de> for Top<'_> {
    type Value = Option<Vec<RoundPool>>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an object with a list of pools")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
        let mut pools = None;
        while let Some(key) = map.next_key::<String>()? {
            if key == "pools" {
                pools = Some(map.next_value_seed(List { words: self.words })?);
            } else {
                map.next_value::<IgnoredAny>()?;
            }
        }
        Ok(pools)
    }
}

/// The list.
struct List<'k> {
    words: &'k Vocabulary,
}

impl<'de> DeserializeSeed<'de> for List<'_> {
    type Value = Vec<RoundPool>;

    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<Self::Value, D::Error> {
        from.deserialize_seq(self)
    }
}

impl<'de> Visitor<'de> for List<'_> {
    type Value = Vec<RoundPool>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a list of pools")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Self::Value, A::Error> {
        let mut pools = Vec::new();
        while let Some(item) = seq.next_element::<Json>()? {
            pools.push(pool(&item, self.words, pools.len() + 1).map_err(A::Error::custom)?);
        }
        Ok(pools)
    }
}

fn pool(item: &Json, words: &Vocabulary, number: usize) -> Result<RoundPool, String> {
    let name = item.get("name").or_else(|| item.get("pool")).and_then(Json::as_str);
    let name = name.ok_or_else(|| format!("pool {number} has no name"))?;
    let told = |why: String| format!("pool `{name}`: {why}");
    let mut facts = Vec::new();
    for (key, value) in item.get("facts").and_then(Json::as_object).into_iter().flatten() {
        // Where a pool lies is kept with it and is no fact of its water or its pad.
        if key.starts_with("place.") {
            continue;
        }
        if let Some(text) = written(key, value).map_err(told)? {
            facts.push(fact(key, &text, words).map_err(|problem| told(problem.message))?);
        }
    }
    facts.shrink_to_fit();
    Ok(RoundPool { name: name.to_owned(), facts })
}
