//! Computations that end in a schedule: a cold night, a winter.

mod night;
mod pad;
mod told;

pub use night::{
    AfterFailure, HeaterNeed, NightPlan, PartAfter, PartState, PartTime, Planner, SpeedNeed,
    Window, after_failure, stated_night,
};
pub use pad::{Pad, PadPart, PoolHeat, Told, exposure, pad, part_body, pool_heat, wind_told};
pub use told::Stated as StatedFacts;
