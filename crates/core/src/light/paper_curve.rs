//! A curve of print density against log exposure, reckoned from the exposure that gives black.
//!
//! With x = log₁₀ H − log₁₀ H(black), D(x) = Dmin + R · (1 − (δ/R)^(10^(g·x))): a saturating exponential of
//! H^g, scaled so that at x = 0 black is reached, that is D = Dmax − δ with Dmax = Dmin + R. The form is an
//! ordinary one for a coating whose sensitive grains are used up; the figures below are a starting curve of ours
//! and stand only until a step print was measured.

use crate::constant::{Basis, Constant};
use crate::estimate::Estimate;
use crate::math;
use crate::tone::lightness;

/// Density of cleared paper in the starting curve.
pub const PAPER: Constant = Constant::practice(
    0.07,
    "D",
    1,
    "coated and cleared paper is commonly read between 0.04 and 0.10; no source",
);
/// Densest black less paper in the starting curve.
pub const RANGE: Constant = Constant::choice(
    1.41,
    "D",
    3,
    "so that the densest black is 1.48, within the 1.35 to 1.50 remembered for palladium",
);
/// Steepness of the starting curve.
pub const STEEPNESS: Constant =
    Constant::choice(1.08, "", 3, "so that the exposure scale is 1.76, between platinum and palladium");
/// Least steepness believed: exposure scale about 2.2.
pub const STEEPNESS_LOW: Constant = Constant {
    value: 0.86,
    unit: "",
    digits: 2,
    basis: Basis::FromMemory,
    source: "exposure scale 2.2, pure palladium",
};
/// Greatest steepness believed: exposure scale about 1.35.
pub const STEEPNESS_HIGH: Constant = Constant {
    value: 1.41,
    unit: "",
    digits: 2,
    basis: Basis::FromMemory,
    source: "exposure scale 1.35, pure platinum",
};
/// How far below the densest black a patch may stay and still count as black.
pub const CLOSENESS: Constant = Constant::choice(
    0.03,
    "D",
    1,
    "three times the least difference a densitometer shows; 0.01 to 0.10 are sensible",
);

/// A paper curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PaperCurve {
    paper: f64,
    range: f64,
    steepness: f64,
    closeness: f64,
    basis: Basis,
}

/// How tones move when the exposure changes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shift {
    /// Density before.
    pub before: f64,
    /// Density after.
    pub after: f64,
    /// Change of L*, with the range that the papers of the trade span.
    pub lightness: Estimate,
}

impl PaperCurve {
    /// The starting curve with black counted from `closeness` below the densest (clamped to 0.005 … 0.2).
    #[must_use]
    pub fn starting(closeness: f64) -> Self {
        let closeness = if closeness.is_finite() { closeness.clamp(0.005, 0.2) } else { CLOSENESS.value };
        Self {
            paper: PAPER.value,
            range: RANGE.value,
            steepness: STEEPNESS.value,
            closeness,
            basis: Basis::Choice,
        }
    }

    /// The same with another steepness.
    #[must_use]
    pub fn steeper(self, steepness: f64) -> Self {
        Self { steepness, ..self }
    }

    /// Where the curve comes from.
    #[must_use]
    pub fn basis(&self) -> Basis {
        self.basis
    }

    /// The density counted as black: at x = 0.
    #[must_use]
    pub fn black(&self) -> f64 {
        self.paper + self.range - self.closeness
    }

    /// Density at x = log₁₀ of the exposure over that for black. Any x; never falls.
    #[must_use]
    pub fn density(&self, x: f64) -> f64 {
        let left = math::pow(self.closeness / self.range, math::exp10(self.steepness * bounded(x)));
        self.paper + self.range * (1.0 - left)
    }

    /// Slope dD/dx at x.
    #[must_use]
    pub fn slope(&self, x: f64) -> f64 {
        let u = math::exp10(self.steepness * bounded(x));
        let k = -math::ln(self.closeness / self.range);
        self.range * math::exp(-k * u) * k * u * self.steepness * core::f64::consts::LN_10
    }

    /// The x that gives a density; `None` at and beyond paper and densest black.
    #[must_use]
    pub fn log_exposure(&self, density: f64) -> Option<f64> {
        let left = 1.0 - (density - self.paper) / self.range;
        if !(left > 0.0 && left < 1.0) {
            return None;
        }
        let u = math::ln(left) / math::ln(self.closeness / self.range);
        let x = math::log10(u) / self.steepness;
        x.is_finite().then_some(x)
    }

