//! The plan of a night for a person: worst pool first, what to do, what is in hand.

use super::super::chart::plain_chart;
use super::super::layout::Sheet;
use super::super::style::{Role, View};
use super::{night_chart, shown};
use crate::knowledge::{CheckAt, Urgency};
use crate::plan::{NightPlan, PartTime, Window};
use crate::units::{System, trim_number};
use chrono::{DateTime, FixedOffset};
use std::io::{self, Write};

/// Widest and highest chart.
const CHART: (usize, usize) = (60, 12);
/// Parts listed for one pool.
const PARTS: usize = 8;

/// Writes the plans; one pool alone with its chart, several as a round.
///
/// # Errors
/// The writer's.
pub fn nights_text(
    out: &mut dyn Write,
    plans: &[NightPlan<'_>],
    air: &[(DateTime<FixedOffset>, Option<f64>)],
    assumed: &[String],
    view: View,
) -> io::Result<()> {
    let mut sheet = Sheet::new(out, view);
    let alone = plans.len() == 1;
    for plan in plans {
        if alone || plan.urgency <= Urgency::Today {
            pool(&mut sheet, plan, alone)?;
        } else {
            let line = format!("{}: {}", plan.pool, summary(plan, view.units));
            sheet.gap();
            sheet.paragraph("", &[(Role::Plain, &line)])?;
        }
    }
    if let ([plan], false) = (plans, air.is_empty()) {
        sheet.gap();
        let width = view.width.min(CHART.0);
        for row in plain_chart(&night_chart(plan, air, view.units), width, CHART.1) {
            verbatim(&mut sheet, &row)?;
        }
    }
    if !assumed.is_empty() {
        sheet.gap();
        let text = format!("Forecast: {}.", assumed.join("; "));
        sheet.paragraph("", &[(Role::Aside, &text)])?;
    }
    Ok(())
}

/// A row of a chart: its spaces are kept.
fn verbatim(sheet: &mut Sheet<'_>, row: &str) -> io::Result<()> {
    let kept = row.replace(' ', "\u{a0}");
    sheet.paragraph("", &[(Role::Plain, &kept)])
}

fn pool(sheet: &mut Sheet<'_>, plan: &NightPlan<'_>, alone: bool) -> io::Result<()> {
    let units = sheet.view().units;
    let (role, word) = match plan.urgency {
        Urgency::Now => (Role::Pressing, "NOW"),
        Urgency::Today => (Role::Soon, "TONIGHT"),
        Urgency::Week => (Role::Heading, "THIS WEEK"),
        Urgency::Routine => (Role::Heading, "ROUTINE"),
        Urgency::Info => (Role::Heading, "NOTHING TO DO"),
    };
    sheet.heading(role, &format!("{}: {word}", plan.pool))?;
    sheet.paragraph("   ", &[(Role::Plain, &summary(plan, units))])?;
    pump(sheet, plan, units)?;
    heater(sheet, plan, units)?;
    checks(sheet, plan)?;
    if alone {
        parts(sheet, plan)?;
    } else if let Some(hours) = plan.in_hand_h() {
        let worst = plan.worst_at.map_or_else(String::new, |at| format!(" at {}", clock(at)));
        let text = format!("If it stops{worst}: ice may start in {}.", span(hours));
        sheet.paragraph("   ", &[(Role::Strong, &text)])?;
    }
    if !plan.cautions.is_empty() {
        sheet.heading(Role::Caution, "TAKE CARE")?;
        for caution in &plan.cautions {
            sheet.marked((Role::Caution, " !  "), &[(Role::Plain, &caution.text)])?;
        }
    }
    if alone && !plan.assumed.is_empty() {
        let text = format!("Taken for granted: {}.", plan.assumed.join(", "));
        sheet.gap();
        sheet.paragraph("", &[(Role::Aside, &text)])?;
    }
    Ok(())
}

fn summary(plan: &NightPlan<'_>, units: System) -> String {
    let lowest = plan.lowest.map_or_else(
        || "No temperatures ahead.".to_owned(),
        |(air, at)| format!("Lowest {} at {}.", shown(air, "°C", 0, units), clock(at)),
    );
    let frost = match plan.freezing.as_slice() {
        [] if plan.action.is_empty() => " Nothing at or below 40 °F (4 °C).".to_owned(),
        [] => format!(" No frost; at or below 40 °F (4 °C) {}.", windows(&plan.action)),
        list => format!(" At or below freezing {}.", windows(list)),
    };
    lowest + &frost
}

fn windows(list: &[Window]) -> String {
    let one = |window: &Window| {
        format!("{} to {} ({})", clock(window.from), clock(window.to), span(window.hours))
    };
    let mut text = list.iter().take(3).map(one).collect::<Vec<_>>().join(", ");
    if list.len() > 3 {
        text += &format!(" and {} more times", list.len() - 3);
    }
    text
}

fn pump(sheet: &mut Sheet<'_>, plan: &NightPlan<'_>, units: System) -> io::Result<()> {
    if plan.pump.is_empty() {
        return Ok(());
    }
    let text = format!("Pump: {}.", windows(&plan.pump));
    sheet.paragraph("   ", &[(Role::Strong, &text)])?;
    let Some(speed) = &plan.speed else { return Ok(()) };
    let text = match speed.least_l_min {
        None => "No speed is enough: the water itself is at freezing. Heat it or drain the pad."
            .to_owned(),
        Some(flow) => format!(
            "At {} rpm or more, about {} kW; the exposed run itself needs {} to stay above freezing.",
            trim_number(speed.least_rpm, 0),
            trim_number(speed.kw, 2),
            shown(flow, "L/min", 1, units),
        ),
    };
    sheet.paragraph("   ", &[(Role::Plain, &text)])?;
    if speed.too_low {
        let told = "The set speed is lower than that.";
        sheet.paragraph("   ", &[(Role::Strong, told)])?;
    }
    Ok(())
}

fn heater(sheet: &mut Sheet<'_>, plan: &NightPlan<'_>, units: System) -> io::Result<()> {
    let need = &plan.heater;
    if plan.freezing.is_empty() {
        return Ok(());
    }
    let coldest = shown(need.coldest_c, "°C", 0, units);
    let hold = shown(4.444, "°C", 0, units);
    let text = if need.needed {
        let more = match need.has_kw {
            Some(has) if has < need.kw => ", more than the heater here gives",
            _ => "",
        };
        format!(
            "Heat: the pool would fall to {coldest}. Holding {hold} takes up to {} kW{more}, {} kWh in all.",
            trim_number(need.kw, 0),
            trim_number(need.kwh, 0),
        )
    } else {
        format!("Heat: not needed; the pool falls to {coldest} at the lowest.")
    };
    sheet.paragraph("   ", &[(Role::Plain, &text)])
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

fn parts(sheet: &mut Sheet<'_>, plan: &NightPlan<'_>) -> io::Result<()> {
    let (Some(at), false) = (plan.worst_at, plan.if_stopped.is_empty()) else { return Ok(()) };
    sheet.heading(Role::Heading, &format!("IF IT STOPS AT THE WORST TIME ({})", clock(at)))?;
    for part in plan.if_stopped.iter().take(PARTS) {
        let line = format!("{}: {}", part.title, times(part));
        sheet.paragraph(" -  ", &[(Role::Plain, &line)])?;
    }
    let note = "0 °C is no promise of no ice before: water at rest can skin over earlier, and a plug can split a pipe long before it is blocked.";
    sheet.paragraph("    ", &[(Role::Aside, note)])
}

fn times(part: &PartTime) -> String {
    let Some(cool) = part.cool_h else { return "not at 0 °C within the forecast".to_owned() };
    let low = part.low_h.unwrap_or(cool);
    let ice = if low < 1.0 / 60.0 { "at once".to_owned() } else { format!("in {}", span(low)) };
    let blocked =
        part.freeze_h.map_or_else(String::new, |hours| format!(", blocked in {}", span(hours)));
    format!("ice may start {ice}, likely 0 °C in {}{blocked}", span(cool))
}

/// Hours in words: minutes below two hours.
pub(in crate::render) fn span(hours: f64) -> String {
    if hours < 1.75 {
        let minutes = hours * 60.0;
        let step = if minutes < 10.0 { 1.0 } else { 5.0 };
        let rounded = (minutes / step).round() * step;
        return format!("{} min", trim_number(rounded.max(1.0), 0));
    }
    let decimals = u8::from(hours < 10.0);
    format!("{} h", trim_number((hours * 2.0).round() / 2.0, decimals))
}

fn clock(at: DateTime<FixedOffset>) -> String {
    at.format("%a %H:%M").to_string()
}
