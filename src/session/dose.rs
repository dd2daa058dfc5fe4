//! Treatment plans in a conversation: what is asked for, and the facts in hand.

use super::turn::Session;
use crate::advice::{Advised, DoseLineKind, dose_lines};
use crate::clock::Moment;
use crate::facts::{Fact, FactId, Origin};
use crate::knowledge::{AskKind, Knowledge};
use crate::language::Reading;
use crate::plan::{Addition, DosePlan, DoseRequest, parse_addition, plan_dose};
use crate::problem::Problem;
use crate::units::{parse_quantity, split_number, trim_number};

/// What is wanted of a plan, beside the facts.
#[derive(Debug, Clone, Default)]
pub struct DoseWish {
    /// Values to reach; empty for the ranges that apply.
    pub to: Vec<(FactId, f64)>,
    /// Products to add, to see what the water reads then.
    pub add: Vec<Addition>,
    /// The tests were strips.
    pub strips: bool,
    /// The coldest that the water is expected to get, °C.
    pub coldest_c: Option<f64>,
    /// Days open to the air after it.
    pub days: Option<f64>,
}

impl Session<'_> {
    /// Plans from the facts in hand and those of a message, which may also say what to reach or to add.
    ///
    /// # Errors
    /// Every number that cannot be, with its bounds.
    pub fn dose(
        &mut self,
        message: Option<&str>,
        wish: &DoseWish,
        at: Moment,
    ) -> Result<DosePlan, Vec<Problem>> {
        let mut wish = wish.clone();
        let mut doubts = Vec::new();
        self.open_history(at);
        if let Some(message) = message {
            let reading = self.read(message, at);
            for fact in reading.facts.iter().filter(|fact| !fact.supposed) {
                match &fact.doubt {
                    None => self.talk.take(fact.id, fact.value, Origin::Message, at),
                    Some(why) => doubts.push((fact.id, why.clone())),
                }
            }
            if wish.to.is_empty() && wish.add.is_empty() {
                let said = wished(message, &reading, self.base.knowledge());
                (wish.to, wish.add) = (said.to, said.add);
            }
        }
        let mut plan = self.planned(&wish)?;
        let words = &self.base.knowledge().vocabulary;
        for (id, why) in doubts {
            let Some(def) = words.get(id) else { continue };
            let need = crate::plan::DoseNeed {
                fact: def.name.clone(),
                text: format!("What does {} really read?", def.title),
                why,
            };
            plan.questions.retain(|question| question.fact != def.name);
            plan.questions.insert(0, need);
        }
        Ok(plan)
    }

    /// A plan from the facts in hand.
    fn planned(&self, wish: &DoseWish) -> Result<DosePlan, Vec<Problem>> {
        let known = self.talk.state.memory().known();
        let stated = known.filter(|(_, _, origin)| !matches!(origin, Origin::Derived(_)));
        let facts: Vec<Fact> =
            stated.map(|(id, value, origin)| Fact::stated(id, value, "", origin)).collect();
        plan_dose(&DoseRequest {
            knowledge: self.base.knowledge(),
            facts: &facts,
            to: wish.to.clone(),
            add: wish.add.clone(),
            strips: wish.strips,
            coldest_c: wish.coldest_c,
            days: wish.days,
            system: self.settings.units,
        })
    }

    /// The reply to a message that asks how much of what, or what an addition would do.
    pub(super) fn dose_reply(&self, message: &str, reading: &Reading) -> Option<Advised> {
        let wish = self.dose_wish(message, reading)?;
        let lines = match self.planned(&wish) {
            // Nothing is known yet: the question says it all.
            Ok(plan) if plan.before.is_empty() => return None,
            Ok(plan) => {
                let told = dose_lines(&plan, self.base.knowledge(), self.settings.units);
                let mut number = 0;
                let lines = told.into_iter().filter(|line| line.kind != DoseLineKind::Question);
                let lines: Vec<String> = lines
                    .map(|line| match line.kind {
                        DoseLineKind::Step => {
                            number += 1;
                            format!("{number}. {}", line.text)
                        }
                        DoseLineKind::Caution => format!("! {}", line.text),
                        DoseLineKind::Assumed => format!("({})", line.text),
                        _ => line.text,
                    })
                    .collect();
                return Some(Advised { heading: "dose".to_owned(), lines, cites: plan.cites });
            }
            Err(problems) => problems.into_iter().map(|problem| match problem.help {
                Some(help) => format!("{}: {help}", problem.message),
                None => problem.message,
            }),
        };
        Some(Advised { heading: "dose".to_owned(), lines: lines.collect(), cites: Vec::new() })
    }

    /// What is wanted of a plan, if the message wants one.
    fn dose_wish(&self, message: &str, reading: &Reading) -> Option<DoseWish> {
        let wish = wished(message, reading, self.base.knowledge());
        let words = &self.base.knowledge().vocabulary;
        let known = words.find("water.ph").and_then(|id| self.talk.state.memory().value(id));
        // "I've only got dry acid, how much do I need?": of what, the test says.
        let how_much = known.is_some() && message.to_lowercase().contains("how much");
        let asked = reading.asks.contains(&AskKind::Dose) || how_much || !wish.add.is_empty();
        asked.then_some(wish)
    }

    /// Words of a message that say what to reach or to add: they are read, if not as facts.
    pub(super) fn dose_words(&self, message: &str, reading: &Reading) -> Vec<String> {
        let Some(wish) = self.dose_wish(message, reading) else { return Vec::new() };
        let given = wish.add.iter().map(|addition| addition.given.clone());
        let wanted = wish.to.iter().map(|(_, value)| trim_number(*value, 3));
        given.chain(wanted).collect()
    }

    /// What has to be known before a plan: the first of its questions that nobody has said they cannot answer.
    pub(super) fn dose_question(&self, message: &str, reading: &Reading) -> Option<FactId> {
        let wish = self.dose_wish(message, reading)?;
        let plan = self.planned(&wish).ok()?;
        let words = &self.base.knowledge().vocabulary;
        let asked = plan.questions.iter().filter_map(|need| words.find(&need.fact));
        let mut open = asked.filter(|id| !self.talk.unknown.contains(id));
        open.next()
    }
}

