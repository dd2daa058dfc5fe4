//! `brumal pool change` and `retire`: what was true before stays true for its time.

use super::super::args::Common;
use super::super::exit::{Done, Failure};
use super::super::logbook::{pool_called, to_write, who};
use super::super::surroundings::{Surroundings, base};
use super::add::says_nothing;
use crate::clock::Moment;
use crate::facts::{Fact, Origin, Value};
use crate::logbook::{Held, ProfileEntry, Store};
use crate::plan::parse_size;
use crate::problem::{Code, Problem};
use crate::render::clean;
use crate::session::{Base, held, pool_told};
use clap::Args;
use std::io::Write;

/// What is no fact of the rules: where the pool lies, and notes.
#[derive(Debug, Args)]
pub(in super::super) struct Place {
    /// Its shape and size instead of a volume, such as "rectangle 32 x 16 x 5 ft"
    #[arg(long, value_name = "SHAPE")]
    size: Option<String>,
    /// Where it lies, degrees north, for sunrise and seasons
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true)]
    latitude: Option<f64>,
    /// Where it lies, degrees east
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true)]
    longitude: Option<f64>,
    /// A note, such as "breakers=behind the laurel"; may be repeated
    #[arg(long = "note", value_name = "WHAT=TEXT")]
    notes: Vec<String>,
}

impl Place {
    /// The volume of the size, if one was given.
    pub(super) fn volume(&self, base: &Base) -> Result<Option<Fact>, Failure> {
        let Some(size) = &self.size else { return Ok(None) };
        let litres = parse_size(size, base.knowledge()).map_err(Failure::usage)?;
        let id = base.knowledge().vocabulary.find("pool.volume");
        Ok(id.map(|id| Fact::stated(id, Value::Number(litres), size.as_str(), Origin::Profile)))
    }

    /// As entries of a profile.
    pub(super) fn entries(&self, at: Moment, who: &str, why: &str) -> Vec<ProfileEntry> {
        let entry = |name: String, value: Held, given: String| ProfileEntry {
            name,
            value: Some(value),
            given,
            since: at,
            who: who.to_owned(),
            why: why.to_owned(),
        };
        let degrees = [("place.latitude", self.latitude), ("place.longitude", self.longitude)];
        let mut found: Vec<ProfileEntry> = degrees
            .into_iter()
            .filter_map(|(name, value)| Some((name, value.filter(|v| v.abs() <= 180.0)?)))
            .map(|(name, value)| entry(name.to_owned(), Held::Number(value), value.to_string()))
            .collect();
        for note in &self.notes {
            let (what, text) = note.split_once('=').unwrap_or(("general", note));
            let what: String = what.trim().to_lowercase().replace(' ', "_");
            let text = text.trim().to_owned();
            found.push(entry(format!("note.{what}"), Held::Word(text.clone()), text));
        }
        found
    }
}

/// Change what is known of a pool
#[derive(Debug, Args)]
pub(in super::super) struct ChangeArgs {
    /// The pool
    name: String,
    /// What is so now, in words
    text: Vec<String>,
    /// Another name
    #[arg(long, value_name = "NAME")]
    rename: Option<String>,
    /// A fact that no longer holds; may be repeated
    #[arg(long, value_name = "FACT")]
    forget: Vec<String>,
    #[command(flatten)]
    place: Place,
    /// Why it changed
    #[arg(long, default_value = "", hide_default_value = true)]
    why: String,
    /// Who says so [default: the user of this machine]
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
}

/// Give a pool up, or take it back; its record stays
#[derive(Debug, Args)]
pub(in super::super) struct RetireArgs {
    /// The pool
    name: String,
    /// Take it back
    #[arg(long)]
    back: bool,
}

/// The facts of a text and of `--fact`; doubted ones are refused, so that nothing doubtful is kept.
pub(in super::super) fn facts_told(
    base: &Base,
    text: &str,
    common: &Common,
    at: Moment,
) -> Result<Vec<Fact>, Failure> {
    let words = &base.knowledge().vocabulary;
    let mut facts = pool_told(base, text, common.units.into(), at).facts;
    facts.retain(|fact| !fact.supposed);
    for fact in &facts {
        if let Some(doubt) = &fact.doubt {
            let message = format!("`{}` cannot be: {doubt}", fact.given);
            let problem = Problem::error(Code::Value, None, message);
            return Err(Failure::usage(
                problem.help("nothing was kept; check the number and its unit"),
            ));
        }
    }
    for (name, value) in &common.facts {
        let (id, def) = words.named(name, None).map_err(Failure::usage)?;
        let parsed = def.stated(value, common.units.into()).map_err(Failure::usage)?;
        facts.retain(|fact| fact.id != id);
        facts.push(Fact::stated(id, parsed, value.as_str(), Origin::Message));
    }
    Ok(facts)
}

