//! Computations that end in a schedule: a cold night, a winter.

mod pad;

pub use pad::{Pad, PadPart, PoolHeat, Told, exposure, pad, part_body, pool_heat};
