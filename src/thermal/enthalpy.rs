//! The full freezing run: enthalpy in one dimension, implicit in time.
//!
//! Every cell of the water holds an enthalpy; temperature follows from it, and stays at 0 °C while
//! the cell freezes (Voller & Cross 1981, International Journal of Heat and Mass Transfer 24:545).
//! Each step is solved by Newton's method, so that no step is too long to be stable. There is no
//! supercooling: real still water often goes several degrees below 0 °C before the first ice.

mod mesh;
mod solve;

use super::body::Body;
use mesh::Mesh;

/// What the outside is at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outside {
    /// Temperature the surface exchanges heat with, °C.
    pub surroundings_c: f64,
    /// Film, W/(m² K).
    pub film_w_m2k: f64,
}

/// How the outer face is held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Boundary {
    /// By a film to the outside.
    Film(Outside),
    /// At a temperature, °C, directly at the face of the water (no wall): for comparison with the
    /// Neumann solution.
    Face(f64),
}

/// How the liquid carries heat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Stirring {
    /// At rest: conduction only.
    Rest,
    /// Kept at one temperature by its own slow circulation: conductivity times the factor.
    Mixed(f64),
}

/// How finely to compute.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Cells across the water.
    pub cells: usize,
    /// Steps over the cooling, and over the freezing.
    pub steps: usize,
    /// Conduction in the liquid.
    pub stirring: Stirring,
    /// Give up after this many hours.
    pub horizon_h: f64,
}

impl Default for Run {
    fn default() -> Self {
        Self { cells: 40, steps: 300, stirring: Stirring::Mixed(100.0), horizon_h: 2000.0 }
    }
}

/// What happened, in hours from the start; `None` when it did not within the horizon.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Freezing {
    /// The water at the wall begins to freeze.
    pub first_ice_h: Option<f64>,
    /// The mean temperature of the water reaches 0 °C.
    pub mean_zero_h: Option<f64>,
    /// Half of the water is ice.
    pub half_h: Option<f64>,
    /// 99.9 % of it is.
    pub blocked_h: Option<f64>,
    /// Share frozen at the end (0–1).
    pub frozen: f64,
    /// Heat given off, less the heat lost by the cells, over the heat given off: the error of the
    /// energy balance.
    pub energy_error: f64,
    /// Where the front stands at the end, m from the face of the water inwards.
    pub front_m: f64,
    /// Hours run.
    pub hours: f64,
}

impl Body {
    /// Runs the freezing of this body from `start_c` everywhere, under an outside that may change
    /// with the hours since the start.
    #[must_use]
    pub fn freeze(&self, start_c: f64, run: Run, outside: impl Fn(f64) -> Outside) -> Freezing {
        Simulation::new(self, start_c, run).through(|hours| Boundary::Film(outside(hours)))
    }

    /// Runs it with the face of the water held at `face_c` for `run.horizon_h`.
    #[must_use]
    pub fn freeze_from_face(&self, start_c: f64, run: Run, face_c: f64) -> Freezing {
        Simulation::new(self, start_c, run).through(|_| Boundary::Face(face_c))
    }
}

struct Simulation {
    mesh: Mesh,
    run: Run,
    hours: f64,
    result: Freezing,
    given_off: f64,
    at_start: f64,
    water_time_s: f64,
    latent: f64,
    through: f64,
}

impl Simulation {
    fn new(body: &Body, start_c: f64, run: Run) -> Self {
        let mesh = Mesh::new(body, run.cells, run.stirring, start_c);
        let at_start = mesh.energy();
        Self {
            mesh,
            run,
            hours: 0.0,
            result: Freezing::default(),
            given_off: 0.0,
            at_start,
            water_time_s: body.water_heat() + body.shell_heat().0,
            latent: body.content.latent_j_m3 * body.shape.volume(body.inner_m),
            through: body.shape.freezing_integral(body.inner_m)
                / body.content.frozen_conductivity_w_m_k
                / body.shape.volume(body.inner_m)
                + body.wall_resistance()
                + body.insulation_resistance(),
        }
    }

    /// The step, s: a share of the cooling before the first ice, of the freezing after.
    fn step_s(&self, boundary: Boundary) -> f64 {
        let steps = crate::units::count(self.run.steps);
        let (air_c, film) = match boundary {
            Boundary::Film(outside) => {
                (outside.surroundings_c, 1.0 / (outside.film_w_m2k * self.mesh.outer_area()))
            }
            Boundary::Face(_) => return self.run.horizon_h * 3600.0 / steps,
        };
        let resistance = self.through + film;
        if self.result.first_ice_h.is_some() {
            let depth = (-air_c).max(0.5);
            return (self.latent * resistance / depth / (2.0 * steps)).min(3600.0);
        }
        let water = self.mesh.mean_water_c().max(0.05);
        let share = if air_c < 0.0 { ((water - air_c) / -air_c).ln().min(1.0) } else { 1.0 };
        let scale = self.water_time_s * (resistance.min(film * 3.0 + self.through * 0.2));
        (scale * share / steps).clamp(0.02, 1800.0)
    }

    fn through(mut self, boundary: impl Fn(f64) -> Boundary) -> Freezing {
        let end = self.run.horizon_h;
        let mut step = 0.0;
        while self.hours < end - 1e-9 && self.result.blocked_h.is_none() {
            let wanted = self.step_s(boundary(self.hours));
            step = if step > 0.0 { wanted.min(step * 1.2) } else { wanted };
            let seconds = step.min((end - self.hours) * 3600.0);
            let now = boundary(self.hours + seconds / 7200.0);
            self.advance(seconds, now);
        }
        self.finish()
    }

    fn advance(&mut self, seconds: f64, boundary: Boundary) {
        let before = self.mesh.marks();
        let lost = solve::step(&mut self.mesh, seconds, boundary);
        self.given_off += lost;
        let after = self.mesh.marks();
        let from = self.hours;
        self.hours += seconds / 3600.0;
        let crossing = |a: f64, b: f64, level: f64| {
            (a - level > 0.0) != (b - level > 0.0) && (a - b).abs() > 0.0
        };
        let at = |a: f64, b: f64, level: f64| from + (a - level) / (a - b) * seconds / 3600.0;
        let note = |slot: &mut Option<f64>, a: f64, b: f64, level: f64| {
            if slot.is_none() && crossing(a, b, level) {
                *slot = Some(at(a, b, level));
            }
        };
        note(&mut self.result.first_ice_h, before.skin, after.skin, 0.0);
        note(&mut self.result.mean_zero_h, before.mean_c, after.mean_c, 1e-4);
        note(&mut self.result.half_h, before.frozen, after.frozen, 0.5);
        note(&mut self.result.blocked_h, before.frozen, after.frozen, 0.999);
    }

    fn finish(mut self) -> Freezing {
        let lost_by_cells = self.at_start - self.mesh.energy();
        let scale = self.given_off.abs().max(1e-9);
        self.result.energy_error = (self.given_off - lost_by_cells).abs() / scale;
        self.result.frozen = self.mesh.marks().frozen;
        self.result.front_m = self.mesh.front_m();
        self.result.hours = self.hours;
        self.result
    }
}
