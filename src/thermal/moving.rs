//! Water that moves: the flow that keeps a run of pipe from freezing.

use super::body::Body;
use super::material::constants::{WATER_DENSITY_KG_M3, WATER_HEAT_J_KG_K};

/// A run of exposed pipe with water moving through it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Length in the open, m.
    pub length_m: f64,
    /// Resistance from water to air, m K/W; the film inside is left out (on the safe side).
    pub resistance_m_k_w: f64,
    /// Temperature of the surroundings, °C.
    pub surroundings_c: f64,
}

impl Run {
    /// A run of `pipe` (a cylinder) under a film.
    #[must_use]
    pub fn new(pipe: &Body, length_m: f64, film_w_m2k: f64, surroundings_c: f64) -> Self {
        Self { length_m, resistance_m_k_w: pipe.total_resistance(film_w_m2k), surroundings_c }
    }

    /// Temperature at the far end, °C, of water entering at `inlet_c` with `flow_l_min`.
    #[must_use]
    pub fn outlet_c(&self, inlet_c: f64, flow_l_min: f64) -> f64 {
        let heat = flow_l_min.max(1e-9) / 60_000.0 * WATER_DENSITY_KG_M3 * WATER_HEAT_J_KG_K;
        let decay = (-self.length_m / (heat * self.resistance_m_k_w)).exp();
        self.surroundings_c + (inlet_c - self.surroundings_c) * decay
    }

    /// Heat given off along the run at that flow, W.
    #[must_use]
    pub fn loss_w(&self, inlet_c: f64, flow_l_min: f64) -> f64 {
        let heat = flow_l_min / 60_000.0 * WATER_DENSITY_KG_M3 * WATER_HEAT_J_KG_K;
        heat * (inlet_c - self.outlet_c(inlet_c, flow_l_min))
    }
}

/// Least flow, L/min, that brings water from `inlet_c` to the far end at no less than
/// `outlet_c`. 0 when the surroundings are warmer than that; `None` when the water enters at or
/// below it, for then no flow helps.
///
/// Energy balance along the pipe: ṁ = L / (c R ln((Tin − Ta)/(Tout − Ta))).
#[must_use]
pub fn least_flow_l_min(run: &Run, inlet_c: f64, outlet_c: f64) -> Option<f64> {
    if run.surroundings_c >= outlet_c {
        return Some(0.0);
    }
    if inlet_c <= outlet_c {
        return None;
    }
    let logarithm = ((inlet_c - run.surroundings_c) / (outlet_c - run.surroundings_c)).ln();
    let mass_kg_s = run.length_m / (WATER_HEAT_J_KG_K * run.resistance_m_k_w * logarithm);
    Some(mass_kg_s / WATER_DENSITY_KG_M3 * 60_000.0)
}

/// Hours until a mixed pool of `volume_l` losing `loss_w_k` for each kelvin above `sink_c` falls
/// from `start_c` to `end_c`; `None` when it never does. After that, moving water alone is not
/// enough.
#[must_use]
pub fn hours_until_pool_reaches_c(
    volume_l: f64,
    loss_w_k: f64,
    sink_c: f64,
    start_c: f64,
    end_c: f64,
) -> Option<f64> {
    if start_c <= end_c {
        return Some(0.0);
    }
    let heat = volume_l / 1000.0 * WATER_DENSITY_KG_M3 * WATER_HEAT_J_KG_K;
    (sink_c < end_c)
        .then(|| heat / loss_w_k * ((start_c - sink_c) / (end_c - sink_c)).ln() / 3600.0)
}
