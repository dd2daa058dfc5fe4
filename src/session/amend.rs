//! What a message puts right of visits that were kept: "correct: it was 12 oz of acid yesterday, not 21".

use super::additions::{additions, amount_words};
use super::base::Base;
use super::done::{stands, tasks_done, words_of};
use super::history::{held, value};
use crate::facts::Fact;
use crate::knowledge::{FactDef, Kind, Knowledge, Product, RecordWords, Task, Work};
use crate::language::in_figures;
use crate::logbook::{Added, Amendment, Reading, Visit, parts_of};
use crate::plan::parse_addition;
use crate::problem::{Code, Problem};
use crate::units::{Dimension, System, convert, display_unit, parse_quantity, trim_number, unit};

/// One thing that is put right.
#[derive(Debug, Clone, PartialEq)]
pub struct PutRight {
    /// The visit that it belongs to.
    pub visit: String,
    /// What the visit should have said.
    pub amendment: Amendment,
    /// The same in words, with what the visit said before.
    pub said: String,
}

/// What a text that is meant as a correction puts right of one visit: readings, what went in, what was done.
#[must_use]
pub fn corrections(
    base: &Base,
    text: &str,
    facts: &[Fact],
    visit: &Visit,
    units: System,
) -> Vec<PutRight> {
    let (knowledge, lower) = (base.knowledge(), text.to_lowercase());
    let visits = std::slice::from_ref(visit);
    let correcting = Correcting { base, text: &lower, visits, units };
    let put = |amendment, said| PutRight { visit: visit.id.clone(), amendment, said };
    let mut found: Vec<PutRight> = Vec::new();
    for fact in facts {
        let Some(def) = knowledge.vocabulary.get(fact.id) else { continue };
        found.push(correcting.reading_told(def, fact).unwrap_or_else(|| {
            let reading = Reading {
                fact: def.name.clone(),
                value: held(def, fact.value),
                given: fact.given.clone(),
                method: String::new(),
            };
            let said = format!("{} {}", def.title, def.show(fact.value, units));
            put(Amendment::Reading { fact: def.name.clone(), new: Some(reading) }, said)
        }));
    }
    if let Some(added) = correcting.additions(true) {
        found.push(added);
    } else {
        found.extend(additions(text, knowledge).into_iter().map(|new| {
            let product = new.product.clone();
            let said = format!("{} {product} was added", new.given);
            put(Amendment::Addition { product, place: None, new: Some(new) }, said)
        }));
    }
    let left_out = |task: &&Task| !visit.tasks.contains(&task.id);
    found.extend(tasks_done(text, knowledge).into_iter().filter(left_out).map(|task| {
        let said = format!("\"{}\" was done", task.title);
        put(Amendment::Task { task: task.id.clone(), done: true }, said)
    }));
    found.extend(correcting.task_denied());
    found
}

/// Takes out of a visit what has a name: a reading by its fact, an addition by its product, a task by its id.
///
/// # Errors
/// A problem if the visit has nothing of that name.
pub fn taken_out(base: &Base, name: &str, visit: &Visit) -> Result<PutRight, Problem> {
    let product = base.knowledge().product_called(name).map_or(name, |product| &product.id);
    let place = visit.additions.iter().position(|one| one.product == product);
    let amendment = if visit.readings.iter().any(|one| one.fact == name) {
        Amendment::Reading { fact: name.to_owned(), new: None }
    } else if visit.tasks.iter().any(|task| task == name) {
        Amendment::Task { task: name.to_owned(), done: false }
    } else if place.is_some() {
        Amendment::Addition { product: product.to_owned(), place, new: None }
    } else {
        let message = format!("this visit has no `{name}`");
        let readings = visit.readings.iter().map(|one| one.fact.as_str());
        let others = visit.tasks.iter().chain(visit.additions.iter().map(|one| &one.product));
        let known = readings.chain(others.map(String::as_str));
        return Err(Problem::error(Code::UnknownName, None, message).did_you_mean(name, known));
    };
    Ok(PutRight { visit: visit.id.clone(), amendment, said: format!("no {name}") })
}

