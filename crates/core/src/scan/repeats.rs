//! Several scans of one print: the second one, turned by half a turn, cancels what a scanner does across its glass.
//!
//! They are repeats of the scanner's reading, not of the print: the coat's scatter stays as it is, so the mean counts as
//! one reading of each patch.

use crate::math;

/// The mean of several scans and what they say about the scanner.
#[derive(Clone, Debug, PartialEq)]
pub struct Repeats {
    /// Mean L* of each patch.
    pub mean: Vec<f64>,
    /// Standard deviation of one scan's reading of one patch, L*, after each scan's own mean was taken out.
    pub scanner: f64,
    /// Largest difference between the means of two scans, L*: exposure or a drifting lamp.
    pub drift: f64,
}

/// Puts scans of one print together; each is L* patch by patch in the same order. `None` for fewer than two scans, fewer
/// than two patches, different numbers of patches or what is not finite.
pub fn repeats(scans: &[&[f64]]) -> Option<Repeats> {
    let n = scans.first()?.len();
    let sound =
        scans.len() >= 2 && n >= 2 && scans.iter().all(|s| s.len() == n && s.iter().all(|v| v.is_finite()));
    if !sound {
        return None;
    }
    let (count, patches) = (scans.len() as f64, n as f64);
    let mean: Vec<f64> = (0..n).map(|i| scans.iter().map(|s| s[i]).sum::<f64>() / count).collect();
    let offsets: Vec<f64> =
        scans.iter().map(|s| s.iter().zip(&mean).map(|(v, m)| v - m).sum::<f64>() / patches).collect();
    let mut square = 0.0;
    for (scan, offset) in scans.iter().zip(&offsets) {
        square += scan.iter().zip(&mean).map(|(v, m)| (v - m - offset) * (v - m - offset)).sum::<f64>();
    }
    let scanner = math::sqrt(square / ((count - 1.0) * (patches - 1.0)));
    let low = offsets.iter().copied().fold(f64::INFINITY, f64::min);
    let high = offsets.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    Some(Repeats { mean, scanner, drift: high - low })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn a_slope_across_the_glass_cancels_and_drift_is_told() {
        let print: Vec<f64> = (0..40).map(|i| 25.0 + 1.7 * f64::from(i)).collect();
        let slope = |i: usize| 0.02 * (i as f64 - 19.5);
        let first: Vec<f64> = print.iter().enumerate().map(|(i, l)| l + slope(i)).collect();
        let second: Vec<f64> = print.iter().enumerate().map(|(i, l)| l - slope(i) + 0.3).collect();
        let both = repeats(&[&first, &second]).unwrap();
        for (m, l) in both.mean.iter().zip(&print) {
            assert!((m - l - 0.15).abs() < 1e-9);
        }
        assert!((both.drift - 0.3).abs() < 1e-9);
        // Two scans that differ by d have a standard deviation of d/√2 each; here d = 2 · slope.
        let expected = math::sqrt((0..40).map(|i| 2.0 * slope(i) * slope(i)).sum::<f64>() / 39.0);
        assert!((both.scanner - expected).abs() < 1e-9);
    }

    #[test]
    fn what_does_not_belong_together_gives_none() {
        let a = [1.0, 2.0, 3.0];
        assert!(repeats(&[]).is_none());
        assert!(repeats(&[&a]).is_none());
        assert!(repeats(&[&a, &a[..2]]).is_none());
        assert!(repeats(&[&a, &[1.0, f64::NAN, 3.0]]).is_none());
        assert_eq!(repeats(&[&a, &a]).unwrap().scanner, 0.0);
    }
}
