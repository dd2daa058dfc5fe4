//! The pool's own heat: what it loses, and how it cools, freezes and thaws hour by hour.
//!
//! The water is taken as mixed (the pump runs, or wind and cooling turn it over); ice forms only
//! when all of it is at 0 °C, while a real pool at rest skins over earlier.

use super::air::{latent_heat_kj_kg, vapour_pressure_kpa};
use super::ice::Ice;
use super::material::constants::{
    FUSION_J_KG, ICE_DENSITY_KG_M3, STEFAN_BOLTZMANN, WATER_DENSITY_KG_M3, WATER_HEAT_J_KG_K,
    ZERO_C_K,
};

const SNOW_DENSITY_KG_M3: f64 = 200.0;
const SECONDS: f64 = 3600.0;

/// What a cover does, as factors on a bare surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cover {
    /// Share of the evaporation left (1 bare).
    pub evaporation: f64,
    /// Resistance added between water and outside, m² K/W (0 bare).
    pub resistance_m2k_w: f64,
    /// Share of the sun let into the water.
    pub sun: f64,
}

impl Cover {
    /// No cover.
    pub const NONE: Self = Self { evaporation: 1.0, resistance_m2k_w: 0.0, sun: 1.0 };
}

/// A pool as the heat sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pool {
    /// Water surface, m².
    pub area_m2: f64,
    /// Volume, L.
    pub volume_l: f64,
    /// Wall and floor touching the ground, m².
    pub ground_area_m2: f64,
    /// Conductance to the ground, W/(m² K).
    pub ground_w_m2k: f64,
    /// Ground temperature, °C.
    pub ground_c: f64,
    /// Activity factor of the evaporation: 1 public, 0.5 an unused pool (ASHRAE Handbook HVAC
    /// Applications, natatoriums).
    pub activity: f64,
    /// Convection as a share of what Bowen's ratio makes of the ASHRAE coefficient: 0.75, for unoccupied
    /// outdoor pools were measured at 72 to 84 % of it (Jones, Smith & Löf 1992).
    pub convection: f64,
    /// Wind at the water as a share of the wind given.
    pub wind_share: f64,
    /// Temperature of water let in to make up, °C.
    pub make_up_c: f64,
    /// Cover over it.
    pub cover: Cover,
    /// Heat from the pump that stays in the water, W.
    pub pump_w: f64,
    /// Heater: most heat, W, and the temperature it holds, °C.
    pub heater_w: f64,
    /// Temperature the heater holds, °C.
    pub hold_c: f64,
}

/// An hour of weather over the pool.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PoolHour {
    /// Air, °C.
    pub air_c: f64,
    /// Relative humidity, 0–1.
    pub humidity: f64,
    /// Wind as given, m/s.
    pub wind_m_s: f64,
    /// Sky as a black body, °C.
    pub sky_c: f64,
    /// Sun on the level surface, W/m².
    pub sun_w_m2: f64,
    /// Rain, mm.
    pub rain_mm: f64,
    /// Snow, mm of settled depth.
    pub snow_mm: f64,
}

/// The pool's state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PoolState {
    /// Water, °C.
    pub water_c: f64,
    /// Ice and snow on it.
    pub ice: Ice,
}

/// Heat out of the water by each way, W/m² of surface (sun, ground and the rest may be negative:
/// heat gained).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Losses {
    /// Evaporation.
    pub evaporation_w_m2: f64,
    /// Convection.
    pub convection_w_m2: f64,
    /// Long-wave to the sky.
    pub longwave_w_m2: f64,
    /// Sun taken in (negative).
    pub sun_w_m2: f64,
    /// To the ground.
    pub ground_w_m2: f64,
    /// Make-up, rain and snow brought to the water's temperature.
    pub inflow_w_m2: f64,
    /// Pump and heater (negative).
    pub heater_w_m2: f64,
    /// Pump heat (negative).
    pub pump_w_m2: f64,
    /// Water evaporated, mm an hour.
    pub evaporated_mm_h: f64,
}

impl Losses {
    /// All of it, W/m².
    #[must_use]
    pub fn total_w_m2(&self) -> f64 {
        self.evaporation_w_m2
            + self.convection_w_m2
            + self.longwave_w_m2
            + self.sun_w_m2
            + self.ground_w_m2
            + self.inflow_w_m2
            + self.heater_w_m2
            + self.pump_w_m2
    }

