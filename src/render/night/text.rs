//! The plan of a night for a person: worst pool first, what to do, what is in hand.

use super::super::chart::plain_chart;
use super::super::layout::Sheet;
use super::super::style::{Role, View};
use super::night_chart;
use crate::advice::{clock_words, night_lines, part_row, unable_line};
use crate::knowledge::{CheckAt, Urgency, Winter};
use crate::plan::NightPlan;
use crate::units::trim_number;
use chrono::{DateTime, FixedOffset};
use std::collections::BTreeSet;
use std::io::{self, Write};

/// Widest and highest chart.
const CHART: (usize, usize) = (60, 12);
/// Parts listed for one pool.
const PARTS: usize = 10;
/// Columns of the table of parts, without the name.
const COLUMNS: [usize; 3] = [13, 13, 13];

/// The cautions that a round has been told already, by their ids: each is said once, with the worst pool that calls for it.
pub type Warned = BTreeSet<String>;

/// What stands over a plan, and how it is told.
#[derive(Clone, Copy, Debug)]
pub struct NightSheet<'k> {
    /// The wording.
    pub words: &'k Winter,
    /// Whether it is the only pool: told in full, and drawn.
    pub alone: bool,
    /// Whether nothing was written before it.
    pub first: bool,
    /// Share of the freezing at which water is called slush.
    pub slush_share: f64,
    /// How it is written.
    pub view: View,
}

impl NightSheet<'_> {
    /// Writes a plan: in full when it is pressing or alone, else in a line. What `warned` holds is not said again.
    ///
    /// # Errors
    /// The writer's.
    pub fn plan(
        &self,
        out: &mut dyn Write,
        plan: &NightPlan<'_>,
        warned: &mut Warned,
    ) -> io::Result<()> {
        if !self.first {
            writeln!(out)?;
        }
        let mut sheet = Sheet::new(out, self.view);
        if self.alone || plan.urgency <= Urgency::Today {
            return self.pool(&mut sheet, plan, warned);
        }
        let lines = night_lines(plan, self.words, self.view.units);
        let line = lines.first().map_or("", |line| line.text.as_str());
        sheet.paragraph("", &[(Role::Plain, &format!("{}: {line}", plan.pool))])
    }

    /// Writes the chart of a plan.
    ///
    /// # Errors
    /// The writer's.
    pub fn chart(
        &self,
        out: &mut dyn Write,
        plan: &NightPlan<'_>,
        air: &[(DateTime<FixedOffset>, Option<f64>)],
    ) -> io::Result<()> {
        writeln!(out)?;
        let mut sheet = Sheet::new(out, self.view);
        let width = self.view.width.min(CHART.0);
        for row in plain_chart(&night_chart(plan, air, self.view.units), width, CHART.1) {
            verbatim(&mut sheet, Role::Plain, &row)?;
        }
        Ok(())
    }

    /// Writes what was assumed of the forecast.
    ///
    /// # Errors
    /// The writer's.
    pub fn end(&self, out: &mut dyn Write, assumed: &[String]) -> io::Result<()> {
        if assumed.is_empty() {
            return Ok(());
        }
        writeln!(out)?;
        let mut sheet = Sheet::new(out, self.view);
        let text = self.words.say("night_forecast", &[("what", &assumed.join("; "))]);
        sheet.paragraph("", &[(Role::Aside, &text)])
    }

    fn pool(
        &self,
        sheet: &mut Sheet<'_>,
        plan: &NightPlan<'_>,
        warned: &mut Warned,
    ) -> io::Result<()> {
        let (role, word) = match plan.urgency {
            Urgency::Now => (Role::Pressing, "NOW"),
            Urgency::Today => (Role::Soon, "TONIGHT"),
            Urgency::Week => (Role::Heading, "THIS WEEK"),
            Urgency::Routine => (Role::Heading, "ROUTINE"),
            Urgency::Info => (Role::Heading, "NOTHING TO DO"),
        };
        sheet.heading(role, &format!("{}: {word}", plan.pool))?;
        for line in night_lines(plan, self.words, self.view.units) {
            let role = if line.strong { Role::Strong } else { Role::Plain };
            sheet.paragraph("   ", &[(role, &line.text)])?;
        }
        checks(sheet, plan)?;
        if self.alone {
            self.parts(sheet, plan)?;
        } else if let Some(text) = unable_line(plan, self.words) {
            sheet.paragraph("   ", &[(Role::Strong, &text)])?;
        }
        let cautions: Vec<_> =
            plan.cautions.iter().filter(|caution| warned.insert(caution.id.clone())).collect();
        if !cautions.is_empty() {
            sheet.heading(Role::Caution, "TAKE CARE")?;
            for caution in cautions {
                sheet.marked((Role::Caution, " !  "), &[(Role::Plain, &caution.text)])?;
            }
        }
        if self.alone && !plan.assumed.is_empty() {
            let text = self.words.say("taken", &[("what", &plan.assumed.join(", "))]);
            sheet.gap();
            sheet.paragraph("", &[(Role::Aside, &text)])?;
        }
        Ok(())
    }

    fn band(&self) -> String {
        let share = trim_number(self.slush_share * 100.0, 0);
        self.words.say("night_band", &[("slush", &share)])
    }

    /// The table of parts: from when ice may start, slush, blocked, each from its early to its late end.
    fn parts(&self, sheet: &mut Sheet<'_>, plan: &NightPlan<'_>) -> io::Result<()> {
        let (Some(at), false) = (plan.worst_at, plan.if_stopped.is_empty()) else { return Ok(()) };
        let worst = clock_words(at);
        sheet.heading(Role::Heading, &self.words.say("night_table", &[("worst", &worst)]))?;
        let head = ["part", "ice from", "slush", "blocked"].map(str::to_owned);
        row(sheet, Role::Strong, &head)?;
        for part in plan.if_stopped.iter().take(PARTS) {
            row(sheet, Role::Plain, &part_row(part, self.words))?;
        }
        sheet.paragraph("   ", &[(Role::Aside, &self.band())])
    }
}

