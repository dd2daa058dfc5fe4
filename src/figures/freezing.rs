//! How long still water lasts in the exposed pipe, and how fast ice grows on the pool.

use super::cold::{Air, air, sky_c, words};
use super::told::Known;
use crate::engine::{Calculator, Computed, Inputs, Signature};
use crate::knowledge::Equipment;
use crate::plan::{
    PadPart, Told as _, exposure, pad, pool_heat, water_assumed, wind_assumed, wind_told,
};
use crate::thermal::{
    Estimate, Ice, PoolHour, PoolState, estimate, stefan_thickness_mm, step_hour,
};

/// Hours until still water in the exposed pipe is at 0 °C, and until it is blocked by ice.
#[derive(Debug)]
pub(super) struct Pipe(pub(super) Equipment);

impl Calculator for Pipe {
    fn signature(&self) -> Signature {
        Signature {
            name: "pipe freezing",
            needs: &[],
            uses: &[
                "air.temperature",
                "air.low_ahead",
                "wind.speed",
                "weather.kind",
                "water.temperature",
                "plumbing.exposed",
                "plumbing.diameter",
                "plumbing.insulated",
                "plumbing.drained",
                "pump.running",
                "pump.stopped_for",
                "power.out_for",
            ],
            gives: &["figure.pipe_cool_time", "figure.pipe_slush_time", "figure.pipe_freeze_time"],
        }
    }

    fn compute(&self, inputs: &Inputs<'_>) -> Vec<Computed> {
        let known = Known(inputs);
        let Some(air) = air(&known) else { return Vec::new() };
        let whole = pad(&self.0, &known);
        let Some(pipe) = whole.parts.iter().find(|part| part.run_m.is_some()) else {
            return Vec::new();
        };
        let elapsed_h = match known.flag("pump.running") {
            Some(true) => 0.0,
            _ => known.number("pump.stopped_for").or(known.number("power.out_for")).unwrap_or(0.0),
        };
        let told = self.estimate(&known, air, pipe);
        let method = self.method(&known, air, &whole.assumed, elapsed_h);
        let left = |hours: Option<f64>| hours.map(|hours| (hours - elapsed_h).max(0.0));
        let mut all = Vec::new();
        let mut add =
            |gives, best: Option<f64>, low: Option<f64>, high: Option<f64>, how: String| {
                if let Some(value) = left(best) {
                    let (low, high) = (left(low), left(high));
                    all.push(Computed { gives, value, low, high, method: how });
                }
            };
        let cool = format!(
            "still water to 0 °C: {method}; ice can form at the wall before the mean is at 0 °C, and supercooled water can freeze at once later"
        );
        add("figure.pipe_cool_time", told.cool_h, told.cool_low_h, told.cool_high_h, cool);
        let share = self.0.night.slush_share;
        let between = |cool: Option<f64>, freeze: Option<f64>| {
            cool.zip(freeze).map(|(cool, freeze)| cool + share * (freeze - cool))
        };
        add(
            "figure.pipe_slush_time",
            between(told.cool_h, told.freeze_h),
            between(told.cool_low_h, told.freeze_low_h),
            between(told.cool_high_h, told.freeze_high_h),
            format!(
                "slush, taken as a share of {share} of the freezing done, an assumption of this program: {method}"
            ),
        );
        let freeze =
            format!("blocked right through: {method}; a plug can split the pipe long before");
        add(
            "figure.pipe_freeze_time",
            told.freeze_h,
            told.freeze_low_h,
            told.freeze_high_h,
            freeze,
        );
        all
    }
}

impl Pipe {
    fn estimate(&self, known: &Known<'_>, air: Air, pipe: &PadPart) -> Estimate {
        let water = known.number("water.temperature");
        let start = match water {
            Some(water) => ((water - 0.5).max(0.0), water, water + 0.5),
            None => (2.0, self.0.pool.start_c, 12.0),
        };
        let wind = wind_told(&self.0, known);
        let mut exposed = exposure(&self.0, pipe, air.best_c, wind, start);
        let best = estimate(&pipe.body, &exposed);
        if air.lowest_c >= air.best_c {
            return best;
        }
        // Air that falls further: the low bound is that of the low ahead.
        exposed.air_c = air.lowest_c;
        exposed.clearest_sky_c = air.lowest_c - 20.0;
        let fallen = estimate(&pipe.body, &exposed);
        Estimate { cool_low_h: fallen.cool_low_h, freeze_low_h: fallen.freeze_low_h, ..best }
    }

