//! The points of a paper curve: T, m and S after ISO 6846, and those that count as white and as black.
//!
//! The standard's own text was not seen; T, m and S are taken as other texts restate them: densities of Dmin + 0.04,
//! Dmin + 0.60 and Dmin + 0.90 of the net range (not of Dmax). They compare papers. Times and negatives are set by the
//! other two: black is within a chosen closeness of Dmax, white within another of masked paper.

use super::PrintCurve;
use crate::constant::{Basis, Constant};

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
        let at = |d: f64| curve.log_exposure(d);
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

#[cfg(test)]
mod tests {
    use super::super::curve::Fitted;
    use super::*;
    use crate::math;
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
        assert!(1.48 - curve.density(0.1) > 0.008, "{}", curve.density(0.1));
        assert!((curve.densest() - 1.48).abs() < 0.003, "{}", curve.densest());
    }
}
