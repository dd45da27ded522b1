//! Print density against log exposure: a rising smooth curve through the readings of a step print.
//!
//! A cubic penalised spline of 20 segments with third differences, smoothness by restricted likelihood (Eilers and Marx,
//! Statistical Science 11, 1996), held rising by an asymmetric penalty (Eilers, Unimodal smoothing, J. Chemometrics 19,
//! 2005). The curve is flat beyond its readings.

use crate::math;
use crate::tone::pspline::{Basis, Fit, Problem};

/// Segments of the spline.
pub const SEGMENTS: usize = 20;
/// Order of the differences that are kept small.
const DIFFERENCE: usize = 3;
/// Fewest readings that make a curve.
pub const FEWEST: usize = 7;
/// Least standard deviation of a reading that is believed, in density: that of rounding to 0.01.
const LEAST_SPREAD: f64 = 0.0029;
/// The lightest step is near white when its density lies this near to it.
const NEAR_WHITE: f64 = 0.1;
/// Log exposure over which a slope at an end is taken.
pub const END: f64 = 0.3;

/// A rising curve of density against log exposure.
#[derive(Clone, Debug, PartialEq)]
pub struct PrintCurve {
    basis: Basis,
    coefficients: Vec<f64>,
    foot: f64,
    low: f64,
    high: f64,
}

/// A curve with what it takes to fit it again to other readings at the same places.
#[derive(Clone, Debug)]
pub struct Fitted {
    /// The curve.
    pub curve: PrintCurve,
    /// Standard deviation of one reading, in density.
    pub sigma: f64,
    lambda: f64,
    places: Vec<f64>,
    weights: Vec<f64>,
    read: usize,
}

impl Fitted {
    /// Fits points (log exposure, density), in any order, at least [`FEWEST`], all finite. `white`: the density of paper
    /// that had no light and how many readings it is the mean of; where the lightest step is near it, the curve is led
    /// to it a decade further on. `None` if they cannot carry a curve.
    pub fn new(points: &[(f64, f64)], white: Option<(f64, f64)>) -> Option<Self> {
        let (mut places, mut values): (Vec<f64>, Vec<f64>) = points.iter().copied().unzip();
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        let mut lightest = f64::INFINITY;
        for (x, d) in points {
            (low, high, lightest) = (low.min(*x), high.max(*x), lightest.min(*d));
        }
        let read = points.len();
        if read < FEWEST || !(high - low).is_finite() || values.iter().any(|v| !v.is_finite()) {
            return None;
        }
        let mut weights = vec![1.0; read];
        let (mut foot, mut segments) = (low, SEGMENTS);
        if let Some((dmin, n)) = white.filter(|(dmin, _)| (lightest - dmin).abs() < NEAR_WHITE) {
            foot = low - 1.0;
            for x in [foot, low - 0.75] {
                places.push(x);
                values.push(dmin);
                weights.push(n / 2.0);
            }
            segments += SEGMENTS / 3;
        }
        let basis = Basis::new(foot, high, segments)?;
        let problem = Problem::new(basis, DIFFERENCE, &places, &values, &weights);
        let fit = problem.best()?;
        let free = (places.len() as f64 - fit.edf).max(2.0);
        let curve = PrintCurve { basis, coefficients: rising(&problem, &fit), foot, low, high };
        let sigma = math::sqrt(fit.rss / free).max(LEAST_SPREAD);
        Some(Self { curve, sigma, lambda: fit.lambda, places, weights, read })
    }

    /// The curve through other densities at the same places, of white `dmin`, and at the same smoothness.
    pub fn again(&self, values: &[f64], dmin: f64) -> Option<PrintCurve> {
        let mut all = values.to_vec();
        all.resize(self.places.len(), dmin);
        let basis = self.curve.basis;
        let problem = Problem::new(basis, DIFFERENCE, &self.places, &all, &self.weights);
        let fit = problem.at(self.lambda)?;
        Some(PrintCurve { coefficients: rising(&problem, &fit), ..self.curve })
    }

    /// Log exposures of the readings.
    pub fn places(&self) -> &[f64] {
        &self.places[..self.read]
    }
}

