//! Print density against log exposure: a rising curve through the readings of a step print.
//!
//! Five figures give its shape ([`Shape`]); what the readings say beside it is a cubic penalised spline of 20 segments with
//! first differences, smoothness by restricted likelihood (Eilers and Marx, Statistical Science 11, 1996). A spline alone
//! rounds the shoulder off, and black lies there: it would give times a tenth too long. The sum is held rising, and beyond
//! the readings the shape goes on.

use super::shape::Shape;
use crate::constant::Constant;
use crate::math;
use crate::tone::pspline::{Basis, Problem};

/// Segments of the spline.
pub const SEGMENTS: usize = 20;
/// Order of the differences that are kept small.
const DIFFERENCE: usize = 1;
/// Fewest readings that make a curve.
pub const FEWEST: usize = 7;
/// Least standard deviation of a reading that is believed, in density: that of rounding to 0.01.
const LEAST_SPREAD: f64 = 0.0029;
/// Standard uncertainty of the density of one step of a tablet.
pub const STEP_DOUBT: Constant =
    Constant::practice(0.01, "D", 1, "tablets for this work are commonly known to 0.01 or 0.02; no source");
/// Log exposure over which a slope at an end is taken.
pub const END: f64 = 0.3;
/// Log exposure by which the curve is carried on below the readings, and above.
const BEYOND: (f64, f64) = (1.0, 0.3);
/// Nodes of the curve.
const NODES: usize = 321;

/// A rising curve of density against log exposure.
#[derive(Clone, Debug, PartialEq)]
pub struct PrintCurve {
    nodes: Vec<f64>,
    foot: f64,
    low: f64,
    high: f64,
    top: f64,
    dmax: f64,
}

/// A curve with what it takes to fit it again to other readings at the same places.
#[derive(Clone, Debug)]
pub struct Fitted {
    /// The curve.
    pub curve: PrintCurve,
    /// Standard deviation of one reading, in density.
    pub sigma: f64,
    free: f64,
    shape: Shape,
    basis: Basis,
    places: Vec<f64>,
    weight: f64,
}

impl Fitted {
    /// Fits points (log exposure, density), in any order, at least [`FEWEST`], all finite. `white`: the density of paper
    /// that had no light and how many readings it is the mean of. `None` if they cannot carry a curve.
    pub fn new(points: &[(f64, f64)], white: Option<(f64, f64)>) -> Option<Self> {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
        for (x, d) in points {
            (low, high, least, most) = (low.min(*x), high.max(*x), least.min(*d), most.max(*d));
        }
        if points.len() < FEWEST || points.iter().any(|(x, d)| !(x.is_finite() && d.is_finite())) {
            return None;
        }
        let basis = Basis::new(low, high, SEGMENTS)?;
        let shape = Shape::begin(low, high, white.map_or(least, |w| w.0), most).fit(points, white);
        let (places, rest): (Vec<f64>, Vec<f64>) =
            points.iter().map(|(x, d)| (*x, d - shape.density(*x))).unzip();
        let problem = Problem::new(basis, DIFFERENCE, &places, &rest, &vec![1.0; places.len()]);
        let fit = problem.best()?;
        // The spline's own level is one of the shape's five figures.
        let free = (places.len() as f64 + f64::from(u8::from(white.is_some())) - 4.0 - fit.edf).max(2.0);
        let sigma = math::sqrt(fit.rss / free).max(LEAST_SPREAD);
        let curve = PrintCurve::of(&shape, &basis, &fit.coefficients, (low, high));
        let weight = white.map_or(0.0, |w| w.1);
        Some(Self { curve, sigma, free, shape, basis, places, weight })
    }

