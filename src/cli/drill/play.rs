//! A sitting: cases one after another, each told, answered, marked, and tried once more with one thing changed.

use super::super::exit::{Done, Failure};
use super::super::surroundings::Surroundings;
use super::goes::Kept;
use super::input::Input;
use super::pick::{Picked, pick};
use super::{DrillArgs, Format};
use crate::drill::{Case, Ear, Sitting, changed, draw};
use crate::render::{
    drill_case, drill_case_json, drill_heard, drill_heard_json, drill_marks, drill_marks_json,
};
use crate::session::Base;

/// A case takes about so many minutes; a clock that stands still is counted by it.
const MINUTES_A_CASE: u32 = 3;

/// How a case ended.
enum Ended {
    /// It was marked.
    Marked,
    /// It was left.
    Skipped,
    /// Nobody is there any more.
    Left,
}

/// Practises until the time is up, nothing is left, or the trainee leaves.
pub(super) fn play(
    base: &Base,
    kept: &mut Kept,
    args: &DrillArgs,
    around: &mut Surroundings,
) -> Result<Done, Failure> {
    let ear = Ear::new(base.knowledge());
    let mut table =
        Table { base, ear: &ear, kept, args, input: Input::open(args.echo)?, number: 0 };
    let mut skipped: Vec<&str> = Vec::new();
    let begun = around.moment();
    let most = (args.minutes / MINUTES_A_CASE).max(1);
    loop {
        let minutes = around.moment().hours_since(begun) * 60.0;
        let over =
            minutes >= f64::from(args.minutes) || (around.clock_given && table.number >= most);
        if table.number > 0 && (over || args.seed.is_some() || args.case.is_some()) {
            break;
        }
        let Picked::Case(scenario, seed) = pick(
            base.knowledge(),
            table.kept,
            args,
            around.at_for(table.number),
            table.number,
            &skipped,
        )?
        else {
            let told =
                "Nothing is due and nothing is new. `--topic` or `--level` practises all the same.";
            around.note(told);
            break;
        };
        table.number += 1;
        let case = draw(&base.network, scenario, u64::from(seed), around.view.units);
        match table.one(case.clone(), Some(seed), around)? {
            Ended::Left => break,
            Ended::Skipped => {
                skipped.push(&scenario.id);
                continue;
            }
            Ended::Marked => {}
        }
        let Some(other) = changed(&base.network, &case, around.view.units) else { continue };
        if matches!(table.one(other, None, around)?, Ended::Left) {
            break;
        }
    }
    Ok(Done::Answered)
}

/// Says how a case that was left without marks is taken up again.
fn left(sitting: &Sitting<'_>, seed: Option<u32>, around: &Surroundings) {
    let id = &sitting.case.scenario.id;
    if let Some(seed) = seed.filter(|_| sitting.begun()) {
        around.note(&format!(
            "left without marks; nothing of it is kept. Again: brumal drill --case {id} --seed {seed}"
        ));
    }
}

struct Table<'a> {
    base: &'a Base,
    ear: &'a Ear<'a>,
    kept: &'a mut Kept,
    args: &'a DrillArgs,
    input: Input,
    number: u32,
}

impl<'a> Table<'a> {
    /// One case from its telling to its marks. A seed says that it counts; without one it is the same case once more.
    fn one(
        &mut self,
        case: Case<'a>,
        seed: Option<u32>,
        around: &mut Surroundings,
    ) -> Result<Ended, Failure> {
        let base = self.base;
        let mut sitting = Sitting::new(&base.network, self.ear, case, around.view.units);
        match around.format {
            Format::Json => drill_case_json(&mut around.out, &sitting, seed)?,
            Format::Text => {
                let number = seed.map(|_| self.number);
                drill_case(&mut around.out, &sitting, number, around.view)?;
            }
        }
        loop {
            let Some(line) = self.input.next(around)? else {
                if sitting.said() {
                    self.mark(&sitting, seed, around)?;
                } else {
                    left(&sitting, seed, around);
                }
                return Ok(Ended::Left);
            };
            match line.trim().to_lowercase().as_str() {
                "quit" | "exit" | "bye" => {
                    left(&sitting, seed, around);
                    return Ok(Ended::Left);
                }
                "skip" => return Ok(Ended::Skipped),
                "" | "done" if sitting.said() => break,
                "" | "done" => continue,
                _ => {}
            }
            let heard = sitting.say(&line);
            match around.format {
                Format::Json => drill_heard_json(&mut around.out, &heard)?,
                Format::Text => drill_heard(&mut around.out, &heard, around.view)?,
            }
            if heard.harm.is_some() {
                break;
            }
        }
        self.mark(&sitting, seed, around)?;
        Ok(Ended::Marked)
    }

    fn mark(
        &mut self,
        sitting: &Sitting<'a>,
        seed: Option<u32>,
        around: &mut Surroundings,
    ) -> Result<(), Failure> {
        let mark = sitting.mark();
        let words = &self.base.knowledge().vocabulary;
        match around.format {
            Format::Json => drill_marks_json(&mut around.out, sitting, &mark, words)?,
            Format::Text => {
                let how = (seed.is_some(), around.view);
                drill_marks(&mut around.out, sitting, &mark, words, how)?;
            }
        }
        if let Some(seed) = seed {
            let at = around.at_for(self.number - 1);
            self.kept.keep(sitting.case.scenario, seed, at, &mark)?;
            if self.args.seed.is_none() && !self.kept.keeps() && self.number == 1 {
                around.note("nothing is kept: `--no-log` was given");
            }
        }
        Ok(())
    }
}
