//! How long paper takes to follow the air, from the printer's own weighings: m(t) = m∞ + (m₀ − m∞)·e^(−t/τ).
//!
//! And about how much water paper then holds. Which side it comes from matters (hysteresis, TAPPI T 402): always the same.

use crate::constant::{Basis, Constant};
use crate::math;

const GUIDE: &str = "a trade guide to humidification; whether by dry or by whole weight is not said there";

const fn pair(humidity: f64, water: f64) -> (f64, Constant) {
    (humidity, Constant { value: water, unit: "%", digits: 2, basis: Basis::CommonPractice, source: GUIDE })
}

/// Relative humidity in % and water in paper in %, as a trade guide has them.
pub const GUIDE_POINTS: [(f64, Constant); 9] = [
    pair(1.5, 0.5),
    pair(2.5, 0.8),
    pair(4.4, 1.2),
    pair(7.2, 2.2),
    pair(11.6, 3.3),
    pair(18.1, 4.3),
    pair(26.8, 5.3),
    pair(38.3, 6.4),
    pair(54.0, 8.0),
];

/// Water in ordinary paper in % at a relative humidity in %, by straight lines through the guide; `None` outside it.
#[must_use]
pub fn water(humidity: f64) -> Option<f64> {
    let mut pairs = GUIDE_POINTS.windows(2);
    pairs
        .rfind(|w| (w[0].0..=w[1].0).contains(&humidity))
        .map(|w| w[0].1.value + (w[1].1.value - w[0].1.value) * (humidity - w[0].0) / (w[1].0 - w[0].0))
}

/// How a sheet nears its rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Course {
    /// Weight at rest.
    pub rest: f64,
    /// Weight at the start.
    pub start: f64,
    /// Minutes in which the difference falls to 1/e.
    pub tau: f64,
}

impl Course {
    /// Weight after so many minutes.
    #[must_use]
    pub fn weight(&self, minutes: f64) -> f64 {
        self.rest + (self.start - self.rest) * math::exp(-minutes / self.tau)
    }

    /// Minutes until only this part of the difference is left.
    #[must_use]
    pub fn minutes_to(&self, part: f64) -> f64 {
        self.tau * math::ln(1.0 / part.clamp(1e-6, 1.0))
    }

    /// From weighings (minutes, weight), at least three that go one way and slow down: least squares, τ by search.
    /// `None` for others.
    #[must_use]
    pub fn fit(weighings: &[(f64, f64)]) -> Option<Self> {
        let sound = weighings.iter().all(|(t, m)| t.is_finite() && *m > 0.0 && m.is_finite());
        let span = weighings.last()?.0 - weighings.first()?.0;
        if weighings.len() < 3 || !sound || span <= 0.0 || weighings.windows(2).any(|w| w[0].0 >= w[1].0) {
            return None;
        }
        // For each τ rest and difference are a straight line in e^(−t/τ); the best τ is found on a logarithmic net.
        let solve = |tau: f64| -> Option<(f64, Self)> {
            let n = weighings.len() as f64;
            let z: Vec<f64> = weighings.iter().map(|(t, _)| math::exp(-t / tau)).collect();
            let (mz, mm) = (z.iter().sum::<f64>() / n, weighings.iter().map(|w| w.1).sum::<f64>() / n);
            let szz: f64 = z.iter().map(|z| (z - mz) * (z - mz)).sum();
            let szm: f64 = z.iter().zip(weighings).map(|(z, w)| (z - mz) * (w.1 - mm)).sum();
            let slope = szm / szz;
            let rest = mm - slope * mz;
            let off: f64 = z.iter().zip(weighings).map(|(z, w)| w.1 - rest - slope * z).map(|r| r * r).sum();
            off.is_finite().then_some((off, Self { rest, start: rest + slope, tau }))
        };
        let (mut low, mut high) = (math::ln(span / 50.0), math::ln(span * 2.0));
        let mut best: Option<(f64, Self)> = None;
        for _ in 0..4 {
            let step = (high - low) / 40.0;
            let mut at = low;
            for i in 0..=40 {
                let x = low + step * f64::from(i);
                if let Some(found) = solve(math::exp(x))
                    && best.is_none_or(|b| found.0 < b.0)
                {
                    best = Some(found);
                    at = x;
                }
            }
            if best.is_some_and(|b| (math::ln(b.1.tau) - at).abs() > step) {
                at = best.map_or(at, |b| math::ln(b.1.tau));
            }
            (low, high) = (at - step, at + step);
        }
        let course = best?.1;
        // A τ at the far end means that the weighings do not slow down: rest is a guess.
        (course.tau < 1.9 * span && course.rest > 0.0).then_some(course)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use serde_json::Value;

    #[test]
    fn courses_and_waters_of_the_reference() {
        let all: Value = serde_json::from_str(include_str!(
            "../../../../tests/reference/paper_moisture/paper_moisture.json"
        ))
        .unwrap();
        let rows = all["first_order_conditioning"]["vectors"].as_array().unwrap();
        assert_eq!(rows.len(), 15);
        for row in rows {
            let of = |key: &str| row[key].as_f64().unwrap();
            let course = Course { rest: of("m_inf"), start: of("m0"), tau: of("tau_min") };
            assert!((course.weight(of("t_min")) - of("m")).abs() < 1e-6);
        }
        let points = all["published"]["humidification_guide_table"]["points"].as_array().unwrap();
        assert_eq!(points.len(), 9);
        for p in points {
            let found = water(p[0].as_f64().unwrap()).unwrap();
            assert!((found - p[1].as_f64().unwrap()).abs() < 1e-9);
        }
        assert_eq!((water(0.5), water(80.0)), (None, None));
    }

    #[test]
    fn weighings_give_the_course_back() {
        let truth = Course { rest: 31.4, start: 30.6, tau: 18.0 };
        let weighings: Vec<(f64, f64)> =
            [0.0, 5.0, 10.0, 20.0, 40.0, 60.0].map(|t| (t, truth.weight(t))).to_vec();
        let found = Course::fit(&weighings).unwrap();
        assert!((found.tau / 18.0 - 1.0).abs() < 0.01 && (found.rest - 31.4).abs() < 0.002, "{found:?}");
        assert!((found.minutes_to(0.1) / (18.0 * core::f64::consts::LN_10) - 1.0).abs() < 0.01);
        assert_eq!(Course::fit(&[(0.0, 30.0), (10.0, 30.1), (20.0, 30.2), (30.0, 30.3)]), None);
        assert_eq!(Course::fit(&weighings[..2]), None);
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn any_weighings_are_answered(all in prop::collection::vec((-10.0..1e4_f64, -5.0..1e3_f64), 0..8)) {
            if let Some(course) = Course::fit(&all) {
                prop_assert!(course.tau > 0.0 && course.rest.is_finite() && course.weight(10.0).is_finite());
            }
        }
    }
}
