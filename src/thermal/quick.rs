//! The reduced model: how long still water in a part lasts, in microseconds.
//!
//! Cooling is two heats in a row (water, shell) solved in closed form; freezing is the quasi-steady
//! front with the sensible heat of ice and shell added. Against the full enthalpy run (`enthalpy`,
//! stirred) on the pipes of the reference set it stands within 3.5 % for the first ice (the
//! worst at −18 °C in 10 m/s) and 0.5 % for blocked; slabs and spheres within 3 % (tests/reference_cold.rs
//! holds them all). The low corner also
//! asks when a skin of ice can form on water at rest, by conduction (`skin`).

mod skin;

use super::body::{Body, Shape};
use super::film::{Film, outside_film};

/// What a part is exposed to, with what is not known for sure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exposure {
    /// Air, °C.
    pub air_c: f64,
    /// Wind at the part, m/s: best guess.
    pub wind_m_s: f64,
    /// Least and most wind it may be.
    pub wind_range_m_s: (f64, f64),
    /// Water when it stops, °C.
    pub start_c: f64,
    /// Least and most it may be.
    pub start_range_c: (f64, f64),
    /// Temperature of the sky taken for the best guess, °C (the air's own when it is not known).
    pub sky_c: f64,
    /// Temperature of the clearest sky it may be, °C: for the low bound.
    pub clearest_sky_c: f64,
    /// Share of the part's view that is sky (0–1).
    pub sky_view: f64,
}

impl Exposure {
    /// A part in the open with nothing more known than air, wind and water: the wind at the part
    /// may be 0.3 to 1.3 of what was said, the water half a kelvin off, the sky clear (20 K below
    /// the air, a solar-energy text after ISO, see FACTS F21) over half its view.
    #[must_use]
    pub fn open(air_c: f64, wind_m_s: f64, start_c: f64) -> Self {
        Self {
            air_c,
            wind_m_s,
            wind_range_m_s: ((0.3 * wind_m_s).max(0.2).min(wind_m_s), (1.3 * wind_m_s).max(0.5)),
            start_c,
            start_range_c: ((start_c - 0.5).max(0.0), start_c + 0.5),
            sky_c: air_c,
            clearest_sky_c: air_c - 20.0,
            sky_view: 0.5,
        }
    }
}

/// Hours until still water reaches 0 °C, and until it is blocked by ice; `None` when it never
/// does under these conditions.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Estimate {
    /// Best estimate of reaching 0 °C, h.
    pub cool_h: Option<f64>,
    /// Earliest: windiest, coldest start, clear sky, water at rest with ice at its skin first.
    pub cool_low_h: Option<f64>,
    /// Latest: sheltered, warmest start.
    pub cool_high_h: Option<f64>,
    /// Best estimate of blocked, h from the start.
    pub freeze_h: Option<f64>,
    /// Earliest blocked.
    pub freeze_low_h: Option<f64>,
    /// Latest blocked.
    pub freeze_high_h: Option<f64>,
}

/// A body under one film, reduced to six numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quick {
    /// Slow time of the cooling, s.
    pub slow_s: f64,
    /// Fast time of the cooling (the shell answering), s.
    pub fast_s: f64,
    /// Weight of the slow part; above one, since the shell answers late.
    pub slow_weight: f64,
    /// Freezing through: kelvin-seconds of cold for the latent heat.
    pub latent_k_s: f64,
    /// Freezing through: seconds for the sensible heat, whatever the cold.
    pub sensible_s: f64,
}

impl Quick {
    /// Reduces `body` under a film of `film_w_m2k`.
    #[must_use]
    pub fn new(body: &Body, film_w_m2k: f64) -> Self {
        let (slow_s, fast_s, slow_weight) = cooling(body, film_w_m2k);
        let (latent_k_s, sensible_s) = freezing(body, film_w_m2k);
        Self { slow_s, fast_s, slow_weight, latent_k_s, sensible_s }
    }

    /// Hours until the water, `start_c` at first like its shell, reaches 0 °C.
    #[must_use]
    pub fn cool_h(&self, start_c: f64, surroundings_c: f64) -> Option<f64> {
        if start_c <= 0.0 {
            return Some(0.0);
        }
        if surroundings_c >= 0.0 {
            return None;
        }
        let goal = -surroundings_c / (start_c - surroundings_c);
        let weight = self.slow_weight;
        let mut seconds = self.slow_s * (weight / goal).ln();
        // The fast part only matters at first; a few Newton rounds settle it.
        for _ in 0..4 {
            let slow = weight * (-seconds / self.slow_s).exp();
            let fast = (1.0 - weight) * (-seconds / self.fast_s).exp();
            let slope = -slow / self.slow_s - fast / self.fast_s;
            if slope.abs() < 1e-300 {
                break;
            }
            seconds = (seconds - (slow + fast - goal) / slope).max(0.0);
        }
        Some(seconds / 3600.0)
    }

    /// Hours from 0 °C to blocked (99.9 % ice).
    #[must_use]
    pub fn freeze_through_h(&self, surroundings_c: f64) -> Option<f64> {
        (surroundings_c < 0.0)
            .then(|| (self.latent_k_s / -surroundings_c + self.sensible_s) / 3600.0)
    }
}

