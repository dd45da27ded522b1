//! Is the ink dense enough: what a film's full ink holds back beyond its clear parts, against the paper's working range.

use super::paper::Paper;
use crate::constant::Constant;
use crate::estimate::Estimate;
use crate::tone::lightness;

/// Log exposure beyond the working range from which on a film is denser than is good.
pub const OVER: Constant =
    Constant::choice(0.4, "log exposure", 1, "beyond it a fifth of the codes print nothing but white");

/// What the comparison says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Verdict {
    /// Full ink does not reach white.
    Short {
        /// By so much log exposure.
        by: f64,
        /// Whites stay darker than masked paper by so much L*.
        veil: f64,
    },
    /// It does.
    Enough {
        /// Log exposure to spare.
        spare: f64,
    },
    /// It goes far beyond.
    Over {
        /// By so much log exposure.
        by: f64,
    },
}

/// Compares the range of a film with the working range of its paper, both in log exposure.
#[must_use]
pub fn verdict(film: f64, working: f64, curve: &dyn Paper) -> Verdict {
    let spare = film - working;
    if spare < 0.0 {
        let white = lightness::from_density(curve.white());
        let veil = (white - lightness::from_density(curve.density(-film))).max(0.0);
        Verdict::Short { by: -spare, veil }
    } else if spare > OVER.value {
        Verdict::Over { by: spare }
    } else {
        Verdict::Enough { spare }
    }
}

/// Whether the verdict could be another within the intervals of both.
#[must_use]
pub fn open(film: Estimate, working: Estimate, curve: &dyn Paper) -> bool {
    let kind = |v: Verdict| match v {
        Verdict::Short { .. } => 0,
        Verdict::Enough { .. } => 1,
        Verdict::Over { .. } => 2,
    };
    kind(verdict(film.low, working.high, curve)) != kind(verdict(film.high, working.low, curve))
}

#[cfg(test)]
mod tests {
    use super::super::PaperCurve;
    use super::*;
    use crate::constant::Basis;
    use crate::testing::test;

    #[test]
    fn three_verdicts() {
        let curve = PaperCurve::starting(0.03);
        let Verdict::Short { by, veil } = verdict(1.9, 2.25, &curve) else { panic!("short") };
        assert!((by - 0.35).abs() < 1e-12 && veil > 1.5 && veil < 6.0, "{veil}");
        assert!(matches!(verdict(2.32, 2.25, &curve), Verdict::Enough { .. }));
        assert!(matches!(verdict(2.8, 2.25, &curve), Verdict::Over { .. }));
        let of = |v: f64| Estimate::plus_minus(v, 0.1, Basis::Choice);
        assert!(open(of(2.3), of(2.25), &curve) && !open(of(1.5), of(2.25), &curve));
    }

    #[test]
    fn a_film_that_spans_the_working_range_prints_both_ends() {
        // Law: clear film at black and full ink at or beyond white print black and white.
        let curve = PaperCurve::starting(0.03);
        let white = curve.log_exposure(0.07 + 0.02).unwrap();
        for film in [-white, -white + 0.2] {
            assert!((curve.density(0.0) - curve.black()).abs() < 1e-12);
            assert!(curve.density(-film) <= 0.09 + 1e-9);
            assert!(!matches!(verdict(film, -white, &curve), Verdict::Short { .. }));
        }
    }
}