/// What a message wants reached or added.
fn wished(message: &str, reading: &Reading, knowledge: &Knowledge) -> DoseWish {
    let add: Vec<Addition> = additions(message, knowledge);
    if !add.is_empty() {
        return DoseWish { add, ..DoseWish::default() };
    }
    DoseWish { to: targets(message, reading, knowledge), ..DoseWish::default() }
}

/// Words after which a product and its amount follow.
const ADDING: [&str; 6] = ["add", "adding", "added", "put", "pour", "dump"];

/// "what if I add 2 lb of soda ash": the words after the verb, up to the end of the clause.
fn additions(message: &str, knowledge: &Knowledge) -> Vec<Addition> {
    let lower = message.to_lowercase();
    let words: Vec<&str> = lower.split_whitespace().collect();
    let Some(at) = words.iter().position(|word| ADDING.contains(word)) else { return Vec::new() };
    let after = words.get(at + 1..).unwrap_or_default().join(" ");
    let clause = after.split(['?', ';', '!']).next().unwrap_or_default();
    let parts = clause.split(" and ").flat_map(|part| part.split(", "));
    let shortened = |part: &str| {
        // The clause may run on ("… of soda ash to it now"): the longest beginning that is an addition.
        let words: Vec<&str> = part.split_whitespace().collect();
        let lengths = (1..=words.len()).rev();
        lengths.filter_map(|n| words.get(..n)).find_map(|words| {
            parse_addition(words.join(" ").trim_end_matches(['.', ',']), knowledge).ok()
        })
    };
    parts.filter_map(shortened).collect()
}

/// "acid to get to 7.5", "get pH down to 7.5", "alk up to 100": the number after `to` and what it is of.
fn targets(message: &str, reading: &Reading, knowledge: &Knowledge) -> Vec<(FactId, f64)> {
    if !reading.asks.contains(&AskKind::Dose) {
        return Vec::new();
    }
    let lower = message.to_lowercase();
    let words: Vec<&str> =
        lower.split_whitespace().map(|word| word.trim_matches(['?', ',', '!', ';'])).collect();
    let number = |at: usize| {
        let word = words.get(at)?.trim_end_matches('.');
        let (value, rest) = split_number(word)?;
        let plain = rest.is_empty() || parse_quantity(word).is_ok();
        plain.then_some(value)
    };
    let places = words.iter().enumerate().filter(|(_, word)| ["to", "at"].contains(*word));
    let Some(value) = places.rev().find_map(|(at, _)| number(at + 1)) else { return Vec::new() };
    let of = aimed_at(reading, &lower, value, knowledge);
    of.into_iter().map(|fact| (fact, value)).collect()
}

/// The reading that a target is of: the one that is named and takes such a value, else what the named product
/// moves.
fn aimed_at(reading: &Reading, lower: &str, value: f64, knowledge: &Knowledge) -> Option<FactId> {
    let words = &knowledge.vocabulary;
    let takes = |id: &FactId| {
        let def = words.get(*id)?;
        let (low, high) = def.plausible.or(def.possible)?;
        (def.name.starts_with("water.") && (low..=high).contains(&value)).then_some(*id)
    };
    if let Some(named) = reading.about.iter().find_map(takes) {
        return Some(named);
    }
    let mut best: Option<(usize, &str)> = None;
    for product in &knowledge.products {
        let moved = match product.family.as_str() {
            "acid" | "carbonate" if value < 14.0 => "water.ph",
            "acid" | "carbonate" => "water.total_alkalinity",
            "calcium" => "water.calcium_hardness",
            "stabilizer" => "water.cyanuric_acid",
            "salt" => "water.salt",
            "borate" => "water.borate",
            _ => "water.free_chlorine",
        };
        // The longest name wins: "dry acid" is not "acid".
        let longest = product.words.iter().filter(|word| lower.contains(word.as_str()));
        let length = longest.map(String::len).max().unwrap_or(0);
        if length > best.map_or(0, |(longest, _)| longest) {
            best = Some((length, moved));
        }
    }
    best.and_then(|(_, name)| words.find(name))
}
