//! The points of a paper curve: T, m and S after ISO 6846, and those that count as white and as black.
//!
//! The standard's own text was not seen; T, m and S are taken as other texts restate them: densities of Dmin + 0.04,
//! Dmin + 0.60 and Dmin + 0.90 of the net range (not of Dmax). They compare papers. Times and negatives are set by the
//! other two: black is within a chosen closeness of Dmax, white within another of masked paper.

use super::PrintCurve;
use crate::constant::{Basis, Constant};
use crate::light::paper_curve;
use crate::math;

/// Density of T above Dmin.
pub const TOE: Constant = secondary(0.04, "D");
/// Density of m above Dmin.
pub const MIDDLE: Constant = secondary(0.60, "D");
/// Part of the net range at S.
pub const SHOULDER: Constant = secondary(0.90, "");
/// How far above masked paper a tone may stay and still count as white.
pub const WHITE: Constant = Constant::choice(
    0.02,
    "D",
    1,
    "a veil that eyes just do not see beside paper; 0.01 to 0.04 are sensible",
);

const fn secondary(value: f64, unit: &'static str) -> Constant {
    Constant {
        value,
        unit,
        digits: 2,
        basis: Basis::Published,
        source: "after ISO 6846:1992, as restated in secondary sources",
    }
}

/// Log exposures of the points; `None` where the readings do not reach.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Points {
    /// Density of white paper.
    pub dmin: f64,
    /// Densest black.
    pub dmax: f64,
    /// log H at T.
    pub t: Option<f64>,
    /// log H at m.
    pub m: Option<f64>,
    /// log H at S.
    pub s: Option<f64>,
    /// log H at the closeness to white.
    pub white: Option<f64>,
    /// log H at the closeness to black.
    pub black: Option<f64>,
}

impl Points {
    /// The points of a curve between `dmin` and `dmax`, white and black within these closenesses.
    #[must_use]
    pub fn of(curve: &PrintCurve, (dmin, dmax): (f64, f64), (white, black): (f64, f64)) -> Self {
        let at = |d: f64| curve.log_exposure(d).or_else(|| beyond_foot(curve, dmin, d));
        Self {
            dmin,
            dmax,
            t: at(dmin + TOE.value),
            m: at(dmin + MIDDLE.value),
            s: at(dmin + SHOULDER.value * (dmax - dmin)),
            white: at(dmin + white),
            black: at(dmax - black),
        }
    }

    /// Exposure scale, log H(S) − log H(T).
    #[must_use]
    pub fn scale(&self) -> Option<f64> {
        Some(self.s? - self.t?)
    }

    /// Average gradient between T and S.
    #[must_use]
    pub fn gradient(&self) -> Option<f64> {
        Some((SHOULDER.value * (self.dmax - self.dmin) - TOE.value) / self.scale()?)
    }

    /// Working range, log H(black) − log H(white).
    #[must_use]
    pub fn working(&self) -> Option<f64> {
        Some(self.black? - self.white?)
    }
}

/// Log exposure of a density a little lighter than the lightest step: near white a print's density above paper goes with
/// H^g, so the curve is carried on by that, for no more than 0.3 of log exposure.
fn beyond_foot(curve: &PrintCurve, dmin: f64, density: f64) -> Option<f64> {
    /// Log exposure it is carried on by.
    const FARTHEST: f64 = 0.3;
    let (low, _) = curve.ends();
    let (foot, wanted) = (curve.density(low) - dmin, density - dmin);
    if !(wanted > 0.0 && foot >= wanted) {
        return None;
    }
    let back = math::log10(foot / wanted) / paper_curve::STEEPNESS.value;
    (back <= FARTHEST).then_some(low - back)
}

/// The densest black that a curve points to: its upper end, and what is still to come by its slope there. A coating
/// whose grains are used up nears black as R·e^(−k·H^g); there the rest e and the slope s hold
/// s = e · ln(R/e) · g · ln 10. No more than 0.05 is added: a curve that rises more has not reached black.
#[must_use]
pub fn densest(curve: &PrintCurve, dmin: f64) -> f64 {
    /// Density that is added at most.
    const MOST: f64 = 0.05;
    /// Log exposure over which the slope at the upper end is taken.
    const REACH: f64 = 0.15;
    let (_, high) = curve.ends();
    let top = curve.density(high);
    let range = (top - dmin).max(0.2);
    let slope = (top - curve.density(high - REACH)) / REACH;
    let rise = |e: f64| e * math::ln(range / e) * paper_curve::STEEPNESS.value * core::f64::consts::LN_10;
    let (mut low, mut up) = (1e-6_f64, MOST);
    if rise(up) <= slope {
        return top + MOST;
    }
    for _ in 0..30 {
        let middle = low.midpoint(up);
        if rise(middle) < slope { low = middle } else { up = middle }
    }
    // The slope is that of the middle of its reach; at its end about a third of it is left.
    top + low / 3.0
}

#[cfg(test)]
mod tests {
    use super::super::curve::Fitted;
    use super::*;
    use crate::testing::test;
    use serde_json::Value;

    const CASES: &str = include_str!("../../../../../tests/reference/sensitometry/iso6846.json");

    #[test]
    fn points_of_exact_curves() {
        let all: Value = serde_json::from_str(CASES).unwrap();
        let tolerance = all["tolerance_pchip_0p15_steps"].as_f64().unwrap();
        let cases = all["cases"].as_array().unwrap();
        assert_eq!(cases.len(), 3);
        for case in cases {
            let list = |key: &str| -> Vec<f64> {
                case[key].as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect()
            };
            let of = |key: &str| case["exact"][key].as_f64().unwrap();
            let ends = (case["dmin"].as_f64().unwrap(), case["dmax"].as_f64().unwrap());
            let points: Vec<(f64, f64)> = list("logH").into_iter().zip(list("D")).collect();
            let curve = Fitted::new(&points, None).unwrap().curve;
            let p = Points::of(&curve, ends, (WHITE.value, 0.03));
            let off = |found: Option<f64>, key: &str| (found.unwrap() - of(key)).abs();
            assert!(off(p.t, "logH_T") < tolerance, "{:?}", p.t);
            assert!(off(p.m, "logH_m") < tolerance / 4.0, "{:?}", p.m);
            assert!(off(p.s, "logH_S") < tolerance, "{:?}", p.s);
            assert!(off(p.scale(), "log_exposure_range") < 1.5 * tolerance);
            assert!((p.gradient().unwrap() / of("average_gradient_S_T") - 1.0).abs() < 0.03);
            assert!(off(Some(curve.slope(of("logH_m"))), "slope_m") < 0.03);
        }
    }

    #[test]
    fn what_is_still_to_come() {
        // A saturating print that stops 0.01 below its densest black.
        let d = |x: f64| 0.07 + 1.41 * (1.0 - math::pow(0.03 / 1.41, math::exp10(1.08 * x)));
        let points: Vec<(f64, f64)> = (0..24).map(|i| 0.1 - 0.1 * f64::from(i)).map(|x| (x, d(x))).collect();
        let curve = Fitted::new(&points, None).unwrap().curve;
        let top = curve.density(0.1);
        assert!(1.48 - top > 0.01, "{top}");
        assert!((densest(&curve, 0.07) - 1.48).abs() < 0.007, "{}", densest(&curve, 0.07));
    }
}
