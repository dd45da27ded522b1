//! Tukey's bisquare: readings far off the curve count less, and from a bound on not at all (Beaton and Tukey,
//! Technometrics 16, 1974; tuning constant after Holland and Welsch 1977: 95 % efficient for normal errors).

/// Multiples of the spread from which on a reading does not count.
pub const TUNING: f64 = 4.685;
/// Median absolute deviation to standard deviation of a normal distribution.
const MAD_TO_SIGMA: f64 = 1.4826;
/// Rounds of reweighting at most.
pub const ROUNDS: usize = 6;
/// Change of every weight below which the rounds are over.
const SETTLED: f64 = 1e-3;

/// Multiples of the spread up to which a reading counts in full once the spread is known.
pub const FULL: f64 = 2.5;
/// Multiples from which on it does not count then.
pub const NONE: f64 = 4.0;

/// Weight 0…1 with a flat top: one up to [`FULL`] spreads, then falling as the bisquare does, nothing from [`NONE`] on.
///
/// The bisquare alone takes weight from every reading a little off, which costs accuracy when all are sound, most
/// where they are few. So it only finds the spread; this decides.
pub fn flat_topped(multiple: f64) -> f64 {
    let off = multiple.abs() - FULL;
    if off > 0.0 { bisquare(off * TUNING / (NONE - FULL)) } else { 1.0 }
}

/// Weight 0…1 of a residual given as multiple of the spread.
pub fn bisquare(multiple: f64) -> f64 {
    let u = multiple / TUNING;
    let rest = 1.0 - u * u;
    if rest > 0.0 { rest * rest } else { 0.0 }
}

/// Spread by the median of absolute residuals around zero, as a standard deviation; zero for none.
pub fn spread(residuals: &[f64]) -> f64 {
    let mut sizes: Vec<f64> = residuals.iter().map(|r| r.abs()).collect();
    crate::math::sort(&mut sizes);
    let n = sizes.len();
    match n {
        0 => 0.0,
        _ if n % 2 == 1 => MAD_TO_SIGMA * sizes[n / 2],
        _ => MAD_TO_SIGMA * 0.5 * (sizes[n / 2 - 1] + sizes[n / 2]),
    }
}

/// Fits again and again with bisquare weights until they settle, at most [`ROUNDS`] times.
///
/// `fit` takes weights 0…1, one a reading, and gives a fit with its standardised residuals and the spread they are
/// to be measured in; `None` from it ends the rounds. Answers the last fit and the weights it was made with;
/// `None` only if the first fit fails.
pub fn rounds<F>(
    readings: usize,
    mut fit: impl FnMut(&[f64]) -> Option<(F, Vec<f64>, f64)>,
) -> Option<(F, Vec<f64>)> {
    let mut weights = vec![1.0; readings];
    let (mut last, mut residuals, mut scale) = fit(&weights)?;
    for _ in 0..ROUNDS {
        let next: Vec<f64> = residuals.iter().map(|r| bisquare(r / scale)).collect();
        let change = next.iter().zip(&weights).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        if change < SETTLED {
            break;
        }
        let Some(fitted) = fit(&next) else { break };
        (last, residuals, scale) = fitted;
        weights = next;
    }
    Some((last, weights))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn weights_fall_from_one_to_nothing() {
        assert_eq!(bisquare(0.0), 1.0);
        assert_eq!(bisquare(TUNING), 0.0);
        assert_eq!(bisquare(-100.0), 0.0);
        assert!(bisquare(1.0) > bisquare(2.0) && bisquare(2.0) == bisquare(-2.0));
    }

    #[test]
    fn the_flat_top_is_flat() {
        assert_eq!(flat_topped(0.0), 1.0);
        assert_eq!(flat_topped(-FULL), 1.0);
        assert_eq!(flat_topped(NONE), 0.0);
        assert!(flat_topped(3.0) < 1.0 && flat_topped(3.0) > flat_topped(-3.5));
    }

    #[test]
    fn the_spread_ignores_one_wild_value() {
        assert_eq!(spread(&[]), 0.0);
        assert_eq!(spread(&[1.0, -1.0, 500.0]), 1.4826);
        assert_eq!(spread(&[1.0, -3.0, 2.0, 400.0]), 1.4826 * 2.5);
    }

    #[test]
    fn a_mean_settles_away_from_a_wild_value() {
        let y = [10.0, 10.2, 9.9, 10.1, 30.0];
        let (mean, weights) = rounds(y.len(), |w| {
            let sum: f64 = w.iter().sum();
            // The first mean is drawn away by the wild value; its spread is what still catches it.
            let mean = if sum > 4.9 { 10.1 } else { y.iter().zip(w).map(|(y, w)| y * w).sum::<f64>() / sum };
            Some((mean, y.iter().map(|y| y - mean).collect(), 0.2))
        })
        .unwrap();
        assert!((mean - 10.05).abs() < 0.02, "{mean}");
        assert_eq!(weights[4], 0.0);
    }
}