    /// What leaves through the surface, W/m²: evaporation, convection, long-wave.
    #[must_use]
    pub fn surface_w_m2(&self) -> f64 {
        self.evaporation_w_m2 + self.convection_w_m2 + self.longwave_w_m2
    }
}

/// Evaporation, kg/(s m²): (pw − pa)(0.089 + 0.0782 v)/Y in kPa, m/s and kJ/kg, times `activity`.
///
/// Carrier 1918 as in the ASHRAE Handbook HVAC Applications, natatoriums; 95 + 0.425 v in ft/min
/// and inches of mercury in Smith, Löf & Jones 1998, ASHRAE Transactions 104. Never below 0: dew on
/// the pool is left out.
#[must_use]
pub fn evaporation_kg_s_m2(
    water_c: f64,
    air_c: f64,
    humidity: f64,
    wind_m_s: f64,
    activity: f64,
) -> f64 {
    let deficit = vapour_pressure_kpa(water_c) - humidity * vapour_pressure_kpa(air_c);
    (activity * deficit * wind_w_m2_kpa(wind_m_s) / 1000.0 / latent_heat_kj_kg(water_c)).max(0.0)
}

fn wind_w_m2_kpa(wind_m_s: f64) -> f64 {
    89.0 + 78.2 * wind_m_s.max(0.0)
}

/// Film by convection, W/(m² K): the ASHRAE evaporation coefficient by Bowen's ratio (Bowen 1926,
/// Physical Review 27:779, 0.46 per mmHg, 0.0613 per kPa).
fn convection_w_m2k(wind_m_s: f64) -> f64 {
    0.0613 * wind_w_m2_kpa(wind_m_s)
}

/// What the pool loses at this state in this hour, with no ice on it.
#[must_use]
pub fn pool_losses(pool: &Pool, water_c: f64, hour: &PoolHour) -> Losses {
    let wind = hour.wind_m_s * pool.wind_share;
    let evaporated = evaporation_kg_s_m2(water_c, hour.air_c, hour.humidity, wind, pool.activity)
        * pool.cover.evaporation;
    let convection = pool.convection * convection_w_m2k(wind);
    let kelvin = |c: f64| c + ZERO_C_K;
    let longwave = 0.95 * STEFAN_BOLTZMANN * (kelvin(water_c).powi(4) - kelvin(hour.sky_c).powi(4));
    // A cover's resistance stands before the outside film of convection and radiation.
    let shield = 1.0 / (1.0 + pool.cover.resistance_m2k_w * (convection + 4.6));
    let inflow =
        evaporated * WATER_HEAT_J_KG_K * (water_c - pool.make_up_c) + falling_w_m2(water_c, hour);
    Losses {
        evaporation_w_m2: evaporated * latent_heat_kj_kg(water_c) * 1000.0,
        convection_w_m2: convection * (water_c - hour.air_c) * shield,
        longwave_w_m2: longwave * shield,
        sun_w_m2: -0.92 * hour.sun_w_m2 * pool.cover.sun,
        ground_w_m2: pool.ground_w_m2k * pool.ground_area_m2 / pool.area_m2
            * (water_c - pool.ground_c),
        inflow_w_m2: inflow,
        heater_w_m2: 0.0,
        pump_w_m2: -pool.pump_w / pool.area_m2,
        evaporated_mm_h: evaporated * SECONDS,
    }
}

/// Heat taken by rain (at the air's temperature) and snow falling into water, W/m²; the same mass
/// of pool water leaves over the edge.
fn falling_w_m2(water_c: f64, hour: &PoolHour) -> f64 {
    let rain = hour.rain_mm * WATER_HEAT_J_KG_K * (water_c - hour.air_c.max(0.0));
    let snow_kg = hour.snow_mm / 1000.0 * SNOW_DENSITY_KG_M3;
    (rain + snow_kg * (FUSION_J_KG + WATER_HEAT_J_KG_K * water_c)) / SECONDS
}

impl Pool {
    /// Heat to change the water by a kelvin, J/(m² K) of surface.
    fn heat_j_m2_k(&self) -> f64 {
        self.volume_l / 1000.0 * WATER_DENSITY_KG_M3 * WATER_HEAT_J_KG_K / self.area_m2
    }