    /// How a tone of the given density moves when log exposure changes by `delta`; `None` as in
    /// [`Self::log_exposure`].
    #[must_use]
    pub fn shift(&self, density: f64, delta: f64) -> Option<Shift> {
        let x = self.log_exposure(density)?;
        let after = self.density(x + delta);
        let change = |steepness: f64| {
            let other = Self { steepness, ..*self };
            let x = other.log_exposure(density).unwrap_or(x);
            lightness::from_density(other.density(x + delta)) - lightness::from_density(density)
        };
        let best = change(self.steepness);
        let ends = [change(STEEPNESS_LOW.value), change(STEEPNESS_HIGH.value), best];
        let low = ends.iter().copied().fold(best, f64::min);
        let high = ends.iter().copied().fold(best, f64::max);
        let lightness = Estimate { value: best, low, high, basis: self.basis };
        Some(Shift { before: density, after, lightness })
    }
}

/// Exposures farther than ten thousand times from black are all the same to paper.
fn bounded(x: f64) -> f64 {
    if x.is_nan() { 0.0 } else { x.clamp(-4.0, 4.0) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    /// Of `tests/reference/demo_curve`: the slope of the demonstration model at some densities, to two decimals,
    /// and what a change of 0.05 in log exposure does to L*.
    const SLOPES: &str = include_str!("../../../../tests/reference/demo_curve/slopes.csv");

    fn rows() -> Vec<Vec<f64>> {
        let rows: Vec<Vec<f64>> = SLOPES
            .lines()
            .skip(1)
            .map(|l| l.split(',').map(|x| x.parse().unwrap_or(f64::NAN)).collect())
            .collect();
        assert_eq!(rows.len(), 7);
        rows
    }

    #[test]
    fn slopes_of_the_demonstration_model() {
        let curve = PaperCurve::starting(CLOSENESS.value);
        for row in rows() {
            let x = curve.log_exposure(row[0]).unwrap();
            assert!((curve.slope(x) - row[1]).abs() <= 0.005_1, "{row:?}: {}", curve.slope(x));
        }
    }

    #[test]
    fn five_hundredths_of_log_exposure_in_lightness() {
        let curve = PaperCurve::starting(CLOSENESS.value);
        let mut seen = 0;
        for row in rows().into_iter().filter(|r| r[2].is_finite()) {
            // The table gives slope times step; half of the difference up and down is the same to second order.
            let up = curve.shift(row[0], 0.025).unwrap().lightness.value;
            let down = curve.shift(row[0], -0.025).unwrap().lightness.value;
            assert!((down - up - row[2]).abs() <= 0.07, "{row:?}: {}", down - up);
            seen += 1;
        }
        assert_eq!(seen, 4);
    }

    #[test]
    fn black_is_black() {
        let curve = PaperCurve::starting(0.03);
        assert!((curve.density(0.0) - 1.45).abs() < 1e-12);
        assert!((curve.density(0.0) - curve.black()).abs() < 1e-12);
        assert!(curve.density(f64::NEG_INFINITY) - 0.07 < 1e-3);
        assert!(1.48 - curve.density(f64::INFINITY) < 1e-12);
    }

    #[test]
    fn the_believed_steepnesses_span_the_exposure_scales_of_the_trade() {
        // ISO 6846 points as restated: T at 0.04 above paper, S at nine tenths of the net range.
        for (steepness, scale) in [(STEEPNESS_LOW, 2.2), (STEEPNESS, 1.76), (STEEPNESS_HIGH, 1.35)] {
            let curve = PaperCurve { steepness: steepness.value, ..PaperCurve::starting(0.03) };
            let s = curve.log_exposure(0.07 + 0.9 * 1.41).unwrap();
            let t = curve.log_exposure(0.07 + 0.04).unwrap();
            assert!((s - t - scale).abs() < 0.02, "{scale}: {}", s - t);
        }
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn density_never_falls_with_exposure(a in -5.0..5.0_f64, b in -5.0..5.0_f64, c in 0.0..0.3_f64) {
            let curve = PaperCurve::starting(c);
            let (low, high) = if a < b { (a, b) } else { (b, a) };
            prop_assert!(curve.density(low) <= curve.density(high) + 1e-12);
        }

        #[test]
        fn log_exposure_is_the_inverse(x in -2.5..0.4_f64) {
            let curve = PaperCurve::starting(0.03);
            let back = curve.log_exposure(curve.density(x)).unwrap();
            prop_assert!((back - x).abs() < 1e-6);
        }

        #[test]
        fn slope_is_the_derivative(x in -2.5..0.5_f64) {
            let curve = PaperCurve::starting(0.03);
            let h = 1e-5;
            let secant = (curve.density(x + h) - curve.density(x - h)) / (2.0 * h);
            prop_assert!((curve.slope(x) - secant).abs() < 1e-5);
        }

        #[test]
        fn more_light_is_never_lighter(d in 0.08..1.47_f64, delta in 0.0..1.0_f64) {
            let shift = PaperCurve::starting(0.03).shift(d, delta).unwrap();
            prop_assert!(shift.lightness.high <= 1e-9 && shift.lightness.low <= shift.lightness.value);
            prop_assert!(shift.after + 1e-12 >= shift.before);
        }
    }
}
