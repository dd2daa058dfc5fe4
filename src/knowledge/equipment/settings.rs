//! What is taken for a pool, a pump and a heater of which nothing is known, and the thresholds of a night.

use super::super::document::Reader;
use super::number;
use serde::{Deserialize, Serialize};

/// Reads a table of numbers into a struct, every one of them required.
macro_rules! settings {
    ($(#[$doc:meta])* $name:ident, $read:ident, $key:literal, { $($(#[$field_doc:meta])* $field:ident: $range:expr,)* }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
        pub struct $name {
            $($(#[$field_doc])* pub $field: f64,)*
        }

        pub(super) fn $read(top: &Reader<'_, '_>) -> $name {
            let Some(table) = top.table($key) else {
                top.problem(crate::problem::Problem::error(
                    crate::problem::Code::Syntax,
                    Some(top.place()),
                    concat!("the table `", $key, "` is missing"),
                ));
                return $name::default();
            };
            let settings = $name {
                $($field: number(&table, stringify!($field), $range).unwrap_or_default(),)*
            };
            table.finish();
            settings
        }
    };
}

settings!(
    /// A pool of which nothing is known, and what every pool's heat is computed with.
    PoolSettings, read_pool, "pool", {
    /// Volume, L.
    volume_l: (100.0, 1e7),
    /// Mean depth, m.
    mean_depth_m: (0.3, 5.0),
    /// Conductance to the ground, W/(m² K).
    ground_w_m2k: (0.0, 10.0),
    /// Ground, °C.
    ground_c: (-10.0, 30.0),
    /// Make-up water, °C.
    make_up_c: (0.0, 30.0),
    /// Activity factor of evaporation.
    activity: (0.1, 2.0),
    /// The most it may be.
    activity_most: (0.1, 2.0),
    /// Convection as a share of the ASHRAE coefficient by Bowen's ratio.
    convection: (0.1, 2.0),
    /// Share of the stated wind at the water.
    wind_share: (0.0, 1.5),
    /// Water at the start, °C.
    start_c: (0.0, 35.0),
    /// Relative humidity, 0–1.
    humidity: (0.05, 1.0),
    /// Share of the sky covered.
    cloud: (0.0, 1.0),
    /// Wind when none is said, m/s.
    wind_m_s: (0.0, 30.0),
    /// Least it may be then.
    wind_least_m_s: (0.0, 30.0),
    /// Most it may be then.
    wind_most_m_s: (0.0, 40.0),
});

settings!(
    /// A pump of which nothing is known.
    PumpSettings, read_pump, "pump", {
    /// Power at full speed, kW.
    full_kw: (0.05, 20.0),
    /// Full speed, rpm.
    full_rpm: (500.0, 5000.0),
    /// Flow at full speed, L/min.
    full_flow_l_min: (10.0, 5000.0),
    /// Power of motor and drive whatever the speed, kW.
    standing_kw: (0.0, 1.0),
    /// Share of full speed in winter.
    runs_at: (0.1, 1.0),
    /// Least share of full speed.
    least_speed: (0.05, 1.0),
    /// Share of the flow in one branch.
    branch_share: (0.05, 1.0),
});

settings!(
    /// Heaters.
    HeaterSettings, read_heater, "heater", {
    /// Gas, kW of heat.
    gas_kw: (1.0, 1000.0),
    /// Electric, kW.
    electric_kw: (1.0, 1000.0),
    /// Heat pump, kW of heat.
    heat_pump_kw: (1.0, 1000.0),
    /// Efficiency of gas.
    gas_efficiency: (0.3, 1.0),
    /// COP as rated.
    heat_pump_cop: (1.0, 10.0),
    /// Air at rating, °C.
    heat_pump_rated_c: (0.0, 40.0),
    /// COP lost for each kelvin below it.
    heat_pump_lost_per_k: (0.0, 1.0),
    /// Air below which it stops, °C.
    heat_pump_stops_c: (-30.0, 20.0),
});

settings!(
    /// Thresholds of a night.
    NightSettings, read_night, "night", {
    /// Air at or below which the pump runs, °C.
    action_c: (-5.0, 15.0),
    /// What a heater holds, °C.
    hold_c: (0.0, 20.0),
    /// Hours the pump runs before and after.
    margin_h: (0.0, 12.0),
    /// Coldest that water may leave an exposed run, °C.
    keep_water_c: (0.0, 5.0),
    /// Hours in hand that are tight.
    tight_h: (0.0, 48.0),
    /// Pool water below which moving it is not enough, °C.
    last_water_c: (0.0, 10.0),
    /// Share of the freezing at which still water is slush.
    slush_share: (0.05, 0.9),
    /// Latitude taken when nothing says where the pool is, ° north.
    latitude_deg: (-66.0, 66.0),
    /// A frost that begins within so many hours is tonight's.
    tonight_h: (1.0, 48.0),
    /// A frost within so many hours is tomorrow's work.
    soon_h: (1.0, 120.0),
});
