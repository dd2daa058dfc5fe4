//! Plans of a cold night: as text, as JSON, and as a chart.

mod json;
mod text;

use super::chart::{Chart, Guide, Line, Strip};
use crate::plan::{NightPlan, Window};
use crate::units::{System, convert, display_unit, find_unit, unit};
use chrono::{DateTime, FixedOffset, Timelike as _};

pub(super) use json::rounded;
pub use json::{night_json, nights_json_begin, nights_json_end};
pub use text::{NightSheet, Warned};

/// The night of one pool: air, the water in the exposed run if it stops, and the windows.
#[must_use]
pub fn night_chart(
    plan: &NightPlan<'_>,
    air: &[(DateTime<FixedOffset>, Option<f64>)],
    units: System,
) -> Chart {
    let degrees = |celsius: f64| temperature(celsius, units);
    let index = |at: DateTime<FixedOffset>| {
        air.iter().position(|(hour, _)| *hour >= at).unwrap_or(air.len())
    };
    let mut water = vec![None; air.len()];
    for (at, celsius) in &plan.stopped_water {
        if let Some(slot) = water.get_mut(index(*at)) {
            *slot = Some(degrees(*celsius));
        }
    }
    let stretches = |windows: &[Window]| {
        windows.iter().map(|window| (index(window.from), index(window.to))).collect::<Vec<_>>()
    };
    let marks = air
        .iter()
        .enumerate()
        .filter(|(_, (at, _))| at.hour() % 6 == 0)
        .map(|(step, (at, _))| (step, at.format("%a %H:%M").to_string()))
        .collect();
    Chart {
        title: format!("{}: the night ahead", plan.pool),
        unit: unit_shown("°C", units).to_owned(),
        marks,
        lines: vec![
            Line {
                label: "air".to_owned(),
                mark: '*',
                values: air.iter().map(|(_, celsius)| celsius.map(degrees)).collect(),
            },
            Line { label: "pipe if it stops".to_owned(), mark: 'o', values: water },
        ],
        guides: vec![Guide { label: "freezing".to_owned(), value: degrees(0.0) }],
        strips: vec![
            Strip { label: "frost".to_owned(), mark: '#', stretches: stretches(&plan.freezing) },
            Strip { label: "pump runs".to_owned(), mark: '=', stretches: stretches(&plan.pump) },
        ],
    }
}

/// A temperature in the units of the view, as a number.
pub(super) fn temperature(celsius: f64, units: System) -> f64 {
    let Some(canonical) = find_unit("°C") else { return celsius };
    convert(celsius, canonical, display_unit(canonical, units)).unwrap_or(celsius)
}

pub(super) fn unit_shown(canonical: &str, units: System) -> &'static str {
    find_unit(canonical).map_or("", |id| unit(display_unit(id, units)).name)
}