/// The words of a text that were not read.
pub(super) fn unread(base: &Base, text: &str, common: &Common, at: Moment) -> Vec<String> {
    let reading = pool_told(base, text, common.units.into(), at);
    reading.unread.into_iter().map(|one| one.text).collect()
}

/// Says which words were not read: nobody believes then that they were kept.
pub(super) fn tell_unread(unread: &[String], around: &mut Surroundings) -> Result<(), Failure> {
    if !unread.is_empty() {
        writeln!(around.out, "Not read: {}", clean(&unread.join(" · ")))?;
    }
    Ok(())
}

/// What a name of the profile is called: a fact's title, or the name itself of a note or a place.
pub(super) fn title(base: &Base, name: &str) -> String {
    let def = base.knowledge().vocabulary.def(name);
    def.map_or_else(|| name.replacen('.', ", ", 1), |def| def.title.clone())
}

/// Facts as entries of a profile.
pub(super) fn entries(
    base: &Base,
    facts: &[Fact],
    at: Moment,
    who: &str,
    why: &str,
) -> Vec<ProfileEntry> {
    let entry = |fact: &Fact| {
        let def = base.knowledge().vocabulary.get(fact.id)?;
        Some(ProfileEntry {
            name: def.name.clone(),
            value: Some(held(def, fact.value)),
            given: fact.given.clone(),
            since: at,
            who: who.to_owned(),
            why: why.to_owned(),
        })
    };
    facts.iter().filter_map(entry).collect()
}

/// Changes what is known.
pub(super) fn change(
    args: &ChangeArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    let store = to_write(common)?;
    let pool = pool_called(&store, &args.name)?;
    let text = args.text.join(" ");
    let mut facts = facts_told(&base, &text, common, around.at)?;
    facts.extend(args.place.volume(&base)?);
    let who = who(args.by.as_ref());
    let mut changes = entries(&base, &facts, around.at, &who, &args.why);
    changes.extend(args.place.entries(around.at, &who, &args.why));
    let profile = store.profile(&pool.id, around.at).map_err(Failure::told)?;
    let forgotten = args.forget.iter().map(|told| forgotten(&base, told, &profile));
    let forgotten = forgotten.collect::<Result<Vec<_>, _>>()?;
    changes.extend(forgotten.into_iter().map(|name| ProfileEntry {
        name,
        value: None,
        given: String::new(),
        since: around.at,
        who: who.clone(),
        why: args.why.clone(),
    }));
    if changes.is_empty() && args.rename.is_none() {
        return Err(says_nothing(&text));
    }
    store.add_profile(&pool.id, &changes).map_err(Failure::told)?;
    if let Some(name) = &args.rename {
        store.rename_pool(&pool.id, name).map_err(Failure::told)?;
    }
    let name = args.rename.as_ref().unwrap_or(&pool.name);
    writeln!(around.out, "Kept for {}:", clean(name))?;
    for entry in &changes {
        let value = match &entry.value {
            Some(_) if entry.name.starts_with("note.") => entry.given.clone(),
            Some(_) => facts
                .iter()
                .find_map(|fact| {
                    let def = base.knowledge().vocabulary.get(fact.id)?;
                    (def.name == entry.name).then(|| def.show(fact.value, around.view.units))
                })
                .unwrap_or_else(|| entry.given.clone()),
            None => "no longer known".to_owned(),
        };
        writeln!(around.out, "  {:<26} {}", clean(&title(&base, &entry.name)), clean(&value))?;
    }
    tell_unread(&unread(&base, &text, common, around.at), around)?;
    Ok(Done::Answered)
}

/// The entry of a profile that no longer holds, by its name or its title.
fn forgotten(base: &Base, told: &str, profile: &[ProfileEntry]) -> Result<String, Failure> {
    let named = |entry: &&ProfileEntry| entry.name == told || title(base, &entry.name) == told;
    if let Some(entry) = profile.iter().find(named) {
        return Ok(entry.name.clone());
    }
    let message = format!("the profile says nothing of `{told}`");
    let known = profile.iter().map(|entry| entry.name.as_str());
    let problem = Problem::error(Code::UnknownName, None, message);
    Err(Failure::usage(problem.did_you_mean(told, known)))
}

/// Gives a pool up, or takes it back.
pub(super) fn retire(
    args: &RetireArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let store = to_write(common)?;
    let pool = pool_called(&store, &args.name)?;
    let at = (!args.back).then_some(around.at);
    store.retire_pool(&pool.id, at).map_err(Failure::told)?;
    let what = if args.back { "is looked after again" } else { "is retired; its record stays" };
    writeln!(around.out, "{} {what}.", clean(&pool.name))?;
    Ok(Done::Answered)
}