/// Slow and fast time and the weight of the slow one, for water and shell in a row.
fn cooling(body: &Body, film_w_m2k: f64) -> (f64, f64, f64) {
    let water = body.water_heat();
    let (shell, wall) = body.shell_heat();
    // Foam holds little; two fifths of it follow the wall (its own profile falls off outwards).
    let shell = (wall + 0.4 * (shell - wall)).max(1e-6 * water);
    let inner = (body.wall_resistance() / 2.0).max(1e-9);
    let outer = (body.total_resistance(film_w_m2k) - inner).max(1e-9);
    let (a, b, c) = (1.0 / (water * inner), 1.0 / (shell * inner), 1.0 / (shell * outer));
    let half = (a + b + c) / 2.0;
    let root = (half * half - a * c).max(0.0).sqrt();
    let fast = half + root;
    let slow = a * c / fast;
    (1.0 / slow, 1.0 / fast, fast / (fast - slow))
}

/// Share of the quasi-steady sensible heat that counts. The steady profile gives the ice more cold than
/// it has had time to take; fitted to full runs (tests/reference_cold.rs).
fn sensible_share(shape: Shape) -> f64 {
    match shape {
        Shape::Slab => 0.75,
        Shape::Cylinder => 0.55,
        Shape::Sphere => 0.25,
    }
}

/// Kelvin-seconds for the latent heat, and seconds for the sensible heat, of freezing through.
///
/// t = ∫ R(x) dE(x) / cold over the front's way in; E is the latent heat of the frozen shell plus
/// the heat that ice, wall and insulation give off as their steady profile falls with the front.
fn freezing(body: &Body, film_w_m2k: f64) -> (f64, f64) {
    const STEPS: u32 = 16;
    let shape = body.shape;
    let conductivity = body.content.frozen_conductivity_w_m_k;
    let around = body.total_resistance(film_w_m2k);
    let (wall, insulation) = (body.wall_resistance(), body.insulation_resistance());
    let (shell_heat, wall_heat) = body.shell_heat();
    let stage = |x: f64| {
        let ice = shape.resistance(x, body.inner_m) / conductivity;
        let total = around + ice;
        let frozen =
            body.content.frozen_heat_j_m3_k * shape.shell_integral(x, body.inner_m) / conductivity;
        let walls = wall_heat * (ice + wall / 2.0)
            + (shell_heat - wall_heat) * (ice + wall + insulation / 2.0);
        (total, (frozen + walls) / total)
    };
    let volume = shape.volume(body.inner_m);
    let latent = body.content.latent_j_m3
        * (volume * around + shape.freezing_integral(body.inner_m) / conductivity);
    let mut before = stage(body.inner_m);
    let mut sensible = 0.0;
    for step in 1..=STEPS {
        // Shares of what is left: fine at the end, where the profile falls fastest.
        let rest = (1.0 - f64::from(step) / f64::from(STEPS)).powi(2).max(1e-3);
        let now = stage(shape.front(body.inner_m, rest));
        sensible += f64::midpoint(before.0, now.0) * (now.1 - before.1);
        before = now;
    }
    (latent, sensible_share(shape) * sensible)
}

/// Best estimate and corners for `body` under `exposure`.
///
/// Low: most wind, coldest start, clearest sky, and the earlier of stirred and resting water.
/// High: least wind, warmest start, no sky.
#[must_use]
pub fn estimate(body: &Body, exposure: &Exposure) -> Estimate {
    let film = |wind: f64, sky_c: f64| {
        let view = exposure.sky_view;
        outside_film(body.outside_diameter_m(), wind, exposure.air_c, sky_c, view)
    };
    let best = film(exposure.wind_m_s, exposure.sky_c);
    let (calm, windy) = exposure.wind_range_m_s;
    let low = film(windy, exposure.clearest_sky_c);
    let high = film(calm, exposure.air_c);
    let times = |film: &Film, start_c: f64| {
        let quick = Quick::new(body, film.total_w_m2k);
        let cool = quick.cool_h(start_c, film.surroundings_c);
        let through = quick.freeze_through_h(film.surroundings_c);
        (cool, cool.zip(through).map(|(cool, through)| cool + through))
    };
    let (cool_h, freeze_h) = times(&best, exposure.start_c);
    let (stirred, freeze_low_h) = times(&low, exposure.start_range_c.0);
    let (cool_high_h, freeze_high_h) = times(&high, exposure.start_range_c.1);
    let cool_low_h = stirred.map(|stirred| {
        let start = exposure.start_range_c.0;
        skin::first_ice_h(body, &low, start, stirred).unwrap_or(stirred).min(stirred)
    });
    Estimate { cool_h, cool_low_h, cool_high_h, freeze_h, freeze_low_h, freeze_high_h }
}

/// Earliest ice at the skin of resting water as a share of the stirred time to 0 °C (0–1), for water
/// of `start_c` under a film.
#[must_use]
pub fn skin_share(body: &Body, film: &Film, start_c: f64) -> f64 {
    let quick = Quick::new(body, film.total_w_m2k);
    let Some(stirred) = quick.cool_h(start_c, film.surroundings_c).filter(|h| *h > 0.0) else {
        return 1.0;
    };
    let skin = skin::first_ice_h(body, film, start_c, stirred).unwrap_or(stirred);
    (skin / stirred).min(1.0)
}
