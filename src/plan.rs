//! Computations that end in a schedule: what to add to the water, a cold night, a winter.

mod dose;
mod due;
mod night;
mod pad;
mod season;
mod told;

pub use dose::{
    Addition, Amount, DoseNeed, DosePlan, DoseReading, DoseRequest, DoseStep, DoseWish, HeldBack,
    Preferred, Replacement, SizeSaid, parse_addition, parse_size, plan_dose, size_said,
};
pub use due::{AHEAD_DAYS, CALENDAR_DAYS, DueItem, DuePool, PoolDue, due, minutes_words};
pub use night::{
    AfterFailure, HeaterNeed, NightPlan, PartAfter, PartState, PartTime, Planner, SpeedNeed,
    Window, after_failure, stated_night,
};
pub use pad::{Pad, PadPart, PoolHeat, Told, exposure, pad, part_body, pool_heat, wind_told};
pub use season::{Control, Cost, Covered, Tariff, Verdict, Winter, covers, winter};
pub use told::Stated as StatedFacts;
