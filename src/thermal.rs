//! Heat transfer: pipes, pool and ice; plain numbers in, plain numbers out; no files.
//!
//! Read in this order: `material` (what things are made of), `air` and `film` (what the weather
//! takes), `body` (a part of the pad as a one-dimensional body), `enthalpy` (the full freezing
//! run), `quick` (the reduced model that answers in microseconds, checked against the full one),
//! `moving`, `ice`, `pool` and `energy`.

mod air;
mod body;
mod energy;
mod enthalpy;
mod film;
mod ice;
mod material;
mod moving;
mod pool;
mod quick;

pub use air::{
    DryAir, dew_point_c, dry_air, latent_heat_kj_kg, sky_temperature_c, vapour_pressure_kpa,
};
pub use body::{Body, Layer, Shape};
pub use energy::{
    HeatPump, fuel_kwh, gas_heater_output_kw, heat_pump_cop, heating_kwh, scaled_flow,
    scaled_power_kw,
};
pub use enthalpy::{Boundary, Freezing, Outside, Run, Stirring};
pub use film::{Film, forced_film_w_m2k, free_film_w_m2k, outside_film, radiative_film_w_m2k};
pub use ice::{Ice, ice_rate_mm_per_day, snow_ice_thickness_mm, stefan_thickness_mm};
pub use material::{Content, Material, constants};
pub use moving::{Run as MovingRun, hours_until_pool_reaches_c, least_flow_l_min};
pub use pool::{
    Cover, Losses, Pool, PoolHour, PoolState, evaporation_kg_s_m2, pool_losses, step_hour,
};
pub use quick::{Estimate, Exposure, Quick, estimate, skin_share};
