//! A part of the pad as a one-dimensional body: water inside a wall, perhaps insulated.

use std::f64::consts::PI;

use super::material::{Content, Material};

/// How heat leaves the water: through a flat face, all around a pipe, or all around a ball.
///
/// A slab is counted per square metre of face, a cylinder per metre of length, a sphere whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// A layer cooled from one face; the far side gives nothing.
    Slab,
    /// A pipe or tank.
    Cylinder,
    /// A pot, about as high as wide.
    Sphere,
}

impl Shape {
    /// Area at distance `x` from the middle, m² (per m² of slab, per m of cylinder).
    #[must_use]
    pub fn area(self, x: f64) -> f64 {
        match self {
            Self::Slab => 1.0,
            Self::Cylinder => 2.0 * PI * x,
            Self::Sphere => 4.0 * PI * x * x,
        }
    }

    /// Volume within `x` of the middle, m³ (per m² of slab, per m of cylinder).
    #[must_use]
    pub fn volume(self, x: f64) -> f64 {
        match self {
            Self::Slab => x,
            Self::Cylinder => PI * x * x,
            Self::Sphere => 4.0 / 3.0 * PI * x * x * x,
        }
    }

    /// Resistance from `a` out to `b` through a conductivity of one; divide by the conductivity.
    #[must_use]
    pub fn resistance(self, a: f64, b: f64) -> f64 {
        match self {
            Self::Slab => b - a,
            Self::Cylinder => (b / a).ln() / (2.0 * PI),
            Self::Sphere => (1.0 / a - 1.0 / b) / (4.0 * PI),
        }
    }

    /// Mean depth of cold in a frozen shell: ∫ resistance(front → r) dV from the front at `x` to
    /// `inner`, for a conductivity of one.
    #[must_use]
    pub fn shell_integral(self, x: f64, inner: f64) -> f64 {
        match self {
            Self::Slab => (inner - x) * (inner - x) / 2.0,
            Self::Cylinder => {
                inner * inner / 2.0 * (inner / x).ln() - (inner * inner - x * x) / 4.0
            }
            Self::Sphere => (inner.powi(3) - x.powi(3)) / (3.0 * x) - (inner * inner - x * x) / 2.0,
        }
    }

    /// Distance from the middle within which the share `rest` (0–1) of the volume lies.
    #[must_use]
    pub fn front(self, inner: f64, rest: f64) -> f64 {
        inner
            * match self {
                Self::Slab => rest,
                Self::Cylinder => rest.sqrt(),
                Self::Sphere => rest.cbrt(),
            }
    }

    /// The part of the frozen content's own resistance in the quasi-steady freezing time:
    /// ∫ resistance(x → inner) dV over the whole volume, for a conductivity of one.
    #[must_use]
    pub fn freezing_integral(self, inner: f64) -> f64 {
        match self {
            Self::Slab => inner * inner / 2.0,
            Self::Cylinder => inner * inner / 4.0,
            Self::Sphere => inner * inner / 6.0,
        }
    }
}

/// One layer around the water.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Layer {
    /// Thickness, m.
    pub thickness_m: f64,
    /// What it is made of.
    pub material: Material,
}

/// Water (or water between grains) inside a wall, perhaps insulated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Body {
    /// Its shape.
    pub shape: Shape,
    /// Inner radius, or depth of the slab, m.
    pub inner_m: f64,
    /// The wall.
    pub wall: Layer,
    /// The insulation, if any.
    pub insulation: Option<Layer>,
    /// What stands in it.
    pub content: Content,
}

impl Body {
    /// A pipe full of water: outside diameter and wall in mm, as the pipe standards give them.
    #[must_use]
    pub fn pipe(outside_mm: f64, wall_mm: f64, wall: Material, insulation: Option<Layer>) -> Self {
        Self {
            shape: Shape::Cylinder,
            inner_m: (outside_mm / 2.0 - wall_mm).max(0.1) / 1000.0,
            wall: Layer { thickness_m: wall_mm / 1000.0, material: wall },
            insulation,
            content: Content::water(),
        }
    }

    /// Outside of the wall, m from the middle.
    #[must_use]
    pub fn wall_outer_m(&self) -> f64 {
        self.inner_m + self.wall.thickness_m
    }

    /// Outside of everything, m from the middle.
    #[must_use]
    pub fn outer_m(&self) -> f64 {
        self.wall_outer_m() + self.insulation.map_or(0.0, |layer| layer.thickness_m)
    }

