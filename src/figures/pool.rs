//! What the pool loses: heat, and water by evaporation.

use super::cold::{air, sky_c, words};
use super::told::Known;
use crate::engine::{Calculator, Computed, Inputs, Signature};
use crate::knowledge::Equipment;
use crate::plan::{Told as _, pool_heat, wind_assumed, wind_told};
use crate::thermal::{Losses, Pool, PoolHour, pool_losses};

/// Heat loss and evaporation of the pool as it stands, without sun.
#[derive(Debug)]
pub(super) struct PoolLosses(pub(super) Equipment);

/// One guess of what is not known.
#[derive(Clone, Copy, Debug)]
struct Corner {
    wind_m_s: f64,
    humidity: f64,
    cloud: f64,
    activity: f64,
}

impl Calculator for PoolLosses {
    fn signature(&self) -> Signature {
        Signature {
            name: "pool losses",
            needs: &["water.temperature"],
            uses: &[
                "air.temperature",
                "air.low_ahead",
                "wind.speed",
                "weather.kind",
                "pool.volume",
                "pool.surface_area",
                "pool.kind",
                "cover.kind",
                "cover.on",
                "ice.surface",
            ],
            gives: &["figure.heat_loss", "figure.evaporation"],
        }
    }

    fn compute(&self, inputs: &Inputs<'_>) -> Vec<Computed> {
        let known = Known(inputs);
        let Some(air) = air(&known) else { return Vec::new() };
        if known.choice("ice.surface") == Some("solid") {
            return Vec::new();
        }
        let heat = pool_heat(&self.0, &known);
        let settings = &self.0.pool;
        let wind = wind_told(&self.0, &known);
        let (calm, usual, windy) = match wind {
            Some(wind) => (0.5 * wind, wind, 1.3 * wind),
            None => (settings.wind_least_m_s, settings.wind_m_s, settings.wind_most_m_s),
        };
        let best = Corner {
            wind_m_s: usual,
            humidity: settings.humidity,
            cloud: settings.cloud,
            activity: settings.activity,
        };
        let low = Corner { wind_m_s: calm, humidity: 0.95, cloud: 1.0, ..best };
        let high =
            Corner { wind_m_s: windy, humidity: 0.5, cloud: 0.0, activity: settings.activity_most };
        let at = |corner: Corner| losses(&heat.pool, heat.start_c, air.best_c, corner);
        let (best, low, high) = (at(best), at(low), at(high));
        let mut taken = heat.assumed.clone();
        if wind.is_none() {
            taken.push(wind_assumed(&self.0));
        }
        taken.push(format!("{:.0} % humidity", settings.humidity * 100.0));
        if air.from_low {
            taken.push("the low ahead for the air".to_owned());
        }
        let kw = |losses: &Losses| {
            (losses.surface_w_m2() + losses.ground_w_m2 + losses.inflow_w_m2) * heat.pool.area_m2
                / 1000.0
        };
        let mm = |losses: &Losses| losses.evaporated_mm_h * 24.0;
        let computed = |gives, of: &dyn Fn(&Losses) -> f64, how: &str| Computed {
            gives,
            value: of(&best),
            low: Some(of(&low).min(of(&best))),
            high: Some(of(&high).max(of(&best))),
            method: format!("{how}{}", words(&taken)),
        };
        vec![
            computed(
                "figure.heat_loss",
                &kw,
                "evaporation (ASHRAE form, activity 0.5), convection by Bowen's ratio, long-wave to the \
                 sky, ground; no sun",
            ),
            computed(
                "figure.evaporation",
                &mm,
                "ASHRAE form with activity 0.5 for an unused pool (HVAC Applications); measurements on \
                 unoccupied outdoor pools found up to 0.84 (Jones, Smith & Löf 1992): the high end",
            ),
        ]
    }
}

fn losses(pool: &Pool, water_c: f64, air_c: f64, corner: Corner) -> Losses {
    let pool = Pool { activity: corner.activity, ..*pool };
    let hour = PoolHour {
        air_c,
        humidity: corner.humidity,
        wind_m_s: corner.wind_m_s,
        sky_c: sky_c(air_c, corner.humidity, corner.cloud),
        sun_w_m2: 0.0,
        rain_mm: 0.0,
        snow_mm: 0.0,
    };
    pool_losses(&pool, water_c, &hour)
}