/// Coefficients that never fall: those under the penalty, and what little it leaves of a fall taken out.
fn rising(problem: &Problem, fit: &Fit) -> Vec<f64> {
    let (mut coefficients, _) = problem.monotone(fit, 0);
    for i in 1..coefficients.len() {
        coefficients[i] = coefficients[i].max(coefficients[i - 1]);
    }
    coefficients
}

impl PrintCurve {
    /// Density at a log exposure; flat beyond the readings.
    pub fn density(&self, x: f64) -> f64 {
        self.basis.value(&self.coefficients, if x.is_nan() { self.foot } else { x })
    }

    /// Rise of density by unit of log exposure, over a short step; not below 0.
    pub fn slope(&self, x: f64) -> f64 {
        /// Log exposure on either side.
        const STEP: f64 = 0.02;
        ((self.density(x + STEP) - self.density(x - STEP)) / (2.0 * STEP)).max(0.0)
    }

    /// Least and greatest log exposure read.
    pub fn ends(&self) -> (f64, f64) {
        (self.low, self.high)
    }

    /// The least log exposure that gives a density; `None` for densities the curve does not reach.
    pub fn log_exposure(&self, density: f64) -> Option<f64> {
        let (mut low, mut high) = (self.foot, self.high);
        if !(density > self.density(low) && density <= self.density(high)) {
            return None;
        }
        // Thirty halvings of a tablet's length: to a thousand millionth.
        for _ in 0..30 {
            let middle = low.midpoint(high);
            if self.density(middle) < density { low = middle } else { high = middle }
        }
        Some(low.midpoint(high))
    }

    /// How much density still rises over the last 0.3 of log exposure.
    pub fn rise_at_top(&self) -> f64 {
        self.density(self.high) - self.density(self.high - END)
    }

    /// How much it has risen over the first 0.3.
    pub fn rise_at_foot(&self) -> f64 {
        self.density(self.low + END) - self.density(self.low)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn logistic(x: f64) -> f64 {
        0.07 + 1.35 / (1.0 + math::exp(-3.5 * x))
    }

    #[test]
    fn exact_readings_are_given_back() {
        let points: Vec<(f64, f64)> =
            (0..21).map(|i| -1.5 + 0.15 * f64::from(i)).map(|x| (x, logistic(x))).collect();
        let fitted = Fitted::new(&points, None).unwrap();
        for (x, d) in &points {
            assert!((fitted.curve.density(*x) - d).abs() < 0.004, "{x}: {} {d}", fitted.curve.density(*x));
        }
        let x = fitted.curve.log_exposure(0.745).unwrap();
        assert!(x.abs() < 0.005, "{x}");
        assert!((fitted.curve.slope(0.0) - 3.5 * 1.35 / 4.0).abs() < 0.03);
        assert_eq!(fitted.curve.log_exposure(2.0), None);
        assert_eq!(fitted.curve.log_exposure(0.01), None);
    }

    #[test]
    fn too_few_readings_make_no_curve() {
        assert!(Fitted::new(&[(0.0, 0.1), (1.0, 1.0)], None).is_none());
        assert!(Fitted::new(&[(0.0, f64::NAN); 8], None).is_none());
        assert!(Fitted::new(&[(0.5, 0.1); 8], None).is_none());
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_curve_never_falls_and_is_finite(values in prop::collection::vec(0.0..2.0_f64, 8..40)) {
            let points: Vec<(f64, f64)> = values.iter().enumerate().map(|(i, d)| (0.1 * i as f64, *d)).collect();
            if let Some(fitted) = Fitted::new(&points, None) {
                let mut last = f64::NEG_INFINITY;
                for i in 0..200 {
                    let d = fitted.curve.density(-0.5 + 0.025 * f64::from(i));
                    prop_assert!(d.is_finite() && d >= last - 1e-6, "{d} after {last}");
                    last = d;
                }
            }
        }

        /// Prediction at the same conditions returns the measured print.
        #[test]
        fn log_exposure_is_the_inverse(d in 0.1..1.4_f64) {
            let points: Vec<(f64, f64)> = (0..21).map(|i| -1.5 + 0.15 * f64::from(i))
                .map(|x| (x, 0.07 + 1.35 / (1.0 + math::exp(-3.5 * x)))).collect();
            let curve = Fitted::new(&points, None).unwrap().curve;
            if let Some(x) = curve.log_exposure(d) {
                prop_assert!((curve.density(x) - d).abs() < 1e-6);
            }
        }
    }
}
