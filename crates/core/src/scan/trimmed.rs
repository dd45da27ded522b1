//! Trimmed mean and robust spread: what specks, hairs and paper texture do not move.
//!
//! The trimmed mean cuts floor(p·n) values from each end (P. J. Huber, "Robust Statistics", 1981, 1.3); the spread is
//! the median absolute deviation times 1.4826 (F. R. Hampel, JASA 69, 1974, 383–393).

use super::ordered::{ascending, median_of_ordered};

/// Part that is cut from each end of a patch's values. Of 0, 10 and 20 % and the median it erred least on simulated paper
/// with specks (0.78, 0.38, 0.35, 0.36 L*).
pub const TRIM: f64 = 0.20;
/// Turns a median absolute deviation into the standard deviation of a normal distribution.
const TO_SIGMA: f64 = 1.4826;

/// Mean of what is left of `values` when floor(`part`·n) are cut from each end; `values` are put in order.
/// `part` from 0 to below 0.5. `None` without values.
pub fn trimmed_mean(values: &mut [f64], part: f64) -> Option<f64> {
    ascending(values);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to n/2")]
    let cut = (part.clamp(0.0, 0.499) * values.len() as f64).floor() as usize;
    let kept = values.get(cut..values.len().saturating_sub(cut))?;
    (!kept.is_empty()).then(|| kept.iter().sum::<f64>() / kept.len() as f64)
}

/// Robust standard deviation of ordered values; 0 for fewer than two.
pub fn spread_of_ordered(values: &[f64]) -> f64 {
    let Some(middle) = median_of_ordered(values) else { return 0.0 };
    let mut off: Vec<f64> = values.iter().map(|v| (v - middle).abs()).collect();
    ascending(&mut off);
    TO_SIGMA * median_of_ordered(&off).unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use serde_json::Value;

    /// tests/reference/trimmed_mean: SciPy's `trim_mean`.
    #[test]
    fn means_agree_with_the_vectors() {
        let data: Value =
            serde_json::from_str(include_str!("../../../../tests/reference/trimmed_mean/trimmed_mean.json"))
                .unwrap();
        for case in data["cases"].as_array().unwrap() {
            let mut values: Vec<f64> =
                case["data"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
            let mean = trimmed_mean(&mut values, case["fraction_each_side"].as_f64().unwrap()).unwrap();
            assert!((mean - case["trimmed_mean"].as_f64().unwrap()).abs() < 1e-12);
            assert!((median_of_ordered(&values).unwrap() - case["median"].as_f64().unwrap()).abs() < 1e-12);
        }
    }

    #[test]
    fn ends_and_outliers() {
        assert_eq!(trimmed_mean(&mut [], 0.2), None);
        assert_eq!(spread_of_ordered(&[]), 0.0);
        assert_eq!(spread_of_ordered(&[1.0, 2.0, 3.0, 4.0, 1e9]), 1.4826);
    }
}
