//! Computations that end in a schedule: what to add to the water, a cold night, a winter.

mod dose;
mod due;
mod night;
mod pad;
mod season;
mod span;
mod told;

pub use dose::{
    Addition, Amount, DoseNeed, DosePlan, DoseReading, DoseRequest, DoseStep, DoseWish, HeldBack,
    Preferred, Replacement, SizeSaid, measured_out, parse_addition, parse_size, plan_dose,
    size_said,
};
pub use due::{AHEAD_DAYS, CALENDAR_DAYS, DueItem, DuePool, PoolDue, due, minutes_words};
pub use night::{
    AfterFailure, AirTold, HeaterNeed, NightPlan, PartAfter, PartState, PartTime, Planner,
    SpeedNeed, Window, after_failure, stated_night,
};
pub use pad::{
    Pad, PadPart, PoolHeat, Told, exposure, pad, part_body, pool_heat, water_assumed, wind_assumed,
    wind_told,
};
pub use season::{
    Control, Cost, Covered, Outage, SpeedEnergy, Tariff, Verdict, Winter, WinterDay, covers, winter,
};
pub use span::span_words;
pub use told::Stated as StatedFacts;
