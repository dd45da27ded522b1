//! Whole drops for volumes, and what rounding to them does to the ratio.

use crate::quantity::Volume;

/// How far around a total a better one is looked for, in thousandths of it.
const REACH: i32 = 50;
/// Rounding below this is not worth another total, relative.
const FINE: f64 = 0.01;

/// A volume that is counted, and how many drops a millilitre its dropper gives (above zero).
pub type Part = (Volume, f64);

/// The whole drops nearest to a volume.
#[must_use]
pub fn whole(volume: Volume, drops_per_ml: f64) -> f64 {
    (volume.to_ml() * drops_per_ml).round()
}

/// How far each part's share of the sum is off when all are counted in whole drops, relative: 0.04 is 4 % too much.
/// Empty parts are passed over with 0.
#[must_use]
pub fn off(parts: &[Part]) -> Vec<f64> {
    let counted: Vec<f64> = parts.iter().map(|&(v, d)| whole(v, d) / d).collect();
    let (wanted, sum) = (parts.iter().map(|(v, _)| v.to_ml()).sum::<f64>(), counted.iter().sum::<f64>());
    let share = |(&(v, _), counted): (&Part, &f64)| {
        let off = (counted / sum) / (v.to_ml() / wanted) - 1.0;
        if off.is_finite() { off } else { -1.0 }
    };
    let all = parts.iter().zip(&counted);
    all.map(|pair| if pair.0.0.to_ml() > 0.0 { share(pair) } else { 0.0 }).collect()
}

/// The largest of [`off`], without sign.
#[must_use]
pub fn rounding(parts: &[Part]) -> f64 {
    off(parts).into_iter().map(f64::abs).fold(0.0, f64::max)
}

/// A total that whole drops meet better.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Better {
    /// The total as counted.
    pub total: Volume,
    /// What it is of the wanted one.
    pub factor: f64,
    /// Its largest share error.
    pub error: f64,
}

/// A total within 5 % of the wanted one whose whole drops keep the ratio better by a percent or more; the one with
/// the smallest error, of equal ones the nearest. `None` when rounding does no harm, or nothing nearby is better.
#[must_use]
pub fn better_total(parts: &[Part]) -> Option<Better> {
    let now = rounding(parts);
    if now < FINE {
        return None;
    }
    let mut best: Option<Better> = None;
    // From the middle outwards, so that the first of equals is the nearest.
    for step in (1..=REACH).flat_map(|i| [i, -i]) {
        let factor = 1.0 + f64::from(step) / 1000.0;
        let scaled: Vec<Part> = parts.iter().map(|&(v, d)| (v * factor, d)).collect();
        let error = rounding(&scaled);
        if error < now - FINE && best.is_none_or(|b| error < b.error - 1e-9) {
            let total = scaled.iter().map(|&(v, d)| Volume::from_ml(whole(v, d) / d)).sum();
            best = Some(Better { total, factor, error });
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn parts(ml: &[f64]) -> Vec<Part> {
        ml.iter().map(|&v| (Volume::from_ml(v), 20.0)).collect()
    }

    #[test]
    fn whole_drops_keep_an_even_mix() {
        assert_eq!(whole(Volume::from_ml(1.2), 20.0), 24.0);
        assert!(rounding(&parts(&[1.23, 1.23])) < 1e-12);
        assert_eq!(better_total(&parts(&[1.23, 1.23])), None);
        assert_eq!(rounding(&[]), 0.0);
    }

    #[test]
    fn a_better_total_is_found_nearby() {
        // 1.0 : 0.75 : 0.25 of 0.88 mL: 8.8, 6.6, 2.2 drops round to 9, 7, 2; with 0.84 to 0.92 mL nothing is exact.
        let p = parts(&[0.44, 0.33, 0.11]);
        let now = rounding(&p);
        assert!((now - (1.0 - (2.0 / 18.0) / 0.125)).abs() < 1e-12, "{now}");
        // 20, 15 and 5 drops are exact; 19.4, 14.55 and 4.85 drops round to 19, 15 and 5.
        let b = better_total(&parts(&[0.97, 0.7275, 0.2425])).expect("one more drop makes it even");
        assert!((b.total.to_ml() - 2.0).abs() < 1e-9 && b.error < 1e-12, "{b:?}");
    }

    #[test]
    fn a_part_too_small_for_a_drop_is_wholly_off() {
        assert_eq!(off(&parts(&[1.0, 0.01]))[1], -1.0);
        assert_eq!(off(&parts(&[0.01])), [-1.0]);
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn within_half_a_drop(ml in 0.0..100.0f64, per_ml in 5.0..60.0f64) {
            let counted = whole(Volume::from_ml(ml), per_ml) / per_ml;
            prop_assert!((counted - ml).abs() <= 0.5 / per_ml + 1e-9);
        }

        #[test]
        fn better_is_better_and_near(a in 0.05..5.0f64, b in 0.05..5.0f64, c in 0.0..5.0f64, d in 9.0..40.0f64) {
            let parts = [(Volume::from_ml(a), 20.0), (Volume::from_ml(b), d), (Volume::from_ml(c), 20.0)];
            if let Some(better) = better_total(&parts) {
                prop_assert!(better.error + FINE < rounding(&parts) + 1e-9);
                prop_assert!((better.factor - 1.0).abs() < 0.051);
            }
        }
    }
}
