//! What each kind of part does in each hour of the forecast, computed once: the reduced model that
//! lets a round of thousands of pools be planned in seconds.
//!
//! Within an hour the weather is steady, so the water follows an exponential; freezing adds up shares
//! of the time that freezing through would take in that hour's weather. Against the full enthalpy run
//! under the same hours it stands within 3 % (tests/night.rs).

use crate::knowledge::Equipment;
use crate::plan::pad::{PadPart, exposure};
use crate::thermal::{Exposure, Quick, outside_film, skin_share, sky_temperature_c};
use crate::weather::Hour;

/// Which guess of what is not known.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Corner {
    /// The likely one.
    Best,
    /// Most wind, clear sky.
    Low,
    /// Least wind, no sky.
    High,
}

/// What tells one kind of part from another under one forecast.
pub(super) type Key = [u64; 9];

/// The key of a part.
pub(super) fn key(part: &PadPart, stated_wind: Option<f64>) -> Key {
    let [least, likely, most] = part.wind;
    let body = &part.body;
    [
        body.inner_m,
        body.wall.thickness_m * 1e6 + body.wall.material.conductivity_w_m_k,
        body.insulation.map_or(0.0, |layer| layer.thickness_m),
        body.content.latent_j_m3,
        body.wall.material.density_kg_m3 + body.shape.area(1.0),
        least + 10.0 * part.sky_view,
        likely,
        most,
        stated_wind.unwrap_or(-1.0),
    ]
    .map(f64::to_bits)
}

/// One part in one hour.
#[derive(Clone, Copy, Debug)]
struct Rate {
    surroundings_c: f64,
    slow_s: f64,
    slow_weight: f64,
    /// Share of the difference left after an hour.
    left: f64,
    /// Share of the freezing done in an hour (negative: thawed).
    frozen: f64,
}

/// Hours until 0 °C, until it is slush and until blocked; `None` when not within the forecast.
///
/// Slush has no standard meaning: here it is the time at which a set share of the freezing is done (`slush_share` in
/// `equipment.toml`, a quarter), an assumption of this program and not a measured onset. Dendrites that fill a still
/// pipe can stop the flow sooner.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Times {
    pub(super) cool_h: Option<f64>,
    pub(super) slush_h: Option<f64>,
    pub(super) freeze_h: Option<f64>,
}

/// A part under a forecast.
#[derive(Debug)]
pub(super) struct PartTable {
    best: Vec<Rate>,
    low: Vec<Rate>,
    high: Vec<Rate>,
    /// Skin ice at rest as a share of the stirred time, for water of 2, 5, 10 and 20 °C.
    skin: [(f64, f64); 4],
    /// Share of the freezing at which it is slush.
    slush: f64,
}

impl PartTable {
    pub(super) fn new(
        equipment: &Equipment,
        part: &PadPart,
        hours: &[Hour],
        stated_wind: Option<f64>,
    ) -> Self {
        let rates = |corner: Corner| {
            hours
                .iter()
                .map(|hour| rate(part, &exposed(equipment, part, hour, stated_wind), corner))
                .collect::<Vec<_>>()
        };
        let coldest = hours
            .iter()
            .filter(|hour| hour.air_c.is_some())
            .min_by(|a, b| a.air_c.unwrap_or(0.0).total_cmp(&b.air_c.unwrap_or(0.0)));
        let share = |start: f64| {
            let film = coldest.map(|hour| {
                let told = exposed(equipment, part, hour, stated_wind);
                let diameter = part.body.outside_diameter_m();
                let wind = told.wind_range_m_s.1;
                outside_film(diameter, wind, told.air_c, told.clearest_sky_c, told.sky_view)
            });
            (start, film.map_or(1.0, |film| skin_share(&part.body, &film, start)))
        };
        Self {
            best: rates(Corner::Best),
            low: rates(Corner::Low),
            high: rates(Corner::High),
            skin: [2.0, 5.0, 10.0, 20.0].map(share),
            slush: equipment.night.slush_share,
        }
    }

    fn rates(&self, corner: Corner) -> &[Rate] {
        match corner {
            Corner::Best => &self.best,
            Corner::Low => &self.low,
            Corner::High => &self.high,
        }
    }

    /// Slow time in the first hour, s: how quick the part is.
    pub(super) fn slow_s(&self) -> f64 {
        self.best.first().map_or(f64::INFINITY, |rate| rate.slow_s)
    }

    /// Earliest skin ice as a share of the time to 0 °C, for water starting at `start_c`.
    pub(super) fn skin_share(&self, start_c: f64) -> f64 {
        let mut before = self.skin.first().copied().unwrap_or((0.0, 1.0));
        for &(at, share) in &self.skin {
            if start_c <= at {
                let span = (at - before.0).max(1e-9);
                let part = ((start_c - before.0) / span).clamp(0.0, 1.0);
                return (before.1 + (share - before.1) * part).min(1.0);
            }
            before = (at, share);
        }
        before.1.min(1.0)
    }

