//! Treatment plans in a conversation: what is asked for, and the facts in hand.

use super::turn::Session;
use super::wish::{Wanted, wanted, without_fill_water};
use crate::advice::{Advised, AnswerQuestion, DoseLineKind, dose_lines, readings_line};
use crate::clock::Moment;
use crate::facts::{ChoiceSet, Fact, FactId, Origin, Value};
use crate::language::Reading;
use crate::plan::{
    Amount, DosePlan, DoseReading, DoseRequest, DoseStep, DoseWish, parse_addition, plan_dose,
    size_said,
};
use crate::problem::{Problem, Span};

/// The heading of what is to be added.
pub(super) const DOSE: &str = "dose";

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
        let mut unread = Vec::new();
        self.open_history(at);
        if let Some(message) = message {
            let (reading, wanted) = self.read_wish(message, at);
            for fact in reading.facts.iter().filter(|fact| !fact.supposed) {
                match &fact.doubt {
                    None => self.talk.take(fact.id, fact.value, Origin::Message, at),
                    Some(why) => doubts.push((fact.id, why.clone())),
                }
            }
            // A number that stands for nothing may have been the volume: it is said rather than passed over.
            let numbers = reading.unread.iter().filter(|one| {
                one.text.contains(|c: char| c.is_ascii_digit()) && !wanted.has_read(one.span)
            });
            unread.extend(numbers.map(|one| format!("`{}`", one.text)));
            if !wish.aims() && wish.add.is_empty() {
                (wish.to, wish.by, wish.add) = (wanted.wish.to, wanted.wish.by, wanted.wish.add);
            }
            wish.prefer.extend(wanted.wish.prefer);
            wish.rain_mm = wish.rain_mm.or(wanted.wish.rain_mm);
            wish.replace = wish.replace.or(wanted.wish.replace);
            wish.fill.extend(wanted.wish.fill);
        }
        let mut plan = self.planned(&wish)?;
        if !unread.is_empty() {
            let fill = [("what", unread.join(", "))];
            let fill = fill.each_ref().map(|(name, value)| (*name, value.as_str()));
            plan.assumed.push(self.base.knowledge().dosing.say("unread", &fill));
        }
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

    /// The numbers that a message states, as of fill water that is told by itself.
    #[must_use]
    pub fn numbers_of(&self, message: &str, at: Moment) -> Vec<(FactId, f64)> {
        let facts = self.read_words(message, at).facts;
        let sound = facts.iter().filter(|fact| fact.doubt.is_none() && !fact.supposed);
        sound.filter_map(|fact| Some((fact.id, fact.value.number()?))).collect()
    }

    /// Reads a message and what it wants of a plan: the numbers that it wants are no readings.
    pub(super) fn read_wish(&self, message: &str, at: Moment) -> (Reading, Wanted) {
        let mut first = self.read(message, at);
        let wanted = self.wanted(message, &first, at);
        self.whole_list(&wanted, &mut first);
        if wanted.used.is_empty() {
            return (first, wanted);
        }
        let mut rest = message.to_owned();
        for span in &wanted.used {
            rest = blanked(&rest, *span).unwrap_or(rest);
        }
        let mut again = self.read(&rest, at);
        self.whole_list(&wanted, &mut again);
        let mut reading = Reading { facts: again.facts, unread: again.unread, ..first };
        for (id, value) in &wanted.from {
            reading.facts.retain(|fact| fact.id != *id || fact.supposed);
            let value = Value::Number(*value);
            reading.facts.push(Fact::stated(*id, value, "", Origin::Message));
        }
        (reading, wanted)
    }

    /// What a message adds to the plan that was asked for last: what is on the van, the size of the pool, the answer to
    /// the plan's own question. It is planned again then.
    pub(super) fn plan_on(&mut self, wanted: &mut Wanted, reading: &Reading) {
        if wanted.asked {
            if wanted.wish.aims() {
                self.talk.wish = Some(wanted.wish.clone());
            }
            return;
        }
        let words = &self.base.knowledge().vocabulary;
        let is = |fact: &Fact, name: &str| words.find(name) == Some(fact.id);
        let answers = |fact: &Fact| Some(fact.id) == self.talk.asked && self.talk.wish.is_some();
        let of_plan = |fact: &Fact| {
            let given = ["chemical.on_hand", "pool.volume", "pool.surface"];
            answers(fact) || given.iter().any(|name| is(fact, name))
        };
        let on = !reading.facts.is_empty()
            && reading.facts.iter().all(|fact| of_plan(fact) && !fact.supposed);
        let Some(mut wish) = self.talk.wish.take().filter(|_| on) else { return };
        // The product that was asked for by name gives way to what there is.
        if reading.facts.iter().any(|fact| is(fact, "chemical.on_hand")) {
            wish.prefer.clear();
        }
        (wanted.asked, wanted.wish) = (true, wish.clone());
        self.talk.wish = Some(wish);
    }

    /// Where one product of a list was read as being on the van, all of the list are.
    fn whole_list(&self, wanted: &Wanted, reading: &mut Reading) {
        let words = &self.base.knowledge().vocabulary;
        let Some((id, def)) =
            words.find("chemical.on_hand").and_then(|id| Some((id, words.get(id)?)))
        else {
            return;
        };
        let stated = |fact: &&mut Fact| fact.id == id && !fact.supposed;
        let Some(fact) = reading.facts.iter_mut().find(stated) else { return };
        let listed = wanted.have.iter().filter_map(|product| def.choice(product));
        let set = listed.fold(fact.value.choices().unwrap_or_default(), ChoiceSet::with);
        fact.value = Value::Choices(set);
    }

    /// What a message wants of a plan, with what it says of fill water read by itself.
    fn wanted(&self, message: &str, reading: &Reading, at: Moment) -> Wanted {
        let knowledge = self.base.knowledge();
        let now = |id: FactId| {
            let said = reading.facts.iter().find(|fact| fact.id == id && !fact.supposed);
            said.and_then(|fact| fact.value.number())
                .or_else(|| self.talk.state.memory().value(id).and_then(Value::number))
        };
        let size = size_said(message, &knowledge.dosing, self.settings.units);
        let sized = size.and_then(|size| blanked(message, size.span));
        let message = sized.as_deref().unwrap_or(message);
        let apart = without_fill_water(message, knowledge);
        let text = apart.as_ref().map_or(message, |(rest, _)| rest.as_str());
        // A pool may be called "Glebe Farm Lower": its name is no wish.
        let unnamed =
            reading.pools.iter().try_fold(text.to_owned(), |text, (_, span)| blanked(&text, *span));
        let text = unnamed.as_deref().unwrap_or(text);
        let mut wanted = wanted(text, reading, knowledge, &now);
        if let Some((_, said)) = apart.filter(|_| wanted.wish.replace.is_some()) {
            wanted.wish.fill = self.numbers_of(&said, at);
        }
        wanted
    }

    /// A plan from the facts in hand.
    fn planned(&self, wish: &DoseWish) -> Result<DosePlan, Vec<Problem>> {
        let known = self.talk.state.memory().known();
        let stated = known.filter(|(_, _, origin)| !matches!(origin, Origin::Derived(_)));
        let mut facts: Vec<Fact> =
            stated.map(|(id, value, origin)| Fact::stated(id, value, "", origin)).collect();
        let borrowed = self.borrowed_temperature(&facts);
        facts.extend(borrowed.as_ref().map(|(fact, _)| fact.clone()));
        let mut plan = plan_dose(&DoseRequest {
            knowledge: self.base.knowledge(),
            facts: &facts,
            wish: wish.clone(),
            system: self.settings.units,
        })?;
        plan.assumed.extend(borrowed.map(|(_, told)| told));
        Ok(plan)
    }

    /// A bare temperature beside a test is the water's, unless it is frost; and what is said of it.
    fn borrowed_temperature(&self, facts: &[Fact]) -> Option<(Fact, String)> {
        let knowledge = self.base.knowledge();
        let water = knowledge.vocabulary.find("water.temperature")?;
        let air = knowledge.vocabulary.find("air.temperature")?;
        if facts.iter().any(|fact| fact.id == water) {
            return None;
        }
        let said = facts.iter().find(|fact| fact.id == air && fact.origin == Origin::Message)?;
        let value = said.value.number().filter(|celsius| *celsius > 0.5)?;
        let value = Value::Number(value);
        let shown = knowledge.vocabulary.get(water)?.show(value, self.settings.units);
        let told = knowledge.dosing.say("said_temperature", &[("value", &shown)]);
        Some((Fact::stated(water, value, "", Origin::Assumed), told))
    }

    /// The plan that a message wants, or why there can be none.
    pub(super) fn dose_wanted(&self, wanted: &Wanted) -> Option<Result<DosePlan, Vec<Problem>>> {
        wanted.asked.then(|| self.planned(&wanted.wish))
    }

    /// The plan for a plain report: of the ranges that apply, where test and volume are known.
    pub(super) fn dose_reported(&self) -> Option<DosePlan> {
        if self.settings.plans_when_asked {
            return None;
        }
        let plan = self.planned(&DoseWish::default()).ok()?;
        let whole = plan.volume_l.is_some() && complete(&plan);
        whole.then_some(plan)
    }

    /// The plan that takes free chlorine to a value, where test and volume are known.
    pub(super) fn dose_to_chlorine(&self, aim: f64) -> Option<DosePlan> {
        let free = self.base.knowledge().vocabulary.find("water.free_chlorine")?;
        let wish = DoseWish { to: vec![(free, aim)], ..DoseWish::default() };
        let plan = self.planned(&wish).ok().filter(|_| !self.settings.plans_when_asked)?;
        (plan.volume_l.is_some() && complete(&plan)).then_some(plan)
    }

    /// What the water reads after some steps of a plan alone.
    pub(super) fn dose_after(&self, plan: &DosePlan, steps: &[&DoseStep]) -> Vec<DoseReading> {
        if steps.len() == plan.steps.len() {
            return plan.after.clone();
        }
        let added = steps.iter().filter_map(|step| {
            let Amount { value, unit, .. } = &step.amount;
            let text = format!("{} {} {value} {unit}", step.product, step.strength);
            parse_addition(&text, self.base.knowledge()).ok()
        });
        let wish = DoseWish { add: added.collect(), ..DoseWish::default() };
        // With nothing to add the water stays as it is.
        let stays = || if plan.mixed.is_empty() { plan.before.clone() } else { plan.mixed.clone() };
        if wish.add.is_empty() {
            return stays();
        }
        self.planned(&wish).map_or_else(|_| stays(), |plan| plan.after)
    }

    /// A plan, or why there is none, as a reply; its questions are asked elsewhere.
    pub(super) fn dose_told(&self, planned: &Result<DosePlan, Vec<Problem>>) -> Advised {
        let heading = DOSE.to_owned();
        match planned {
            Ok(plan) => {
                let told = dose_lines(plan, self.base.knowledge(), self.settings.units);
                let mut number = 0;
                let lines = told.into_iter().filter(|line| line.kind != DoseLineKind::Question);
                let lines = lines.map(|line| match line.kind {
                    DoseLineKind::Step => {
                        number += 1;
                        format!("{number}. {}", line.text)
                    }
                    DoseLineKind::Caution => format!("! {}", line.text),
                    DoseLineKind::Assumed => format!("({})", line.text),
                    _ => line.text,
                });
                Advised { heading, lines: lines.collect(), cites: plan.cites.clone() }
            }
            Err(problems) => {
                let lines = problems.iter().map(|problem| match &problem.help {
                    Some(help) => format!("{}: {help}", problem.message),
                    None => problem.message.clone(),
                });
                Advised { heading, lines: lines.collect(), cites: Vec::new() }
            }
        }
    }

    /// Readings in one line.
    pub(super) fn readings_told(&self, readings: &[DoseReading]) -> String {
        readings_line(readings, self.base.knowledge(), self.settings.units)
    }

    /// What has to be known before a plan: the first of its questions that nobody has said they cannot answer.
    pub(super) fn dose_question(&self, plan: &DosePlan) -> Option<AnswerQuestion> {
        let words = &self.base.knowledge().vocabulary;
        let asked = plan.questions.iter().filter_map(|need| Some((words.find(&need.fact)?, need)));
        let mut open: Vec<_> = asked.filter(|(id, _)| !self.talk.unknown.contains(id)).collect();
        // Without the volume there is no amount at all.
        open.sort_by_key(|(_, need)| need.fact != "pool.volume");
        let (fact, need) = open.into_iter().next()?;
        Some(AnswerQuestion {
            fact,
            name: need.fact.clone(),
            text: need.text.clone(),
            why: need.why.clone(),
        })
    }
}

/// Whether pH and alkalinity are known and go together, so that the whole balance was planned.
pub(super) fn complete(plan: &DosePlan) -> bool {
    let open = ["water.ph", "water.total_alkalinity", "water.total_chlorine"];
    plan.questions.iter().all(|need| !open.contains(&need.fact.as_str()))
}

/// A text with a stretch of it blanked out, all else in its place.
pub(super) fn blanked(text: &str, span: Span) -> Option<String> {
    let (before, after) = (text.get(..span.start)?, text.get(span.end..)?);
    Some(format!("{before}{}{after}", " ".repeat(span.end - span.start)))
}
