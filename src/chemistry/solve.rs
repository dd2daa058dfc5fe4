//! Bracketed root finding with a bound on its steps.

/// The root of a function that rises through zero between `low` and `high`, to within `tolerance`, or
/// where it is within `enough` of zero.
///
/// The Illinois variant of false position (Dowell & Jarratt 1971, BIT 11:168), falling back to
/// bisection whenever a step fails to halve the bracket in three: at most 200 evaluations, and never
/// outside the bracket. Where the function does not change sign, the end nearer to zero is returned.
pub fn rising_root(
    mut low: f64,
    mut high: f64,
    tolerance: f64,
    enough: f64,
    mut f: impl FnMut(f64) -> f64,
) -> f64 {
    let mut f_low = f(low);
    let mut f_high = f(high);
    if f_low >= 0.0 {
        return low;
    }
    if f_high <= 0.0 {
        return high;
    }
    let mut width_three_ago = high - low;
    let mut last_was_low: Option<bool> = None;
    for step in 0..200_u32 {
        let width = high - low;
        if width <= tolerance {
            break;
        }
        let slow = step % 3 == 2 && width > 0.5 * width_three_ago;
        if step % 3 == 2 {
            width_three_ago = width;
        }
        let guess = if slow { 0.5 * (low + high) } else { low - f_low * width / (f_high - f_low) };
        let x = guess.clamp(low + 0.25 * tolerance, high - 0.25 * tolerance);
        let y = f(x);
        if y.abs() <= enough {
            return x;
        }
        let is_low = y < 0.0;
        // The end that stays put twice running is given half its weight (Illinois).
        let stale = last_was_low == Some(is_low);
        if is_low {
            low = x;
            f_low = y;
            f_high *= if stale { 0.5 } else { 1.0 };
        } else {
            high = x;
            f_high = y;
            f_low *= if stale { 0.5 } else { 1.0 };
        }
        last_was_low = Some(is_low);
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_the_root_of_steep_and_flat_functions() {
        let cube = rising_root(0.0, 10.0, 1e-12, 0.0, |x| x * x * x - 2.0);
        assert!((cube - 2.0_f64.cbrt()).abs() < 1e-11);
        let steep =
            rising_root(0.0, 14.0, 1e-12, 0.0, |x| 10.0_f64.powf(x - 7.0) - 10.0_f64.powf(7.0 - x));
        assert!((steep - 7.0).abs() < 1e-11);
        let flat = rising_root(-1.0, 1.0, 1e-12, 0.0, |x| (x - 0.3).powi(9));
        assert!((flat - 0.3).abs() < 1e-2);
    }

    #[test]
    fn without_a_sign_change_an_end_is_returned() {
        assert!((rising_root(1.0, 2.0, 1e-9, 0.0, |x| x) - 1.0).abs() < 1e-12);
        assert!((rising_root(-2.0, -1.0, 1e-9, 0.0, |x| x) + 1.0).abs() < 1e-12);
    }
}
