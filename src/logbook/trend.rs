//! A line through readings that one bad reading does not bend.

/// A robust line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// Change of the value for one unit of `x`: the middle of the slopes of all pairs (Theil–Sen).
    pub slope: f64,
    /// The lower end of the 95 % interval of the slope.
    pub low: f64,
    /// The upper end.
    pub high: f64,
    /// The value at `x` = 0.
    pub at_zero: f64,
    /// How many points it rests on.
    pub points: usize,
}

/// Fewer points say nothing: with four the 95 % interval of Kendall's test does not close.
const FEWEST: usize = 5;

/// More points than this are thinned evenly, as the pairs grow with their square.
const MOST: usize = 400;

/// The Theil–Sen line through points, with the interval of its slope by Kendall's test (P. K. Sen, "Estimates of the
/// Regression Coefficient Based on Kendall's Tau", Journal of the American Statistical Association 63, 1968,
/// section 4, normal approximation); `None` where too few points, or all at one `x`, say nothing.
#[must_use]
pub fn robust_fit(points: &[(f64, f64)]) -> Option<Fit> {
    let points = thinned(points);
    if points.len() < FEWEST {
        return None;
    }
    let mut slopes = Vec::new();
    for (n, a) in points.iter().enumerate() {
        for b in points.iter().skip(n + 1) {
            let run = b.0 - a.0;
            if run.abs() > 1e-9 {
                slopes.push((b.1 - a.1) / run);
            }
        }
    }
    if slopes.len() < FEWEST {
        return None;
    }
    slopes.sort_by(f64::total_cmp);
    let slope = middle(&slopes)?;
    let mut rests: Vec<f64> = points.iter().map(|(x, y)| y - slope * x).collect();
    rests.sort_by(f64::total_cmp);
    let n = crate::units::count(points.len());
    let spread = (n * (n - 1.0) * (2.0 * n + 5.0) / 18.0).sqrt();
    let pairs = crate::units::count(slopes.len());
    let reach = 1.96 * spread;
    let end = |place: f64| {
        let at = place.round().clamp(0.0, pairs - 1.0);
        slopes.iter().zip(0_u32..).find(|(_, n)| f64::from(*n) >= at).map(|(slope, _)| *slope)
    };
    Some(Fit {
        slope,
        low: end((pairs - reach) / 2.0 - 1.0)?,
        high: end((pairs + reach) / 2.0)?,
        at_zero: middle(&rests)?,
        points: points.len(),
    })
}

impl Fit {
    /// Whether the slope is surely not nothing.
    #[must_use]
    pub fn is_sure(&self) -> bool {
        self.low > 0.0 || self.high < 0.0
    }
}

fn thinned(points: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let step = points.len().div_ceil(MOST).max(1);
    points.iter().copied().filter(|p| p.0.is_finite() && p.1.is_finite()).step_by(step).collect()
}

/// The middle of sorted numbers.
fn middle(sorted: &[f64]) -> Option<f64> {
    let half = sorted.len() / 2;
    let upper = *sorted.get(half)?;
    if sorted.len() % 2 == 1 {
        return Some(upper);
    }
    Some((sorted.get(half.checked_sub(1)?)? + upper) / 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_bad_reading_does_not_bend_the_line() {
        let mut points: Vec<(f64, f64)> =
            (0..12).map(|n| (f64::from(n), 3.0 - 0.25 * f64::from(n))).collect();
        points[5].1 = 90.0;
        let fit = robust_fit(&points).unwrap();
        assert!((fit.slope + 0.25).abs() < 1e-9, "{fit:?}");
        assert!((fit.at_zero - 3.0).abs() < 1e-9 && fit.is_sure());
    }

    /// By hand: the ten slopes of (1,2) (2,4) (3,5) (4,4) (5,5) sorted are
    /// −1, 0, 0, 1/3, 0.5, 0.75, 1, 1, 1.5, 2; the middle is (0.5 + 0.75) / 2.
    #[test]
    fn the_slope_is_the_middle_of_all_pairs() {
        let fit =
            robust_fit(&[(1.0, 2.0), (2.0, 4.0), (3.0, 5.0), (4.0, 4.0), (5.0, 5.0)]).unwrap();
        // By hand: the ten slopes in order are -1, 0, 0, 1/3, 2/3, 3/4, 1, 1, 3/2, 2.
        let middle = f64::midpoint(2.0 / 3.0, 3.0 / 4.0);
        assert!((fit.slope - middle).abs() < 1e-12, "{fit:?}");
        assert!(!fit.is_sure());
    }

    #[test]
    fn few_points_say_nothing() {
        assert_eq!(robust_fit(&[(0.0, 1.0), (1.0, 2.0)]), None);
        assert_eq!(robust_fit(&[(1.0, 1.0); 9]), None);
    }
}