    /// The start at which the water is soonest at 0 °C. `water_c` is the pool's water by the hour.
    pub(super) fn worst_start(&self, water_c: &[f64]) -> Option<usize> {
        let mut worst: Option<(usize, f64)> = None;
        // Enough of the forecast must be left to see what follows.
        let last = self.best.len() - (self.best.len() / 3).min(12);
        for (start, water) in water_c.iter().enumerate().take(last) {
            // A later start must be clearly worse: a pool that cools by a hair each hour is none.
            let most = worst.map_or(f64::INFINITY, |(_, hours)| 0.98 * hours);
            if let Some(hours) = cool(&self.best, start, *water, most).filter(|h| *h < most) {
                worst = Some((start, hours));
            }
        }
        worst.map(|(start, _)| start)
    }

    /// Times of water standing from hour `start` on at `from_c`.
    pub(super) fn times(&self, corner: Corner, start: usize, from_c: f64) -> Times {
        let rates = self.rates(corner);
        let Some(cool_h) = cool(rates, start, from_c, f64::INFINITY) else {
            return Times::default();
        };
        let frozen = |share: f64| freeze(rates, start, cool_h, share);
        Times { cool_h: Some(cool_h), slush_h: frozen(self.slush), freeze_h: frozen(1.0) }
    }

    /// Temperature of the standing water at the beginning of each hour from `start` on.
    pub(super) fn water(&self, start: usize, from_c: f64) -> Vec<f64> {
        let mut water = from_c;
        let mut path = vec![water];
        for (step, rate) in self.best.iter().skip(start).enumerate() {
            water = after(rate, water, step == 0).max(0.0);
            path.push(water);
        }
        path
    }
}

/// What the part is exposed to in an hour; the sky by what the hour says of cloud.
fn exposed(
    equipment: &Equipment,
    part: &PadPart,
    hour: &Hour,
    stated_wind: Option<f64>,
) -> Exposure {
    let air_c = hour.air_c.unwrap_or(0.0);
    let wind = hour.wind_m_s.or(stated_wind);
    let told = exposure(equipment, part, air_c, wind, (0.0, 0.0, 0.0));
    let sky_c = hour.cloud.map_or(air_c, |cloud| {
        sky_temperature_c(air_c, hour.humidity.unwrap_or(equipment.pool.humidity), cloud)
    });
    Exposure { sky_c, ..told }
}

fn rate(part: &PadPart, told: &Exposure, corner: Corner) -> Rate {
    let (wind, sky_c) = match corner {
        Corner::Best => (told.wind_m_s, told.sky_c),
        Corner::Low => (told.wind_range_m_s.1, told.clearest_sky_c),
        Corner::High => (told.wind_range_m_s.0, told.air_c),
    };
    let film = outside_film(part.body.outside_diameter_m(), wind, told.air_c, sky_c, told.sky_view);
    let quick = Quick::new(&part.body, film.total_w_m2k);
    let cold = -film.surroundings_c;
    let frozen = if cold > 0.0 {
        3600.0 / (quick.latent_k_s / cold + quick.sensible_s)
    } else {
        3600.0 * cold / quick.latent_k_s
    };
    Rate {
        surroundings_c: film.surroundings_c,
        slow_s: quick.slow_s,
        slow_weight: quick.slow_weight,
        left: (-3600.0 / quick.slow_s).exp(),
        frozen,
    }
}

/// Water after an hour. In the first hour the shell, still warm, holds it up a little.
fn after(rate: &Rate, water: f64, first: bool) -> f64 {
    let weight = if first { rate.slow_weight } else { 1.0 };
    rate.surroundings_c + (water - rate.surroundings_c) * weight * rate.left
}

/// Hours until the water is at 0 °C, looking no further than `most_h`.
fn cool(rates: &[Rate], start: usize, from_c: f64, most_h: f64) -> Option<f64> {
    if from_c <= 0.0 {
        return Some(0.0);
    }
    let mut water = from_c;
    let mut hours = 0.0;
    for (step, rate) in rates.iter().skip(start).enumerate() {
        if hours >= most_h {
            return None;
        }
        let next = after(rate, water, step == 0);
        if next <= 0.0 {
            let weight = if step == 0 { rate.slow_weight } else { 1.0 };
            let ratio = (water - rate.surroundings_c) * weight / -rate.surroundings_c;
            return Some(hours + (rate.slow_s * ratio.ln() / 3600.0).clamp(0.0, 1.0));
        }
        water = next;
        hours += 1.0;
    }
    None
}

/// Hours until such a share of the freezing is done, from `start`, for water at 0 °C after `cool_h`.
fn freeze(rates: &[Rate], start: usize, cool_h: f64, share: f64) -> Option<f64> {
    let mut done = 0.0;
    let mut at = 0.0;
    for rate in rates.iter().skip(start) {
        let from = (cool_h - at).clamp(0.0, 1.0);
        let gained = rate.frozen * (1.0 - from);
        if done + gained >= share {
            return Some(at + from + (share - done) / rate.frozen);
        }
        done = f64::max(done + gained, 0.0);
        at += 1.0;
    }
    None
}