    /// Outside diameter, m (a slab takes its depth for the length of its film).
    #[must_use]
    pub fn outside_diameter_m(&self) -> f64 {
        2.0 * self.outer_m()
    }

    /// Resistance of the wall, K/W (m K/W for a pipe, m² K/W for a slab).
    #[must_use]
    pub fn wall_resistance(&self) -> f64 {
        self.shape.resistance(self.inner_m, self.wall_outer_m())
            / self.wall.material.conductivity_w_m_k
    }

    /// Resistance of the insulation, likewise; 0 without.
    #[must_use]
    pub fn insulation_resistance(&self) -> f64 {
        self.insulation.map_or(0.0, |layer| {
            self.shape.resistance(self.wall_outer_m(), self.outer_m())
                / layer.material.conductivity_w_m_k
        })
    }

    /// Resistance of the outside film, likewise.
    #[must_use]
    pub fn film_resistance(&self, film_w_m2k: f64) -> f64 {
        1.0 / (film_w_m2k.max(1e-6) * self.shape.area(self.outer_m()))
    }

    /// Resistance from the water to the air.
    #[must_use]
    pub fn total_resistance(&self, film_w_m2k: f64) -> f64 {
        self.wall_resistance() + self.insulation_resistance() + self.film_resistance(film_w_m2k)
    }

    /// Radius at which more insulation begins to help, m: k/h for a cylinder, 2k/h for a sphere,
    /// 0 for a slab (any insulation helps). Incropera & DeWitt, section 3.3.1 (from memory).
    #[must_use]
    pub fn critical_radius_m(&self, film_w_m2k: f64) -> f64 {
        let conductivity = self
            .insulation
            .map_or(self.wall.material.conductivity_w_m_k, |l| l.material.conductivity_w_m_k);
        match self.shape {
            Shape::Slab => 0.0,
            Shape::Cylinder => conductivity / film_w_m2k,
            Shape::Sphere => 2.0 * conductivity / film_w_m2k,
        }
    }

    /// Heat held by the water for each kelvin, J/K.
    #[must_use]
    pub fn water_heat(&self) -> f64 {
        self.content.liquid_heat_j_m3_k * self.shape.volume(self.inner_m)
    }

    /// Heat held by wall and insulation for each kelvin, J/K, and by the wall alone.
    #[must_use]
    pub fn shell_heat(&self) -> (f64, f64) {
        let wall = self.wall.material.heat_j_m3_k()
            * (self.shape.volume(self.wall_outer_m()) - self.shape.volume(self.inner_m));
        let insulation = self.insulation.map_or(0.0, |layer| {
            layer.material.heat_j_m3_k()
                * (self.shape.volume(self.outer_m()) - self.shape.volume(self.wall_outer_m()))
        });
        (wall + insulation, wall)
    }

    /// Hours for the water to cool from `start_c` to 0 °C at constant `air_c`: all water at one
    /// temperature, no heat in the wall. `None` when it never gets there.
    ///
    /// ASHRAE Handbook Fundamentals 2009, chapter 23, equation 1, with the film as a resistance.
    #[must_use]
    pub fn lumped_cool_h(&self, start_c: f64, air_c: f64, film_w_m2k: f64) -> Option<f64> {
        lumped_h(self.water_heat() * self.total_resistance(film_w_m2k), start_c, air_c)
    }

    /// The same with the whole shell at the water's temperature.
    #[must_use]
    pub fn lumped_cool_with_wall_h(&self, start_c: f64, air_c: f64, film: f64) -> Option<f64> {
        let heat = self.water_heat() + self.shell_heat().1;
        lumped_h(heat * self.total_resistance(film), start_c, air_c)
    }

    /// Hours from 0 °C to frozen through at constant `air_c`: ice growing inward, each moment
    /// steady (the quasi-steady form). `None` at 0 °C and above.
    #[must_use]
    pub fn quasi_steady_freeze_h(&self, air_c: f64, film_w_m2k: f64) -> Option<f64> {
        (air_c < 0.0).then(|| {
            let volume = self.shape.volume(self.inner_m);
            let through = volume * self.total_resistance(film_w_m2k)
                + self.shape.freezing_integral(self.inner_m)
                    / self.content.frozen_conductivity_w_m_k;
            self.content.latent_j_m3 * through / -air_c / 3600.0
        })
    }
}

fn lumped_h(seconds: f64, start_c: f64, air_c: f64) -> Option<f64> {
    if start_c <= 0.0 {
        return Some(0.0);
    }
    (air_c < 0.0).then(|| seconds * ((start_c - air_c) / -air_c).ln() / 3600.0)
}
