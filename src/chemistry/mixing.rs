//! Mixing: rain, fill water of a known test, draining and refilling.

use super::Composition;
use super::constants::{Constants, ten_to};

/// A mixture in which `share` (0 to 1, by mass) is `added` and the rest `pool`; closed to the air.
#[must_use]
pub fn mixed(pool: &Composition, added: &Composition, share: f64) -> Composition {
    let share = share.clamp(0.0, 1.0);
    pool.zip(added, |kept, new| kept * (1.0 - share) + new * share)
}

/// Rain: pure water with just the CO2 that makes it pH 5.6 at zero alkalinity.
#[must_use]
pub fn rain(temperature_c: f64) -> Composition {
    let k = Constants::at(temperature_c);
    let h = ten_to(-5.6);
    // So dilute that activities are concentrations: [H⁺] = [HCO3⁻] + [OH⁻].
    let bicarbonate = h - k.water / h;
    let carbon = bicarbonate * (1.0 + h / k.carbonic_first + k.carbonic_second / h);
    Composition { inorganic_carbon: carbon, ..Composition::default() }
}

/// The share of a pool (0 to 1) to drain and refill so that a reading falls from `now` to `wanted`
/// with fill water that reads `fill`. `None` where no amount of such water does it.
#[must_use]
pub fn replaced_share(now: f64, wanted: f64, fill: f64) -> Option<f64> {
    let share = (now - wanted) / (now - fill);
    (share.is_finite() && (0.0..=1.0).contains(&share)).then_some(share)
}