    /// Heat held at a state, J for each m² of surface, from liquid at 0 °C without ice.
    #[must_use]
    pub fn energy_j_m2(&self, state: &PoolState) -> f64 {
        let frozen =
            state.ice.thickness_mm * ICE_DENSITY_KG_M3 + state.ice.snow_mm * SNOW_DENSITY_KG_M3;
        self.heat_j_m2_k() * state.water_c - frozen / 1000.0 * FUSION_J_KG
    }
}

/// One hour on: the new state, and what went where. The losses times the hour are the change of
/// the heat held, to rounding.
#[must_use]
pub fn step_hour(pool: &Pool, state: &PoolState, hour: &PoolHour) -> (PoolState, Losses) {
    if state.ice.thickness_mm > 0.0 || state.ice.snow_mm > 0.0 {
        return iced_hour(pool, state, hour);
    }
    let mut losses = pool_losses(pool, state.water_c, hour);
    let heat = pool.heat_j_m2_k();
    let unheated = state.water_c - losses.total_w_m2() * SECONDS / heat;
    let wanted = ((pool.hold_c - unheated) * heat / SECONDS).max(0.0);
    losses.heater_w_m2 = -wanted.min(pool.heater_w / pool.area_m2);
    let energy = pool.energy_j_m2(state) - losses.total_w_m2() * SECONDS;
    (settle(pool, energy, 0.0), losses)
}

/// The state that holds `energy`, J/m², with `snow_mm` lying on ice if there is ice.
fn settle(pool: &Pool, energy: f64, snow_mm: f64) -> PoolState {
    if energy >= 0.0 {
        let water_c = energy / pool.heat_j_m2_k();
        return PoolState { water_c, ice: Ice::default() };
    }
    let frozen_kg = -energy / FUSION_J_KG;
    let snow_kg = (snow_mm / 1000.0 * SNOW_DENSITY_KG_M3).min(frozen_kg);
    let ice = Ice {
        thickness_mm: (frozen_kg - snow_kg) / ICE_DENSITY_KG_M3 * 1000.0,
        snow_mm: snow_kg / SNOW_DENSITY_KG_M3 * 1000.0,
    };
    PoolState { water_c: 0.0, ice }
}

/// An hour with ice on the pool: heat leaves through ice and snow, the rest feeds or melts it.
/// Evaporation from ice is left out. The water below is brought to 0 °C first.
fn iced_hour(pool: &Pool, state: &PoolState, hour: &PoolHour) -> (PoolState, Losses) {
    let wind = hour.wind_m_s * pool.wind_share;
    let (convection, radiation) = (pool.convection * convection_w_m2k(wind), 4.6);
    let film = convection + radiation;
    let sun = 0.4 * hour.sun_w_m2 * pool.cover.sun;
    let shielded = 1.0 / (1.0 / film + pool.cover.resistance_m2k_w);
    let outside_c =
        (convection * hour.air_c + radiation * hour.sky_c + sun * shielded / film) / film;
    let through = 1.0
        / (1.0 / shielded
            + if outside_c < 0.0 {
                // Halfway through the hour's growth, so that a first thin skin doesn't run away.
                let grown = state.ice.after(outside_c, shielded, 0.5);
                grown.resistance_m2k_w()
            } else {
                0.0
            });
    let (air_part, sky_part) = (convection / film, radiation / film);
    let snow_j = hour.snow_mm / 1000.0 * SNOW_DENSITY_KG_M3 * FUSION_J_KG;
    let sun_in = sun * shielded / film / film * through;
    let mut losses = Losses {
        convection_w_m2: -through * air_part * hour.air_c,
        longwave_w_m2: -through * sky_part * hour.sky_c,
        sun_w_m2: -sun_in,
        ground_w_m2: pool.ground_w_m2k * pool.ground_area_m2 / pool.area_m2 * -pool.ground_c,
        inflow_w_m2: snow_j / SECONDS
            - hour.rain_mm * WATER_HEAT_J_KG_K * hour.air_c.max(0.0) / SECONDS,
        pump_w_m2: -pool.pump_w / pool.area_m2,
        ..Losses::default()
    };
    let energy = pool.energy_j_m2(state);
    let after = energy - losses.total_w_m2() * SECONDS;
    let wanted = (pool.heat_j_m2_k() * pool.hold_c - after).max(0.0) / SECONDS;
    losses.heater_w_m2 = -wanted.min(pool.heater_w / pool.area_m2);
    let energy = energy - losses.total_w_m2() * SECONDS;
    (settle(pool, energy, state.ice.snow_mm + hour.snow_mm), losses)
}
