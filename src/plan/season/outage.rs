//! The risk of a power failure: how long the exposed pipe lasts without flow, hour by hour.

use super::super::pad::{Told, exposure, pad, wind_told};
use crate::knowledge::{Equipment, Winter as Words};
use crate::thermal::{Quick, outside_film};
use crate::units::trim_number;
use crate::weather::Series;

/// Lengths that are compared, h.
const LENGTHS_H: [f64; 6] = [1.0, 2.0, 4.0, 8.0, 12.0, 24.0];

/// An outage of one length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outage {
    /// How long, h.
    pub hours: f64,
    /// Share of the freezing hours in which it is long enough for 0 °C in the exposed run.
    pub share: f64,
    /// Whether the user gave this length.
    pub asked: bool,
}

impl Outage {
    /// Whether it is long enough in every freezing hour.
    #[must_use]
    pub fn always(&self) -> bool {
        self.share >= 1.0
    }

    /// The share in words: a digit more near the ends, where whole per cent tell lengths no longer apart.
    #[must_use]
    pub fn told(&self, words: &Words) -> String {
        let percent = self.share * 100.0;
        if self.always() || self.share <= 0.0 {
            return words
                .say(if self.always() { "season_share_all" } else { "season_share_none" }, &[]);
        }
        if percent > 99.9 {
            return words.say("season_share_most", &[]);
        }
        let near_an_end = !(1.5..98.5).contains(&percent);
        let share = trim_number(percent, u8::from(near_an_end));
        words.say("season_share", &[("share", &share)])
    }
}

/// The shortest time the exposed run lasts over all freezing hours, and outages of several lengths
/// beside the one asked about.
pub(super) fn outages(
    equipment: &Equipment,
    told: &dyn Told,
    series: &Series,
    water_c: &[f64],
    asked_h: Option<f64>,
) -> (Option<f64>, Vec<Outage>) {
    let lasts = lasts(equipment, told, series, water_c);
    let Some(shortest) = lasts.iter().copied().min_by(f64::total_cmp) else {
        return (None, Vec::new());
    };
    let mut lengths = LENGTHS_H.to_vec();
    lengths.extend(asked_h);
    lengths.sort_by(f64::total_cmp);
    lengths.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
    let outage = |hours: f64| {
        let reached = lasts.iter().filter(|lasts| **lasts <= hours).count();
        Outage {
            hours,
            share: crate::units::count(reached) / crate::units::count(lasts.len()),
            asked: asked_h.is_some_and(|asked| (asked - hours).abs() < 1e-9),
        }
    };
    (Some(shortest), lengths.into_iter().map(outage).collect())
}

/// How long the exposed run lasts in each freezing hour; in an hour in which it never gets to 0 °C
/// for ever.
fn lasts(equipment: &Equipment, told: &dyn Told, series: &Series, water_c: &[f64]) -> Vec<f64> {
    let pad = pad(equipment, told);
    let Some(part) = pad.parts.iter().find(|part| part.run_m.is_some()) else { return Vec::new() };
    let stated = wind_told(equipment, told);
    let mut lasts = Vec::new();
    for (hour, water) in series.hours().zip(water_c) {
        let Some(air) = hour.air_c.filter(|air| *air < 0.0) else { continue };
        let wind = hour.wind_m_s.or(stated);
        let out = exposure(equipment, part, air, wind, (0.0, 0.0, 0.0));
        let diameter = part.body.outside_diameter_m();
        let film = outside_film(diameter, out.wind_m_s, air, out.sky_c, out.sky_view);
        let quick = Quick::new(&part.body, film.total_w_m2k);
        lasts.push(quick.cool_h(*water, film.surroundings_c).unwrap_or(f64::INFINITY));
    }
    lasts
}
