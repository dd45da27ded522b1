//! The coverage from which more solution no longer makes the black any blacker.
//!
//! Fitted to strips coated with known amounts and exposed to full black: D = D₀ + R·(1 − e^(−w/w₀)), D₀ the bare paper.
//! The form is our choice: black rises with coverage and levels off. For every w₀ the best R follows by least squares;
//! w₀ is searched.

use crate::constant::Constant;
use crate::math::{exp, ln, sqrt};
use crate::quantity::Coverage;

/// What is missing from full black at the knee.
pub const MISSING: Constant = Constant::choice(0.03, "D", 1, "less is hardly seen beside it; no source");
/// Density of bare paper, if it was not read.
pub const PAPER: Constant =
    Constant::choice(0.07, "D", 1, "white paper for art; little depends on it; no source");
/// What one reading may be off (one standard deviation).
pub const READING: Constant = Constant::choice(0.01, "D", 1, "a patch read with some unevenness; no source");
/// Strips nearer to one another than this are as black as one another.
const SAME: f64 = 0.02;
/// Where w₀ is searched, mL/m², and in how many steps.
const SEARCH: (f64, f64, u32) = (2.0, 100.0, 400);

/// A strip: its coverage and its black.
pub type Strip = (Coverage, f64);

/// What strips say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Knee {
    /// The knee, with half the width of its 95 % interval, and w₀ and R of the curve.
    At {
        /// The coverage.
        coverage: Coverage,
        /// Half its interval.
        half: Coverage,
        /// w₀ of the curve.
        bend: Coverage,
        /// R of the curve.
        range: f64,
    },
    /// All strips are as black as one another: the least is enough, and still less may be.
    AllBlack {
        /// The least that was tried.
        least: Coverage,
    },
    /// Black still rises at the most that was tried.
    StillRising {
        /// The most that was tried.
        most: Coverage,
    },
}

/// Why strips say nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KneeError {
    /// Fewer than three different coverages.
    TooFew,
    /// A strip with more solution is clearly less black.
    Falling,
}

/// The knee of at least three strips, on paper of the density `paper`. Coverages above zero, densities finite.
///
/// # Errors
/// The strips say nothing; why.
pub fn knee(strips: &[Strip], paper: f64) -> Result<Knee, KneeError> {
    let mut points: Vec<(f64, f64)> = Vec::new();
    for (coverage, black) in strips {
        let point = (coverage.to_ml_per_m2(), black - paper);
        if point.0 > 0.0 && point.1.is_finite() {
            points.insert(points.partition_point(|p| p.0 <= point.0), point);
        }
    }
    let mut different: Vec<f64> = points.iter().map(|p| p.0).collect();
    different.dedup();
    let (Some(&(least, first)), Some(&(most, _)), true) =
        (points.first(), points.last(), different.len() >= 3)
    else {
        return Err(KneeError::TooFew);
    };
    let mut highest = first;
    for &(_, d) in &points {
        // Three standard deviations of a difference of two readings.
        if d < highest - 3.0 * READING.value * sqrt(2.0) {
            return Err(KneeError::Falling);
        }
        highest = highest.max(d);
    }
    let lowest = points.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
    if highest - lowest < SAME {
        return Ok(Knee::AllBlack { least: Coverage::from_ml_per_m2(least) });
    }
    let (bend, range) = fit(&points);
    let at = place(bend, range);
    if at > most {
        return Ok(Knee::StillRising { most: Coverage::from_ml_per_m2(most) });
    }
    if at < least {
        return Ok(Knee::AllBlack { least: Coverage::from_ml_per_m2(least) });
    }
    let mut variance = 0.0;
    for i in 0..points.len() {
        let mut moved = points.clone();
        moved[i].1 += READING.value;
        let (bend, range) = fit(&moved);
        let shift = place(bend, range) - at;
        variance += shift * shift;
    }
    Ok(Knee::At {
        coverage: Coverage::from_ml_per_m2(at),
        half: Coverage::from_ml_per_m2(1.96 * sqrt(variance)),
        bend: Coverage::from_ml_per_m2(bend),
        range,
    })
}

/// Where no more than [`MISSING`] is missing from full black.
fn place(bend: f64, range: f64) -> f64 {
    bend * ln((range / MISSING.value).max(1.0))
}

