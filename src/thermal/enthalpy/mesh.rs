//! The cells of a freezing run and what they hold.

use super::Stirring;
use crate::thermal::body::{Body, Layer, Shape};
use crate::thermal::material::Content;
use crate::units::count;

/// Water, or a layer around it.
#[derive(Clone, Copy, Debug)]
pub(super) enum Kind {
    /// Can freeze.
    Water,
    /// Cannot: conductivity and heat of a cubic metre.
    Solid(f64, f64),
}

/// One cell; geometry once, enthalpy as it goes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cell {
    pub(super) kind: Kind,
    pub(super) volume: f64,
    /// Resistance from the middle to the inner and to the outer face, for conductivity one.
    pub(super) inward: f64,
    pub(super) outward: f64,
    /// Enthalpy, J/m³, 0 for liquid at 0 °C.
    pub(super) enthalpy: f64,
}

/// All cells, from the middle outwards.
#[derive(Clone, Debug)]
pub(super) struct Mesh {
    pub(super) cells: Vec<Cell>,
    pub(super) content: Content,
    liquid_conductivity: f64,
    outer_area: f64,
    water_width_m: f64,
    water_cells: usize,
    pub(super) buffers: Buffers,
}

/// Working space of the solver, kept between steps.
#[derive(Clone, Debug, Default)]
pub(super) struct Buffers {
    pub(super) conductance: Vec<f64>,
    pub(super) trial: Vec<f64>,
    pub(super) upper: Vec<f64>,
    pub(super) right: Vec<f64>,
}

/// What is watched from step to step.
#[derive(Clone, Copy, Debug)]
pub(super) struct Marks {
    /// Enthalpy of the outermost water cell, J/m³: below 0 it is freezing.
    pub(super) skin: f64,
    /// Mean temperature of the water, °C.
    pub(super) mean_c: f64,
    /// Share frozen.
    pub(super) frozen: f64,
}

impl Mesh {
    pub(super) fn new(body: &Body, cells: usize, stirring: Stirring, start_c: f64) -> Self {
        let shape = body.shape;
        let content = body.content;
        let mut mesh = Self {
            cells: Vec::new(),
            content,
            liquid_conductivity: content.liquid_conductivity_w_m_k
                * match stirring {
                    Stirring::Rest => 1.0,
                    Stirring::Mixed(factor) => factor,
                },
            outer_area: shape.area(body.outer_m()),
            water_width_m: body.inner_m / count(cells),
            water_cells: cells,
            buffers: Buffers::default(),
        };
        let water = content.liquid_heat_j_m3_k * start_c;
        mesh.fill(shape, (0.0, body.inner_m), cells, (Kind::Water, water));
        mesh.fill_layer(shape, body.inner_m, &body.wall, start_c);
        if let Some(layer) = &body.insulation {
            mesh.fill_layer(shape, body.wall_outer_m(), layer, start_c);
        }
        let n = mesh.cells.len();
        mesh.buffers = Buffers {
            conductance: vec![0.0; n],
            trial: vec![0.0; n],
            upper: vec![0.0; n],
            right: vec![0.0; n],
        };
        mesh
    }

    fn fill_layer(&mut self, shape: Shape, from: f64, layer: &Layer, start_c: f64) {
        if layer.thickness_m <= 0.0 {
            return;
        }
        let heat = layer.material.heat_j_m3_k();
        // A wall that conducts well needs few cells; foam is drawn finer.
        let n = if layer.material.conductivity_w_m_k > 10.0 { 2 } else { 8 };
        let kind = Kind::Solid(layer.material.conductivity_w_m_k, heat);
        self.fill(shape, (from, from + layer.thickness_m), n, (kind, heat * start_c));
    }

    fn fill(&mut self, shape: Shape, span: (f64, f64), n: usize, what: (Kind, f64)) {
        let width = (span.1 - span.0) / count(n);
        for index in 0..n {
            let inner = span.0 + width * count(index);
            let outer = inner + width;
            let middle = f64::midpoint(inner, outer);
            self.cells.push(Cell {
                kind: what.0,
                volume: shape.volume(outer) - shape.volume(inner),
                inward: shape.resistance(inner.max(middle * 1e-3), middle),
                outward: shape.resistance(middle, outer),
                enthalpy: what.1,
            });
        }
    }

    pub(super) fn outer_area(&self) -> f64 {
        self.outer_area
    }

    /// Temperature at an enthalpy, and its slope.
    pub(super) fn temperature(&self, kind: Kind, enthalpy: f64) -> (f64, f64) {
        match kind {
            Kind::Solid(_, heat) => (enthalpy / heat, 1.0 / heat),
            Kind::Water if enthalpy >= 0.0 => {
                let heat = self.content.liquid_heat_j_m3_k;
                (enthalpy / heat, 1.0 / heat)
            }
            Kind::Water if enthalpy > -self.content.latent_j_m3 => (0.0, 0.0),
            Kind::Water => {
                let heat = self.content.frozen_heat_j_m3_k;
                ((enthalpy + self.content.latent_j_m3) / heat, 1.0 / heat)
            }
        }
    }

    /// Conductivity of a cell as it stands; freezing cells in proportion.
    pub(super) fn conductivity(&self, cell: &Cell) -> f64 {
        match cell.kind {
            Kind::Solid(conductivity, _) => conductivity,
            Kind::Water => {
                let frozen = self.frozen_share(cell.enthalpy);
                frozen * self.content.frozen_conductivity_w_m_k
                    + (1.0 - frozen) * self.liquid_conductivity
            }
        }
    }

    fn frozen_share(&self, enthalpy: f64) -> f64 {
        (-enthalpy / self.content.latent_j_m3).clamp(0.0, 1.0)
    }

    /// Heat held by all cells, J.
    pub(super) fn energy(&self) -> f64 {
        self.cells.iter().map(|cell| cell.enthalpy * cell.volume).sum()
    }

    fn water(&self) -> impl Iterator<Item = &Cell> {
        self.cells.iter().take(self.water_cells)
    }

    /// Mean temperature of the water, °C.
    pub(super) fn mean_water_c(&self) -> f64 {
        let (heat, volume) = self.water().fold((0.0, 0.0), |(sum, volume), cell| {
            let (temperature, _) = self.temperature(cell.kind, cell.enthalpy);
            (sum + temperature * cell.volume, volume + cell.volume)
        });
        heat / volume
    }

    pub(super) fn marks(&self) -> Marks {
        let (frozen, volume) = self.water().fold((0.0, 0.0), |(sum, volume), cell| {
            (sum + self.frozen_share(cell.enthalpy) * cell.volume, volume + cell.volume)
        });
        Marks {
            skin: self.water().last().map_or(0.0, |cell| cell.enthalpy),
            mean_c: self.mean_water_c(),
            frozen: frozen / volume,
        }
    }

    /// Depth of ice from the face of the water, m, counting the freezing cell in proportion.
    pub(super) fn front_m(&self) -> f64 {
        self.water().map(|cell| self.frozen_share(cell.enthalpy)).sum::<f64>() * self.water_width_m
    }
}
