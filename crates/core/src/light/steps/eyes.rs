//! The time for black without an instrument: which steps of a tablet eyes cannot tell apart.
//!
//! Of the first pair of neighbours that look alike, the lighter is taken: its exposure is enough, and the darker would
//! cost a step more. How far that lies from the black an instrument would find depends on how small a difference the eye
//! sees and how steep the paper is; both are let range over what is believed, and that is the interval.

use crate::constant::{Basis, Constant};
use crate::estimate::Estimate;
use crate::light::paper_curve::{PaperCurve, STEEPNESS, STEEPNESS_HIGH, STEEPNESS_LOW};
use crate::math;

/// Least differences of density that eyes tell apart in black.
pub const SIGHT: [Constant; 3] = [
    Constant::choice(0.01, "D", 1, "a keen eye, touching patches in strong light"),
    Constant::choice(0.02, "D", 1, "an ordinary eye"),
    Constant::choice(0.04, "D", 1, "a tired eye or weak light"),
];

/// What eyes found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// Time for black, in seconds.
    pub seconds: Estimate,
    /// What the darker step of the pair would take, in seconds.
    pub darker: f64,
}

/// How far black (within `closeness`) lies from the lighter step of the first pair that looks alike, in log exposure, when
/// steps lie `step` apart: least and greatest.
#[must_use]
pub fn offset(step: f64, closeness: f64) -> (f64, f64) {
    let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
    for steepness in [STEEPNESS_LOW.value, STEEPNESS.value, STEEPNESS_HIGH.value] {
        let curve = PaperCurve::starting(closeness).steeper(steepness);
        for sight in SIGHT {
            // The least exposure from which on a step more is not seen.
            let (mut low, mut high) = (-0.8, 2.0);
            for _ in 0..40 {
                let middle = f64::midpoint(low, high);
                if curve.density(middle + step) - curve.density(middle) >= sight.value {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            least = least.min(-low - step);
            most = most.max(-low);
        }
    }
    (least, most)
}

/// From a print of `seconds` on which the tablet's step of density `lighter` looks as black as its clearer neighbour of
/// density `darker`, behind clear film that holds back `film` more than what lay under the tablet.
#[must_use]
pub fn seen(seconds: f64, (darker, lighter): (f64, f64), film: f64, closeness: f64) -> Seen {
    let at = |d: f64| seconds * math::exp10(film - d);
    let value = at(lighter);
    let (low, high) = offset((lighter - darker).max(0.01), closeness);
    let seconds = Estimate {
        value,
        low: value * math::exp10(low).min(1.0),
        high: value * math::exp10(high).max(1.0),
        basis: Basis::Measured { n: 1 },
    };
    Seen { seconds, darker: at(darker) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn whatever_the_eye_and_the_time_the_interval_holds_the_demonstration_models_black() {
        // Black of the demonstration model is at 360 s behind clear film.
        let d = |seconds: f64, step: f64| {
            let curve = PaperCurve::starting(0.03);
            curve.density(math::log10(seconds / 360.0) - step)
        };
        let mut seen_any = 0;
        for apart in [0.15, 0.1] {
            for sight in [0.012, 0.02, 0.035] {
                for print in [500.0, 600.0, 700.0, 900.0, 1200.0] {
                    let steps: Vec<f64> = (0..21).map(|i| 0.05 + apart * f64::from(i)).collect();
                    // From the light end: the first pair that looks alike.
                    let pair = (1..21).rev().find(|&i| {
                        let (a, b) = (d(print, steps[i - 1]), d(print, steps[i]));
                        b > 0.8 && a - b < sight
                    });
                    let Some(i) = pair else { continue };
                    let s = seen(print, (steps[i - 1], steps[i]), 0.0, 0.03);
                    assert!(
                        s.seconds.low <= 360.0 && 360.0 <= s.seconds.high,
                        "{apart} {sight} {print}: {s:?}"
                    );
                    assert!(s.darker > s.seconds.value);
                    seen_any += 1;
                }
            }
        }
        assert!(seen_any > 20, "{seen_any}");
    }
}
