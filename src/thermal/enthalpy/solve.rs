//! One implicit step: Newton on the enthalpies, a tridiagonal solve each time.

use super::Boundary;
use super::mesh::{Kind, Mesh};

const MOST_ROUNDS: usize = 60;

/// Advances the mesh by `seconds`; returns the heat that left through the outside, J.
pub(super) fn step(mesh: &mut Mesh, seconds: f64, boundary: Boundary) -> f64 {
    let (outside_c, outside) = conductances(mesh, boundary);
    for (trial, cell) in mesh.buffers.trial.iter_mut().zip(&mesh.cells) {
        *trial = cell.enthalpy;
    }
    for _ in 0..MOST_ROUNDS {
        if newton(mesh, seconds, outside_c, outside) < 1e-3 {
            break;
        }
    }
    let last = mesh.cells.last().zip(mesh.buffers.trial.last());
    let surface = last.map_or(0.0, |(cell, trial)| mesh.temperature(cell.kind, *trial).0);
    for (cell, trial) in mesh.cells.iter_mut().zip(&mesh.buffers.trial) {
        cell.enthalpy = *trial;
    }
    (surface - outside_c) * outside * seconds
}

/// Fills the conductances between neighbours (entry i joins cells i and i + 1) from the state at
/// the start of the step; returns the outside's temperature and conductance.
fn conductances(mesh: &mut Mesh, boundary: Boundary) -> (f64, f64) {
    let mut conductance = std::mem::take(&mut mesh.buffers.conductance);
    let pairs = mesh.cells.iter().zip(mesh.cells.iter().skip(1));
    for (slot, (inner, outer)) in conductance.iter_mut().zip(pairs) {
        let resistance =
            inner.outward / mesh.conductivity(inner) + outer.inward / mesh.conductivity(outer);
        *slot = 1.0 / resistance;
    }
    mesh.buffers.conductance = conductance;
    let half = mesh.cells.last().map_or(0.0, |cell| cell.outward / mesh.conductivity(cell));
    match boundary {
        Boundary::Face(temperature_c) => {
            // A freezing cell that touches the cold face conducts through its ice.
            let ice = mesh.cells.last().map_or(0.0, |cell| match cell.kind {
                Kind::Water => cell.outward / mesh.content.frozen_conductivity_w_m_k,
                Kind::Solid(..) => half,
            });
            (temperature_c, 1.0 / ice)
        }
        Boundary::Film(outside) => {
            let film = 1.0 / (outside.film_w_m2k.max(1e-9) * mesh.outer_area());
            (outside.surroundings_c, 1.0 / (half + film))
        }
    }
}

/// One Newton round: solves for the change of every enthalpy and applies it. Returns the largest
/// change, J/m³ (a thousandth of which is some 10⁻¹⁰ K).
#[expect(
    clippy::indexing_slicing,
    reason = "a tridiagonal sweep over buffers made as long as the cells; the hot loop of the run"
)]
fn newton(mesh: &mut Mesh, seconds: f64, outside_c: f64, outside: f64) -> f64 {
    let mut buffers = std::mem::take(&mut mesh.buffers);
    let n = mesh.cells.len();
    let mut previous = (0.0, 0.0);
    let mut own = mesh.temperature(mesh.cells[0].kind, buffers.trial[0]);
    let mut conductance_in = 0.0;
    for i in 0..n {
        let cell = &mesh.cells[i];
        let last = i + 1 == n;
        let (next, conductance_out) = if last {
            ((outside_c, 0.0), outside)
        } else {
            let kind = mesh.cells[i + 1].kind;
            (mesh.temperature(kind, buffers.trial[i + 1]), buffers.conductance[i])
        };
        let gained = conductance_in * (previous.0 - own.0) + conductance_out * (next.0 - own.0);
        let residual = gained - cell.volume * (buffers.trial[i] - cell.enthalpy) / seconds;
        let mut diagonal = cell.volume / seconds + (conductance_in + conductance_out) * own.1;
        let mut right = residual;
        if i > 0 {
            let lower = -conductance_in * previous.1;
            diagonal -= lower * buffers.upper[i - 1];
            right -= lower * buffers.right[i - 1];
        }
        buffers.upper[i] = if last { 0.0 } else { -conductance_out * next.1 / diagonal };
        buffers.right[i] = right / diagonal;
        previous = own;
        own = next;
        conductance_in = conductance_out;
    }
    let mut change = 0.0;
    let mut largest = 0.0f64;
    for i in (0..n).rev() {
        change = buffers.right[i] - buffers.upper[i] * change;
        buffers.trial[i] += change;
        largest = largest.max(change.abs());
    }
    mesh.buffers = buffers;
    largest
}
