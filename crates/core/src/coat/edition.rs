//! How many sheets an edition takes, when some of them fail.
//!
//! The attempt at which the k-th good print falls follows the negative binomial distribution: attempt n is the k-th
//! success with probability C(n−1, k−1) pᵏ (1−p)ⁿ⁻ᵏ. The terms are summed from n = k on until the confidence is
//! reached; each follows from the one before it, so nothing but products is needed.

use crate::constant::Constant;
use crate::math::{exp, ln};

/// How sure the printer wants to be.
pub const CONFIDENCE: Constant = Constant::choice(0.9, "", 1, "one edition in ten may need another order");
/// Most accepted prints that are planned at once.
pub const MOST: u32 = 1000;
/// Least share of good prints that is planned with.
pub const LEAST_YIELD: f64 = 0.05;
/// Sums that reach the confidence but for rounding have reached it.
const SLACK: f64 = 1e-12;
/// When terms grow beyond this they are scaled down, so that small beginnings are not lost.
const LARGE: f64 = 1e200;

/// What an edition takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Attempts {
    /// Sheets with which the wanted number is reached at the confidence.
    pub needed: u32,
    /// How likely they are enough.
    pub probability: f64,
    /// Sheets it takes on average: wanted / yield.
    pub expected: f64,
}

/// Sheets for `accepted` prints (1 to [`MOST`]) when the share `good` of them ([`LEAST_YIELD`] to 1) turns out well and
/// one print knows nothing of another, at a confidence below 1. `None` outside these ranges.
#[must_use]
pub fn attempts(accepted: u32, good: f64, confidence: f64) -> Option<Attempts> {
    let fits = (1..=MOST).contains(&accepted)
        && (LEAST_YIELD..=1.0).contains(&good)
        && (0.0..=0.999).contains(&confidence);
    if !fits {
        return None;
    }
    let k = f64::from(accepted);
    let bad = 1.0 - good;
    // Probabilities in units of exp(scale).
    let (mut scale, mut term, mut sum) = (k * ln(good), 1.0, 1.0);
    let mut n = accepted;
    loop {
        let probability = (sum * exp(scale)).min(1.0);
        // At the least yield the sum is within a millionth of 1 long before this many.
        if probability + SLACK >= confidence || n >= accepted.saturating_mul(60) + 1000 {
            return Some(Attempts { needed: n, probability, expected: k / good });
        }
        term *= bad * f64::from(n) / (f64::from(n) - k + 1.0);
        sum += term;
        n += 1;
        if sum > LARGE {
            (term, sum) = (term / LARGE, sum / LARGE);
            scale += ln(LARGE);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn as_computed_in_exact_fractions() {
        let v: serde_json::Value =
            serde_json::from_str(include_str!("../../../../tests/reference/negative-binomial/vectors.json"))
                .unwrap();
        let rows = v["rows"].as_array().unwrap();
        assert!(rows.len() > 200);
        for row in rows {
            let n = |i: usize| row[i].as_f64().unwrap();
            let accepted = u32::try_from(row[0].as_u64().unwrap()).unwrap();
            let found = attempts(accepted, n(1) / 100.0, n(2) / 100.0).unwrap();
            assert_eq!(f64::from(found.needed), n(3), "{row}");
            assert!((found.probability - n(4)).abs() < 1e-9, "{row}: {}", found.probability);
        }
    }

    #[test]
    fn the_ends_of_the_ranges() {
        for (accepted, good, confidence) in [
            (0, 0.8, 0.9),
            (1001, 0.8, 0.9),
            (5, 0.04, 0.9),
            (5, 1.1, 0.9),
            (5, f64::NAN, 0.9),
            (5, 0.8, 1.0),
        ] {
            assert_eq!(attempts(accepted, good, confidence), None);
        }
        let worst = attempts(MOST, LEAST_YIELD, 0.999).unwrap();
        assert!(worst.probability >= 0.999 - SLACK && worst.needed < 25_000, "{worst:?}");
        assert_eq!(attempts(7, 1.0, 0.9).map(|a| a.needed), Some(7));
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn enough_and_no_more(accepted in 1u32..120, good in 0.05..=1.0f64, confidence in 0.1..0.99f64) {
            let a = attempts(accepted, good, confidence).unwrap();
            prop_assert!(a.needed >= accepted && a.probability + SLACK >= confidence);
            // P(at least k good in n) by adding up the binomial from the other side.
            let at_least = |n: u32| {
                let mut p = vec![0.0; accepted as usize + 1];
                p[0] = 1.0;
                for _ in 0..n {
                    for i in (0..=accepted as usize).rev() {
                        let up = if i > 0 { p[i - 1] * good } else { 0.0 };
                        p[i] = up + p[i] * if i == accepted as usize { 1.0 } else { 1.0 - good };
                    }
                }
                p[accepted as usize]
            };
            prop_assert!((at_least(a.needed) - a.probability).abs() < 1e-9);
            prop_assert!(a.needed == accepted || at_least(a.needed - 1) < confidence + 1e-9);
        }

        #[test]
        fn better_printers_need_fewer(accepted in 1u32..200, good in 0.05..0.9f64, more in 0.0..0.1f64) {
            let need = |p| attempts(accepted, p, 0.9).unwrap().needed;
            prop_assert!(need(good + more) <= need(good));
        }
    }
}