/// What somebody says of an amount: the new one, and the one that it takes the place of.
#[derive(Debug, Default)]
struct Amounts {
    new: Option<String>,
    old: Option<String>,
    percent: Option<String>,
    old_percent: Option<String>,
}

impl Amounts {
    /// Whether it is said what was wrong.
    const fn denies(&self) -> bool {
        self.old.is_some() || self.old_percent.is_some()
    }
}

/// A correction, and what it is held against.
pub(super) struct Correcting<'a> {
    pub base: &'a Base,
    /// The message in lower case.
    pub text: &'a str,
    /// The visits that may be meant, newest first.
    pub visits: &'a [Visit],
    pub units: System,
}

impl Correcting<'_> {
    fn words(&self) -> &RecordWords {
        &self.base.knowledge().work.words
    }

    /// Whether the message says of itself that it puts something right.
    pub fn says_so(&self) -> bool {
        let words = parts_of(self.text);
        !self.text.contains('?')
            && self.words().corrects.iter().any(|phrase| stands(phrase, &words))
    }

    /// What a fact puts right: of the newest visit that has another value of it, if the message says so by itself or
    /// names that value as the wrong one.
    pub fn reading(&self, fact: &Fact) -> Option<PutRight> {
        let def = self.base.knowledge().vocabulary.get(fact.id)?;
        let new = held(def, fact.value);
        let mut having = self.having(&def.name);
        let newest = having.next().filter(|_| self.says_so());
        self.reading_denied(fact).or_else(|| {
            let (visit, old) = newest.filter(|(_, old)| old.value != new)?;
            self.read_anew(def, fact, (visit, old))
        })
    }

    /// The same where nothing but a correction can be meant.
    fn reading_told(&self, def: &FactDef, fact: &Fact) -> Option<PutRight> {
        let found = self.having(&def.name).next()?;
        self.read_anew(def, fact, found)
    }

    /// The same where the message names the wrong value.
    pub fn reading_denied(&self, fact: &Fact) -> Option<PutRight> {
        let def = self.base.knowledge().vocabulary.get(fact.id)?;
        let new = held(def, fact.value);
        let denied = |(_, old): &(&Visit, &Reading)| old.value != new && self.denies(def, old);
        let found = self.having(&def.name).find(denied)?;
        self.read_anew(def, fact, found)
    }

    /// The visits that have a reading of a fact, with it.
    fn having(&self, fact: &str) -> impl Iterator<Item = (&Visit, &Reading)> {
        self.visits.iter().filter_map(move |visit| {
            Some((visit, visit.readings.iter().find(|one| one.fact == fact)?))
        })
    }

    fn read_anew(
        &self,
        def: &FactDef,
        fact: &Fact,
        (visit, old): (&Visit, &Reading),
    ) -> Option<PutRight> {
        let new = held(def, fact.value);
        let shown = def.show(fact.value, self.units);
        let before = value(def, &old.value).map(|old| def.show(old, self.units));
        let reading = Reading {
            fact: def.name.clone(),
            value: new,
            given: fact.given.clone(),
            method: old.method.clone(),
        };
        Some(PutRight {
            visit: visit.id.clone(),
            amendment: Amendment::Reading { fact: def.name.clone(), new: Some(reading) },
            said: format!("{} {shown} instead of {}", def.title, before.unwrap_or_default()),
        })
    }

    /// Whether the message says "not" before an old number.
    fn denies(&self, def: &FactDef, old: &Reading) -> bool {
        let shown = match (&def.kind, old.value.number()) {
            (Kind::Number { unit, decimals }, Some(n)) => {
                let shown = convert(n, *unit, display_unit(*unit, self.units)).unwrap_or(n);
                parts_of(&trim_number(shown, *decimals))
            }
            _ => return false,
        };
        let words = parts_of(self.text);
        let after = |phrase: &String| {
            let parts = parts_of(phrase);
            let many = parts.len().max(1);
            words.windows(many).position(|window| window == parts.as_slice()).map(|at| at + many)
        };
        self.words().instead.iter().filter_map(after).any(|at| {
            let rest = words.get(at..).unwrap_or_default();
            rest.windows(shown.len().max(1)).any(|window| window == shown.as_slice())
        })
    }

    /// What the message puts right of what went in: another amount or strength, or that it never went in. `sure` where
    /// nothing but a correction can be meant.
    pub fn additions(&self, sure: bool) -> Option<PutRight> {
        let knowledge = self.base.knowledge();
        let amounts = self.amounts();
        if self.text.contains('?') || !(sure || self.says_so() || amounts.denies()) {
            return None;
        }
        let never = amounts.new.is_none() && amounts.percent.is_none();
        if never && !self.denied() {
            return None;
        }
        self.visits.iter().find_map(|visit| {
            let of = visit.additions.iter().enumerate();
            let mut fit = of.filter_map(|(place, old)| {
                let product = knowledge.product(&old.product)?;
                let named = self.names(product, &knowledge.work);
                let fits = amounts.old.as_ref().is_none_or(|text| self.is_amount(text, old))
                    && amounts.old_percent.as_ref().is_none_or(|text| is_percent(text, old));
                let other = !named && (!amounts.denies() || self.names_any(knowledge));
                (fits && !other).then_some((place, old, product))
            });
            let (place, old, product) = fit.next()?;
            // Two that fit: nobody can say which one is meant.
            if fit.next().is_some() {
                return None;
            }
            self.added_anew(visit, (place, old, product), &amounts)
        })
    }

    /// The same where the message names the wrong amount.
    pub fn additions_denied(&self) -> Option<PutRight> {
        if self.amounts().denies() { self.additions(false) } else { None }
    }

    fn added_anew(
        &self,
        visit: &Visit,
        (place, old, product): (usize, &Added, &Product),
        amounts: &Amounts,
    ) -> Option<PutRight> {
        let before = self.told(old, product);
        let percent = amounts.percent.as_ref().and_then(|text| parse_quantity(text).ok());
        let percent = percent.map(|(percent, _)| percent).or(old.percent);
        let new = match &amounts.new {
            Some(amount) => {
                let strength = percent.map(|p| format!("{} %", trim_number(p, 4)));
                let text = format!("{} {} {amount}", product.id, strength.unwrap_or_default());
                let read = parse_addition(&text, self.base.knowledge()).ok()?;
                let given = amount.clone();
                Some(Added { percent, amount: read.amount, given, ..old.clone() })
            }
            None if amounts.percent.is_some() => Some(Added { percent, ..old.clone() }),
            None => None,
        };
        if new.as_ref() == Some(old) {
            return None;
        }
        let said = match &new {
            Some(new) => format!("{} instead of {before}", self.told(new, product)),
            None => format!("no {before}"),
        };
        let amendment =
            Amendment::Addition { product: product.id.clone(), place: Some(place), new };
        Some(PutRight { visit: visit.id.clone(), amendment, said })
    }

    fn told(&self, one: &Added, product: &Product) -> String {
        let amount = amount_words(one.amount, &one.unit, self.units);
        let percent = one.percent.map(|p| format!(" of {} %", trim_number(p, 2)));
        format!("{amount} {}{}", product.name, percent.unwrap_or_default())
    }

    /// A task that the message says was not done although a visit says so.
    pub fn task_not_done(&self) -> Option<PutRight> {
        self.says_so().then(|| self.task_denied()).flatten()
    }

    fn task_denied(&self) -> Option<PutRight> {
        if !self.denied() {
            return None;
        }
        let words = parts_of(self.text);
        let named = |id: &String| {
            let task = self.base.knowledge().work.task(id)?;
            let said = |phrase: &&String| stands(phrase, &words);
            let longest = task.done.iter().chain(&task.words).filter(said).map(String::len).max();
            longest.map(|length| (length, task))
        };
        self.visits.iter().find_map(|visit| {
            let (_, task) =
                visit.tasks.iter().filter_map(named).max_by_key(|(length, _)| *length)?;
            Some(PutRight {
                visit: visit.id.clone(),
                amendment: Amendment::Task { task: task.id.clone(), done: false },
                said: format!("\"{}\" not done", task.title),
            })
        })
    }

    fn denied(&self) -> bool {
        let words = words_of(self.text);
        self.words().denied.iter().any(|phrase| stands(phrase, &words))
    }

    /// Whether the message names a product, or the family that it belongs to.
    fn names(&self, product: &Product, work: &Work) -> bool {
        let words = parts_of(self.text);
        let family = work.families.iter().filter(|one| one.products.contains(&product.id));
        let mut all = product.words.iter().chain(family.map(|one| &one.word));
        all.any(|word| stands(word, &words)) || stands(&product.id.replace('-', " "), &words)
    }

    fn names_any(&self, knowledge: &Knowledge) -> bool {
        knowledge.products.iter().any(|product| self.names(product, &knowledge.work))
    }

    /// Whether an old addition is of such an amount.
    fn is_amount(&self, text: &str, old: &Added) -> bool {
        let percent = old.percent.map(|p| format!("{} %", trim_number(p, 4))).unwrap_or_default();
        let text = format!("{} {percent} {text}", old.product);
        let read = parse_addition(&text, self.base.knowledge());
        read.is_ok_and(|read| (read.amount - old.amount).abs() <= old.amount * 0.02)
    }

    /// The amounts of the message; one without a unit has that of the other.
    fn amounts(&self) -> Amounts {
        let cut = |c: char| c.is_whitespace() || matches!(c, ',' | ';' | ':' | '(' | ')');
        let text = in_figures(self.text, &self.base.knowledge().lexicon);
        let words: Vec<&str> = text.split(cut).map(|word| word.trim_end_matches('.')).collect();
        let words: Vec<&str> = words.into_iter().filter(|word| !word.is_empty()).collect();
        let mut found = Amounts::default();
        let (mut bare, mut old_bare) = (None, None);
        let mut at = 0;
        while let Some(rest) = words.get(at..).filter(|rest| !rest.is_empty()) {
            let before = words.get(..at).unwrap_or_default().join(" ");
            let instead =
                self.words().instead.iter().any(|phrase| before.ends_with(phrase.as_str()));
            let Some((taken, text, dimension)) = quantity(rest) else {
                at += 1;
                continue;
            };
            at += taken;
            let place = match (dimension, instead) {
                (Dimension::Share, false) => &mut found.percent,
                (Dimension::Share, true) => &mut found.old_percent,
                (Dimension::Mass | Dimension::Volume, false) => &mut found.new,
                (Dimension::Mass | Dimension::Volume, true) => &mut found.old,
                (Dimension::Plain, false) => &mut bare,
                (Dimension::Plain, true) => &mut old_bare,
                _ => continue,
            };
            place.get_or_insert(text);
        }
        let unit_of = |text: &String| text.split_once(' ').map(|(_, unit)| unit.to_owned());
        let with = |number: Option<String>, other: &Option<String>| {
            Some(format!("{} {}", number?, other.as_ref().and_then(unit_of)?))
        };
        if found.old.is_none() {
            found.old = with(old_bare, &found.new);
        } else if found.new.is_none() {
            found.new = with(bare, &found.old);
        }
        found
    }
}

/// Whether an old addition is of such a strength, as people round it.
fn is_percent(text: &str, old: &Added) -> bool {
    let said = parse_quantity(text).ok().map(|(percent, _)| percent);
    said.zip(old.percent).is_some_and(|(said, old)| (said - old).abs() < 0.6)
}

/// The longest quantity at the beginning of words: how many words it takes, itself with a space before its unit, and
/// what it measures.
fn quantity(words: &[&str]) -> Option<(usize, String, Dimension)> {
    (1..=4.min(words.len())).rev().find_map(|many| {
        let text = words.get(..many)?.join(" ");
        let (number, from) = parse_quantity(&text).ok()?;
        let digits = |c: char| !(c.is_ascii_digit() || matches!(c, '.' | '/' | ' '));
        let unit_at = text.find(digits).unwrap_or(text.len());
        let spoken = text.get(unit_at..).unwrap_or_default().trim();
        let dimension = unit(from).dimension;
        Some((many, format!("{number} {spoken}").trim().to_owned(), dimension))
    })
}
