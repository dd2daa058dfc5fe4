//! When the skin of water at rest reaches 0 °C: conduction on a coarse mesh, drawn finer towards
//! the wall. Nothing freezes before that moment, so the matrix is the same at every step.

use crate::thermal::body::Body;
use crate::thermal::film::Film;

const WATER: usize = 9;
const CELLS: usize = WATER + 2;
/// Faces of the water cells as shares of the inner radius.
const FACES: [f64; WATER + 1] = [0.0, 0.3, 0.5, 0.66, 0.78, 0.87, 0.93, 0.965, 0.985, 1.0];
const STEPS: u32 = 90;

/// Hours until the face of the water is at 0 °C; `None` when not within `horizon_h`.
pub(super) fn first_ice_h(body: &Body, film: &Film, start_c: f64, horizon_h: f64) -> Option<f64> {
    if start_c <= 0.0 {
        return Some(0.0);
    }
    let seconds = horizon_h * 3600.0 / f64::from(STEPS);
    let sweep = Sweep::new(body, film.total_w_m2k, seconds);
    let mut excess = [start_c - film.surroundings_c; CELLS];
    let zero = -film.surroundings_c;
    let mut before = start_c - film.surroundings_c;
    for step in 1..=STEPS {
        sweep.advance(&mut excess);
        let face = sweep.face(&excess);
        if face <= zero {
            let within = (before - zero) / (before - face).max(1e-12);
            return Some((f64::from(step - 1) + within) * seconds / 3600.0);
        }
        before = face;
    }
    None
}

/// The matrix of one implicit step, eliminated once.
struct Sweep {
    capacity: [f64; CELLS],
    lower: [f64; CELLS],
    upper: [f64; CELLS],
    pivot: [f64; CELLS],
    /// Share of the last water cell, against the first wall cell, in the temperature of the face.
    face_share: f64,
}

impl Sweep {
    #[expect(
        clippy::indexing_slicing,
        reason = "arrays of one fixed length, indexed below it; the hot loop of the low bound"
    )]
    fn new(body: &Body, film_w_m2k: f64, seconds: f64) -> Self {
        let shape = body.shape;
        let mut capacity = [0.0; CELLS];
        let mut inward = [0.0; CELLS];
        let mut outward = [0.0; CELLS];
        for i in 0..WATER {
            let (a, b) = (FACES[i] * body.inner_m, FACES[i + 1] * body.inner_m);
            let middle = f64::midpoint(a, b);
            let conductivity = body.content.liquid_conductivity_w_m_k;
            capacity[i] = body.content.liquid_heat_j_m3_k * (shape.volume(b) - shape.volume(a));
            inward[i] = shape.resistance(a.max(middle * 1e-3), middle) / conductivity;
            outward[i] = shape.resistance(middle, b) / conductivity;
        }
        let (shell, wall) = body.shell_heat();
        let share = [(wall / 2.0, 0.25), (wall / 2.0 + 0.4 * (shell - wall), 0.25)];
        for (offset, (heat, part)) in share.into_iter().enumerate() {
            capacity[WATER + offset] = heat.max(1e-9);
            inward[WATER + offset] = body.wall_resistance() * part;
            outward[WATER + offset] = body.wall_resistance() * part;
        }
        outward[CELLS - 1] += body.insulation_resistance() + body.film_resistance(film_w_m2k);
        let mut conductance = [0.0; CELLS];
        for i in 0..CELLS {
            let next = if i + 1 < CELLS { inward[i + 1] } else { 0.0 };
            conductance[i] = seconds / (outward[i] + next).max(1e-12);
        }
        let mut sweep = Self {
            capacity,
            lower: [0.0; CELLS],
            upper: [0.0; CELLS],
            pivot: [0.0; CELLS],
            face_share: inward[WATER] / (inward[WATER] + outward[WATER - 1]),
        };
        for i in 0..CELLS {
            let into = if i > 0 { conductance[i - 1] } else { 0.0 };
            let carried = if i > 0 { into * sweep.upper[i - 1] } else { 0.0 };
            sweep.lower[i] = into;
            sweep.pivot[i] = 1.0 / (capacity[i] + into + conductance[i] - carried);
            sweep.upper[i] = if i + 1 < CELLS { conductance[i] * sweep.pivot[i] } else { 0.0 };
        }
        sweep
    }

    fn advance(&self, excess: &mut [f64; CELLS]) {
        let mut carried = 0.0;
        let rows = self.capacity.iter().zip(&self.lower).zip(&self.pivot);
        for (value, ((capacity, lower), pivot)) in excess.iter_mut().zip(rows) {
            carried = (capacity * *value + lower * carried) * pivot;
            *value = carried;
        }
        let mut next = 0.0;
        for (value, upper) in excess.iter_mut().zip(&self.upper).rev() {
            next = *value + upper * next;
            *value = next;
        }
    }

    fn face(&self, excess: &[f64; CELLS]) -> f64 {
        self.face_share * excess[WATER - 1] + (1.0 - self.face_share) * excess[WATER]
    }
}