/// A row of the table; a name too long for its column has a line of its own.
fn row(sheet: &mut Sheet<'_>, role: Role, cells: &[String; 4]) -> io::Result<()> {
    let [name, rest @ ..] = cells;
    let total: usize = COLUMNS.iter().sum();
    let room = sheet.view().width.min(CHART.0).saturating_sub(total);
    let mut line = String::new();
    if name.chars().count() < room {
        line = format!("{name:<room$}");
    } else {
        verbatim(sheet, role, name)?;
        line.push_str(&" ".repeat(room));
    }
    for (cell, width) in rest.iter().zip(COLUMNS) {
        line.push_str(&format!("{cell:<width$}"));
    }
    verbatim(sheet, role, line.trim_end())
}

/// A row whose spaces are kept.
fn verbatim(sheet: &mut Sheet<'_>, role: Role, row: &str) -> io::Result<()> {
    let kept = row.replace(' ', "\u{a0}");
    sheet.paragraph("", &[(role, &kept)])
}

fn checks(sheet: &mut Sheet<'_>, plan: &NightPlan<'_>) -> io::Result<()> {
    let mut under = None;
    for (at, check) in plan.checks.iter().enumerate() {
        if under != check.at {
            under = check.at;
            let (role, heading) = match check.at {
                Some(CheckAt::Now) => (Role::Pressing, "DO NOW"),
                Some(CheckAt::FirstLight) => (Role::Heading, "AT FIRST LIGHT"),
                _ => (Role::Soon, "BEFORE BED"),
            };
            sheet.heading(role, heading)?;
        }
        sheet.paragraph(&format!("{:>2}. ", at + 1), &[(Role::Plain, &check.text)])?;
    }
    Ok(())
}
