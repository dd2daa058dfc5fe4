//! The amounts: a small constrained least-squares problem.
//!
//! Minimises half the squares of the residuals plus a price for every unit added, with no amount below zero:
//! Levenberg–Marquardt steps (Marquardt 1963, J. SIAM 11:431) whose linear problem is solved by coordinate
//! descent with a soft threshold. The price is what makes it the smallest intervention: amounts that
//! hardly help stay at zero.

/// Outer steps at most; plans settle in five to ten.
const STEPS: u32 = 30;
/// Sweeps of the inner solver.
const SWEEPS: u32 = 60;

/// The problem.
pub(super) struct Problem<'a> {
    /// Where each amount is nudged for its derivative: about one notch of its effect.
    pub nudge: &'a [f64],
    /// The price of one unit of each.
    pub price: &'a [f64],
    /// The residuals at some amounts.
    pub residuals: &'a mut dyn FnMut(&[f64]) -> Vec<f64>,
}

/// The amounts that solve it, from `start`.
pub(super) fn solve(mut problem: Problem<'_>, start: &[f64]) -> Vec<f64> {
    let mut at = start.to_vec();
    let mut residuals = (problem.residuals)(&at);
    let mut cost = total(&residuals, &at, problem.price);
    let mut damping = 1e-3;
    for _ in 0..STEPS {
        let columns = derivatives(&mut problem, &at, &residuals);
        let mut improved = false;
        for _ in 0..8 {
            let next = linear(&columns, &residuals, &at, problem.price, damping);
            let next_residuals = (problem.residuals)(&next);
            let next_cost = total(&next_residuals, &next, problem.price);
            if next_cost < cost {
                improved = cost - next_cost > 1e-7 * cost.max(1e-9);
                (at, residuals, cost) = (next, next_residuals, next_cost);
                damping = (damping * 0.2).max(1e-9);
                break;
            }
            damping *= 6.0;
        }
        if !improved {
            break;
        }
    }
    at
}

fn total(residuals: &[f64], at: &[f64], price: &[f64]) -> f64 {
    let squares: f64 = residuals.iter().map(|r| r * r).sum();
    let paid: f64 = at.iter().zip(price).map(|(x, p)| x * p).sum();
    0.5 * squares + paid
}

/// One column of derivatives for each amount.
fn derivatives(problem: &mut Problem<'_>, at: &[f64], residuals: &[f64]) -> Vec<Vec<f64>> {
    let mut columns = Vec::with_capacity(at.len());
    for (n, nudge) in problem.nudge.iter().enumerate() {
        let step = nudge * 0.02;
        let moved: Vec<f64> =
            at.iter().enumerate().map(|(m, x)| if m == n { x + step } else { *x }).collect();
        let there = (problem.residuals)(&moved);
        columns.push(there.iter().zip(residuals).map(|(a, b)| (a - b) / step).collect());
    }
    columns
}

/// The best amounts for the linearised residuals, by coordinate descent.
fn linear(
    columns: &[Vec<f64>],
    residuals: &[f64],
    at: &[f64],
    price: &[f64],
    damping: f64,
) -> Vec<f64> {
    let mut next = at.to_vec();
    let mut now = residuals.to_vec();
    let curvature: Vec<f64> = columns.iter().map(|column| dot(column, column)).collect();
    let most = curvature.iter().copied().fold(0.0, f64::max);
    for _ in 0..SWEEPS {
        let mut largest = 0.0_f64;
        let rows = columns.iter().zip(&curvature).zip(at.iter().zip(price)).enumerate();
        for (n, ((column, bend), (from, paid))) in rows {
            let bend = bend * (1.0 + damping) + 1e-12 * most;
            let Some(x) = next.get_mut(n) else { continue };
            if bend <= 0.0 {
                continue;
            }
            let slope = dot(column, &now) + damping * bend * (*x - from) + paid;
            let moved = (*x - slope / bend).max(0.0);
            let step = moved - *x;
            for (r, c) in now.iter_mut().zip(column) {
                *r += c * step;
            }
            largest = largest.max(step.abs() * bend.sqrt());
            *x = moved;
        }
        if largest < 1e-9 {
            break;
        }
    }
    next
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_the_bounded_minimum_of_a_curved_problem() {
        // (x² − 4)² + (x + y − 1)²: unbounded x = 2, y = −1; with y ≥ 0, x is a little below 2.
        let mut residuals = |v: &[f64]| vec![v[0] * v[0] - 4.0, v[0] + v[1] - 1.0];
        let found = solve(
            Problem { nudge: &[1.0, 1.0], price: &[0.0, 0.0], residuals: &mut residuals },
            &[0.5, 0.5],
        );
        assert!(found[1].abs() < 1e-6, "{found:?}");
        // The root of d/dx = 4x(x² − 4) + 2(x − 1), by bisection; the search ends well inside a measuring cup.
        let slope = |x: f64| 4.0 * x * (x * x - 4.0) + 2.0 * (x - 1.0);
        let (mut low, mut high) = (1.5, 2.0);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if slope(middle) > 0.0 { high = middle } else { low = middle }
        }
        assert!((found[0] - low).abs() < 1e-3, "{found:?} {low}");
    }

    #[test]
    fn a_price_leaves_what_hardly_helps_at_zero() {
        let mut residuals = |v: &[f64]| vec![v[0] + 0.001 * v[1] - 1.0];
        let found = solve(
            Problem { nudge: &[1.0, 1.0], price: &[0.01, 0.01], residuals: &mut residuals },
            &[0.0, 0.0],
        );
        assert!(found[1].abs() < 1e-12 && (found[0] - 0.99).abs() < 1e-3, "{found:?}");
    }
}