/// w₀ and R with the least squares.
fn fit(points: &[(f64, f64)]) -> (f64, f64) {
    let (from, to, steps) = SEARCH;
    let solve = |bend: f64| {
        let (mut xy, mut xx) = (0.0, 0.0);
        for &(w, d) in points {
            let x = 1.0 - exp(-w / bend);
            xy += x * d;
            xx += x * x;
        }
        let range = xy / xx;
        let off = |&(w, d): &(f64, f64)| d - range * (1.0 - exp(-w / bend));
        (points.iter().map(|p| off(p) * off(p)).sum::<f64>(), range)
    };
    let at = |t: f64| from * exp(t * ln(to / from));
    let mut best = (f64::INFINITY, 0.0);
    for step in 0..=steps {
        let t = f64::from(step) / f64::from(steps);
        let error = solve(at(t)).0;
        if error < best.0 {
            best = (error, t);
        }
    }
    // Golden section between the neighbours of the best step.
    let reach = 1.0 / f64::from(steps);
    let (mut low, mut high) = ((best.1 - reach).max(0.0), (best.1 + reach).min(1.0));
    for _ in 0..40 {
        let third = (high - low) * 0.381_966_011_250_105;
        if solve(at(low + third)).0 < solve(at(high - third)).0 {
            high -= third;
        } else {
            low += third;
        }
    }
    let bend = at((low + high) / 2.0);
    (bend, solve(bend).1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn strips(all: &[(f64, f64)]) -> Vec<Strip> {
        all.iter().map(|&(w, d)| (Coverage::from_ml_per_m2(w), d)).collect()
    }

    /// Black over coverage of the simulated process behind the invented harbour series: 0.07 + R (1 − e^(−w/20)).
    fn simulated(w: f64) -> f64 {
        0.07 + 1.563 * (1.0 - exp(-w / 20.0))
    }

    #[test]
    fn the_knee_of_a_known_curve() {
        let all = [25.0, 45.0, 95.0].map(|w| (w, simulated(w)));
        let Ok(Knee::At { coverage, half, bend, range }) = knee(&strips(&all), 0.07) else {
            panic!("no knee");
        };
        assert!((bend.to_ml_per_m2() - 20.0).abs() < 1e-4 && (range - 1.563).abs() < 1e-6);
        // 20 ln(1.563 / 0.03)
        assert!((coverage.to_ml_per_m2() - 79.064).abs() < 0.01, "{coverage:?}");
        assert!(half.to_ml_per_m2() > 1.0 && half.to_ml_per_m2() < 20.0, "{half:?}");
    }

    #[test]
    fn what_strips_cannot_say() {
        assert_eq!(knee(&strips(&[(20.0, 1.2), (30.0, 1.3)]), 0.07), Err(KneeError::TooFew));
        assert_eq!(knee(&strips(&[(20.0, 1.2), (20.0, 1.2), (30.0, 1.3)]), 0.07), Err(KneeError::TooFew));
        assert_eq!(knee(&strips(&[(20.0, 1.4), (30.0, 1.3), (40.0, 1.2)]), 0.07), Err(KneeError::Falling));
        let least = Coverage::from_ml_per_m2(20.0);
        assert_eq!(
            knee(&strips(&[(20.0, 1.45), (30.0, 1.45), (40.0, 1.46)]), 0.07),
            Ok(Knee::AllBlack { least })
        );
        let most = Coverage::from_ml_per_m2(40.0);
        let rising = [15.0, 25.0, 40.0].map(|w| (w, simulated(w)));
        assert_eq!(knee(&strips(&rising), 0.07), Ok(Knee::StillRising { most }));
        assert_eq!(knee(&[], f64::NAN), Err(KneeError::TooFew));
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn exact_strips_give_their_curve_back(bend in 6.0..30.0f64, range in 0.8..1.8f64, order in 0usize..3) {
            let knee_at = bend * ln(range / MISSING.value);
            let mut all: Vec<Strip> = [0.4, 0.7, 1.1]
                .map(|k| (Coverage::from_ml_per_m2(k * knee_at), 0.05 + range * (1.0 - exp(-k * knee_at / bend))))
                .to_vec();
            all.rotate_left(order);
            match knee(&all, 0.05) {
                Ok(Knee::At { coverage, .. }) => prop_assert!((coverage.to_ml_per_m2() / knee_at - 1.0).abs() < 1e-4),
                other => prop_assert!(false, "{other:?}"),
            }
        }

        #[test]
        fn never_panics(all in proptest::collection::vec((0.0..400.0f64, -1.0..5.0f64), 0..6), paper in -1.0..3.0f64) {
            let strips: Vec<Strip> = all.into_iter().map(|(w, d)| (Coverage::from_ml_per_m2(w), d)).collect();
            if let Ok(Knee::At { coverage, half, .. }) = knee(&strips, paper) {
                prop_assert!(coverage.to_ml_per_m2().is_finite() && half.to_ml_per_m2().is_finite());
            }
        }
    }
}