    fn method(&self, known: &Known<'_>, air: Air, pad: &[String], elapsed_h: f64) -> String {
        let mut taken: Vec<String> =
            pad.iter().filter(|what| !what.contains("pad")).cloned().collect();
        if wind_told(&self.0, known).is_none() {
            taken.push(wind_assumed(&self.0));
        }
        if known.number("water.temperature").is_none() {
            taken.push(water_assumed(&self.0));
        }
        if air.from_low {
            taken.push("the low ahead for the air".to_owned());
        }
        let since = if elapsed_h > 0.0 {
            format!(", {elapsed_h:.1} h since it stopped taken off")
        } else {
            String::new()
        };
        format!(
            "lumped water and wall under wind (Churchill & Bernstein 1977), free convection and \
             radiation, ice growing inward; band from wind, sky and starting water{since}{}",
            words(&taken)
        )
    }
}

/// Ice in the next 24 hours at this air.
#[derive(Debug)]
pub(super) struct IceGrowth(pub(super) Equipment);

impl Calculator for IceGrowth {
    fn signature(&self) -> Signature {
        Signature {
            name: "ice growth",
            needs: &[],
            uses: &[
                "air.temperature",
                "air.low_ahead",
                "wind.speed",
                "weather.kind",
                "water.temperature",
                "ice.surface",
                "ice.thickness",
                "pool.volume",
                "pool.surface_area",
                "pool.kind",
                "cover.kind",
                "cover.on",
            ],
            gives: &["figure.ice_growth"],
        }
    }

    fn compute(&self, inputs: &Inputs<'_>) -> Vec<Computed> {
        let known = Known(inputs);
        let Some(air) = air(&known) else { return Vec::new() };
        let thickness_mm =
            known.number("ice.thickness").unwrap_or(match known.choice("ice.surface") {
                Some("skim") => 3.0,
                Some("solid") => 20.0,
                _ => 0.0,
            });
        if air.best_c >= 0.0 && thickness_mm <= 0.0 {
            return Vec::new();
        }
        let heat = pool_heat(&self.0, &known);
        let water_c = if thickness_mm > 0.0 || !heat.start_known { 0.0 } else { heat.start_c };
        let day = |water_c: f64, snow_mm: f64, wind: f64, cloud: f64| {
            let hour = self.hour(air.best_c, wind, cloud);
            let mut state = PoolState { water_c, ice: Ice { thickness_mm, snow_mm } };
            for _ in 0..24 {
                state = step_hour(&heat.pool, &state, &hour).0;
            }
            state.ice.thickness_mm - thickness_mm
        };
        let settings = &self.0.pool;
        let wind = wind_told(&self.0, &known).unwrap_or(settings.wind_m_s);
        let snow = if known.choice("weather.kind") == Some("snow") { 50.0 } else { 0.0 };
        let value = day(water_c, snow, wind, settings.cloud);
        let low = day(water_c, 50.0, 0.3 * wind, 1.0).min(value);
        let held = (thickness_mm.powi(2) + stefan_thickness_mm(air.best_c, 24.0).powi(2)).sqrt();
        let high = (held - thickness_mm).max(value);
        let mut taken = heat.assumed;
        taken.retain(|what| !what.contains("water at"));
        if !heat.start_known && thickness_mm <= 0.0 {
            taken.push("water already at 0 °C".to_owned());
        }
        let method = format!(
            "hourly heat balance of the mixed pool over 24 h at this air, ice by Stefan with film and \
             snow; high: the surface held at the air's temperature (Stefan's bound); no ice on a pool \
             is safe to stand on{}",
            words(&taken)
        );
        vec![Computed {
            gives: "figure.ice_growth",
            value,
            low: Some(low),
            high: Some(high),
            method,
        }]
    }
}

impl IceGrowth {
    fn hour(&self, air_c: f64, wind_m_s: f64, cloud: f64) -> PoolHour {
        let humidity = self.0.pool.humidity;
        PoolHour {
            air_c,
            humidity,
            wind_m_s,
            sky_c: sky_c(air_c, humidity, cloud),
            sun_w_m2: 0.0,
            rain_mm: 0.0,
            snow_mm: 0.0,
        }
    }
}
