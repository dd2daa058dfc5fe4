//! `brumal pool add`: from one sentence, or by asking what matters.

use super::super::args::Common;
use super::super::exit::{Done, Failure};
use super::super::logbook::{to_write, who};
use super::super::surroundings::{Surroundings, base};
use super::change::{Place, entries, facts_told, tell_unread, unread};
use crate::facts::{Fact, Origin};
use crate::language::{ReadingContext, read};
use crate::logbook::{NewPool, Store};
use crate::problem::{Code, Problem};
use crate::render::clean;
use crate::session::{Base, pool_told};
use clap::Args;
use std::io::{self, BufRead, IsTerminal, Write};

/// Take a pool on
#[derive(Debug, Args)]
pub(in super::super) struct AddArgs {
    /// Its name, and after a comma what is known of it; without it, the terminal asks
    #[arg(value_name = "TEXT")]
    text: Vec<String>,
    #[command(flatten)]
    place: Place,
    /// Who says so [default: the user of this machine]
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
}

/// Takes a pool on.
pub(super) fn run(
    args: &AddArgs,
    common: &Common,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let base = base(common, around)?;
    let mut text = args.text.join(" ");
    if text.trim().is_empty() && io::stdin().is_terminal() {
        write!(around.out, "What is the pool called? ")?;
        around.out.flush()?;
        text = io::stdin().lock().lines().next().transpose()?.unwrap_or_default();
    }
    let (name, told) = text.split_once(',').unwrap_or((&text, ""));
    let name = name.trim();
    if name.is_empty() {
        let problem = Problem::error(Code::Value, None, "the pool has no name");
        let help = "say it like `brumal pool add \"Quarry Lane 9, 18k gal plaster, salt system\"`";
        return Err(Failure::usage(problem.help(help)));
    }
    let mut facts = facts_told(&base, told, common, around.at)?;
    if facts.is_empty() && io::stdin().is_terminal() {
        facts = ask(&base, around)?;
    }
    facts.extend(args.place.volume(&base)?);
    let who = who(args.by.as_ref());
    let mut profile = entries(&base, &facts, around.at, &who, "");
    profile.extend(args.place.entries(around.at, &who, ""));
    let store = to_write(common)?;
    let pool = NewPool { name: name.to_owned(), added: around.at, profile };
    let pool = store.add_pool(&pool).map_err(Failure::told)?;
    writeln!(around.out, "{} is in the log.", clean(&pool.name))?;
    for fact in &facts {
        let Some(def) = base.knowledge().vocabulary.get(fact.id) else { continue };
        let shown = def.show(fact.value, around.view.units);
        writeln!(around.out, "  {:<26} {}", def.title, clean(&shown))?;
    }
    tell_unread(&unread(&base, told, common, around.at), around)?;
    let missing = missing(&base, &facts);
    if !missing.is_empty() {
        writeln!(around.out, "Worth knowing too: {}.", missing.join(", "))?;
        let quoted = pool.name.replace('"', "");
        writeln!(around.out, "Tell it with: brumal pool change \"{}\" \"…\"", clean(&quoted))?;
    }
    Ok(Done::Answered)
}

/// What matters and was not told, by its titles.
fn missing(base: &Base, facts: &[Fact]) -> Vec<String> {
    let knowledge = base.knowledge();
    let wanted = knowledge.work.words.profile.iter().filter_map(|name| {
        let id = knowledge.vocabulary.find(name)?;
        let known = facts.iter().any(|fact| fact.id == id);
        (!known).then(|| knowledge.vocabulary.get(id).map(|def| def.title.clone()))?
    });
    wanted.collect()
}

/// Asks for what matters, one thing at a time; an empty line passes over.
fn ask(base: &Base, around: &mut Surroundings) -> Result<Vec<Fact>, Failure> {
    let knowledge = base.knowledge();
    let mut facts: Vec<Fact> = Vec::new();
    let mut lines = io::stdin().lock().lines();
    writeln!(around.out, "Press Enter to pass over what you don't know.")?;
    for name in &knowledge.work.words.profile {
        let Some(id) = knowledge.vocabulary.find(name) else { continue };
        let Some(def) = knowledge.vocabulary.get(id) else { continue };
        if facts.iter().any(|fact| fact.id == id) {
            continue;
        }
        write!(around.out, "{} ", def.ask)?;
        around.out.flush()?;
        let Some(line) = lines.next().transpose()? else { break };
        if line.trim().is_empty() {
            continue;
        }
        let context = ReadingContext {
            system: around.view.units,
            moment: Some(around.at),
            asked: Some(id),
            ..ReadingContext::default()
        };
        let mut told = read(&line, &context, knowledge).facts;
        if told.is_empty() {
            told = pool_told(base, &line, around.view.units, around.at).facts;
        }
        let mut told: Vec<Fact> =
            told.into_iter().filter(|fact| !fact.supposed && fact.doubt.is_none()).collect();
        if told.is_empty()
            && let Ok(value) = def.parse(&line)
        {
            told.push(Fact::stated(id, value, line.trim(), Origin::Profile));
        }
        if told.is_empty() {
            writeln!(around.out, "I could not read that; left open.")?;
        }
        facts.extend(told);
    }
    Ok(facts)
}

/// A problem of a text that says nothing.
pub(super) fn says_nothing(text: &str) -> Failure {
    let message = format!("`{}` says nothing about a pool that I could read", text.trim());
    let problem = Problem::error(Code::Value, None, message);
    Failure::usage(problem.help("say it like `18k gal plaster, salt system, sand filter`"))
}
