//! Counts of a series: freeze hours, the longest freeze, what is missing.
//!
//! Nothing is filled in: a missing hour counts neither as cold nor as warm, and ends a freeze.

use chrono::{DateTime, FixedOffset};

use super::series::{Hour, Series};

/// 40 °F, at or below which a pump should run, °C.
const ACTION_C: f64 = 40.0 / 9.0;
/// Room for the last bit of a conversion from °F.
const ROUNDING_K: f64 = 1e-6;

/// A run of hours at or below a temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spell {
    /// First hour.
    pub from: DateTime<FixedOffset>,
    /// Last hour.
    pub to: DateTime<FixedOffset>,
    /// How many hours.
    pub hours: usize,
    /// Lowest temperature in it, °C.
    pub lowest_c: f64,
}

/// Counts over all periods.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Counts {
    /// Hours from first to last of every period, with or without a record.
    pub hours: usize,
    /// Hours without a temperature.
    pub missing_hours: usize,
    /// Hours at or below 4.444 °C (40 °F).
    pub at_or_below_4_4c: usize,
    /// Hours at or below 0 °C.
    pub at_or_below_0c: usize,
    /// The longest run of hours at or below 0 °C.
    pub longest_freeze: Option<Spell>,
    /// Lowest temperature, °C, and when.
    pub lowest: Option<(f64, DateTime<FixedOffset>)>,
    /// Longest gap inside a period, h.
    pub longest_gap_h: usize,
    /// Periods.
    pub periods: usize,
}

/// Counts the series.
#[must_use]
pub fn counts(series: &Series) -> Counts {
    let below = |limit: f64| {
        let cold = |hour: &&Hour| hour.air_c.is_some_and(|air| air <= limit + ROUNDING_K);
        series.hours().filter(cold).count()
    };
    let lowest = series.hours().filter_map(|hour| Some((hour.air_c?, hour.at))).fold(
        None,
        |best: Option<(f64, DateTime<FixedOffset>)>, now| match best {
            Some(best) if best.0 <= now.0 => Some(best),
            _ => Some(now),
        },
    );
    Counts {
        hours: series.hours().count(),
        missing_hours: series.hours().filter(|hour| hour.air_c.is_none()).count(),
        at_or_below_4_4c: below(ACTION_C),
        at_or_below_0c: below(0.0),
        longest_freeze: longest(series),
        lowest,
        longest_gap_h: series.gaps().iter().map(|gap| gap.hours).max().unwrap_or(0),
        periods: series.periods.len(),
    }
}

fn longest(series: &Series) -> Option<Spell> {
    let mut best: Option<Spell> = None;
    for period in &series.periods {
        for spell in spells_at_or_below(period, 0.0) {
            if best.is_none_or(|best| spell.hours > best.hours) {
                best = Some(spell);
            }
        }
    }
    best
}

/// Every run of hours at or below `limit_c`; a missing hour ends a run.
#[must_use]
pub fn spells_at_or_below(hours: &[Hour], limit_c: f64) -> Vec<Spell> {
    let mut spells = Vec::new();
    let mut open: Option<Spell> = None;
    for hour in hours {
        match hour.air_c.filter(|air| *air <= limit_c + ROUNDING_K) {
            None => spells.extend(open.take()),
            Some(air) => match &mut open {
                Some(spell) => {
                    spell.to = hour.at;
                    spell.hours += 1;
                    spell.lowest_c = spell.lowest_c.min(air);
                }
                None => {
                    open = Some(Spell { from: hour.at, to: hour.at, hours: 1, lowest_c: air });
                }
            },
        }
    }
    spells.extend(open);
    spells
}