    /// The curve through other densities at the same places, of white `dmin`, its smoothness chosen anew.
    pub fn again(&self, values: &[f64], dmin: Option<f64>) -> Option<PrintCurve> {
        let points: Vec<(f64, f64)> = self.places.iter().copied().zip(values.iter().copied()).collect();
        let shape = self.shape.fit(&points, dmin.map(|d| (d, self.weight)));
        let rest: Vec<f64> = points.iter().map(|(x, d)| d - shape.density(*x)).collect();
        let problem = Problem::new(self.basis, DIFFERENCE, &self.places, &rest, &vec![1.0; rest.len()]);
        let fit = problem.best()?;
        Some(PrintCurve::of(&shape, &self.basis, &fit.coefficients, (self.curve.low, self.curve.high)))
    }

    /// Standard deviation with which the density of each step may be drawn again, in the order of the places: readings
    /// scatter everywhere, steps of the tablet that are off by a little show where the curve is steep. Few readings know
    /// their own scatter badly; the variance of Student's distribution allows for that.
    pub fn spreads(&self) -> Vec<f64> {
        let slopes: Vec<f64> = self.places.iter().map(|x| self.curve.slope(*x)).collect();
        let steps = |slope: f64| slope * slope * STEP_DOUBT.value * STEP_DOUBT.value;
        let mean = slopes.iter().map(|s| steps(*s)).sum::<f64>() / slopes.len() as f64;
        let variance = self.sigma * self.sigma;
        let own = (variance - mean).max(variance / 2.0);
        let few = self.free / (self.free - 2.0).max(1.0);
        slopes.iter().map(|s| math::sqrt(few * (own + steps(*s)))).collect()
    }

    /// Log exposures of the readings.
    pub fn places(&self) -> &[f64] {
        &self.places
    }
}

impl PrintCurve {
    fn of(shape: &Shape, basis: &Basis, rest: &[f64], (low, high): (f64, f64)) -> Self {
        let (foot, top) = (low - BEYOND.0, high + BEYOND.1);
        let mut last = f64::NEG_INFINITY;
        let nodes = (0..NODES)
            .map(|i| {
                let x = foot + (top - foot) * i as f64 / (NODES - 1) as f64;
                // Below the readings what lies beside the shape dies away, so that it ends at white.
                let fade = ((x - foot) / BEYOND.0).clamp(0.0, 1.0);
                last = (shape.density(x) + fade * basis.value(rest, x)).max(last);
                last
            })
            .collect();
        Self { nodes, foot, low, high, top, dmax: shape.dmax() + basis.value(rest, high) }
    }

    /// Density at a log exposure; flat beyond what it is carried on by.
    pub fn density(&self, x: f64) -> f64 {
        let x = if x.is_nan() { self.foot } else { x };
        let place = ((x - self.foot) / (self.top - self.foot)).clamp(0.0, 1.0) * (NODES - 1) as f64;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a place among the nodes"
        )]
        let i = (place as usize).min(NODES - 2);
        self.nodes[i] + (self.nodes[i + 1] - self.nodes[i]) * (place - i as f64)
    }

    /// Rise of density by unit of log exposure, over a short step; not below 0.
    pub fn slope(&self, x: f64) -> f64 {
        /// Log exposure on either side.
        const STEP: f64 = 0.03;
        ((self.density(x + STEP) - self.density(x - STEP)) / (2.0 * STEP)).max(0.0)
    }

    /// Least and greatest log exposure read.
    pub fn ends(&self) -> (f64, f64) {
        (self.low, self.high)
    }

    /// The densest black that it points to.
    pub fn densest(&self) -> f64 {
        self.dmax
    }

    /// The least log exposure that gives a density; `None` for densities the curve does not reach.
    pub fn log_exposure(&self, density: f64) -> Option<f64> {
        let i = self.nodes.partition_point(|d| *d < density);
        if i == 0 || i == NODES || density.is_nan() {
            return None;
        }
        let (a, b) = (self.nodes[i - 1], self.nodes[i]);
        let part = if b > a { (density - a) / (b - a) } else { 0.0 };
        Some(self.foot + (self.top - self.foot) * ((i - 1) as f64 + part) / (NODES - 1) as f64)
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
