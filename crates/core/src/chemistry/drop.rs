//! Drops: how large, how well counted.
//!
//! Spread by the propagation of uncertainty (JCGM 100:2008, section 5): a count of N drops averages what each drop
//! differs (`cv²/N`), but not what the dropper as a whole is off (`u²`).

use crate::constant::Constant;
use crate::math::sqrt;
use crate::quantity::{Mass, Volume};

/// Drops in a millilitre, until the printer has counted.
pub const DROPS_PER_ML: Constant = Constant::practice(20.0, "drops/mL", 2, "common practice, no source");
/// How much single drops of one dropper differ, relative (one standard deviation).
pub const DROP_SPREAD: Constant = Constant::choice(0.05, "", 1, "steady hand, upright dropper; no source");
/// What an uncounted dropper may be off as a whole, relative (one standard deviation).
pub const UNCOUNTED: Constant = Constant::published(
    0.057_735_027,
    "",
    2,
    "limits of 10 % about 20 drops/mL as a rectangular distribution; United States Pharmacopeia 32, <1101>",
);
/// What a counted dropper may be off as a whole, relative (one standard deviation).
pub const COUNTED: Constant = Constant::choice(0.02, "", 1, "one count into a 10 mL cylinder; no source");

/// Drops a millilitre from weighing so many drops of a liquid of that density in g/mL.
#[must_use]
pub fn by_weight(drops: f64, mass: Mass, g_per_ml: f64) -> Option<f64> {
    let per_ml = drops * g_per_ml / mass.to_g();
    (drops > 0.0 && per_ml.is_finite() && per_ml > 0.0).then_some(per_ml)
}

/// Drops a millilitre from counting them into a cylinder.
#[must_use]
pub fn by_volume(drops: f64, volume: Volume) -> Option<f64> {
    let per_ml = drops / volume.to_ml();
    (drops > 0.0 && per_ml.is_finite() && per_ml > 0.0).then_some(per_ml)
}

/// Relative standard uncertainty of the volume of `n` drops: `spread` from drop to drop, `dropper` as a whole.
#[must_use]
pub fn volume_spread(n: f64, spread: f64, dropper: f64) -> f64 {
    sqrt(spread * spread / n.max(1.0) + dropper * dropper)
}

/// The same of the ratio of two counts. With one dropper for both, `droppers` is `[0, 0]`: what it is off cancels.
#[must_use]
pub fn ratio_spread(n: [f64; 2], spread: f64, droppers: [f64; 2]) -> f64 {
    let [a, b] = [0, 1].map(|i| volume_spread(n[i], spread, droppers[i]));
    sqrt(a * a + b * b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn published_numbers() {
        let v: serde_json::Value =
            serde_json::from_str(include_str!("../../../../tests/reference/usp-drops/vectors.json")).unwrap();
        let near = |found: f64, row: &serde_json::Value, key: &str| {
            let expected = row[key].as_f64().unwrap();
            // Half a unit of the ninth decimal, to which the numbers were written down.
            assert!((found - expected).abs() < 5.001e-10, "{key}: {found} is not {expected}");
        };
        let n = |row: &serde_json::Value, key: &str| row[key].as_f64().unwrap();
        for row in v["calibration"].as_array().unwrap() {
            let found = by_weight(n(row, "drops"), Mass::from_g(n(row, "mass_g")), n(row, "density_g_ml"));
            near(found.unwrap(), row, "drops_per_ml");
            near(1.0 / found.unwrap(), row, "ml_per_drop");
        }
        for row in v["volume_uncertainty"].as_array().unwrap() {
            let found = volume_spread(n(row, "N"), n(row, "per_drop_cv"), n(row, "calibration_rel_u"));
            near(found, row, "rel_u_volume");
        }
        for row in v["ratio_uncertainty"].as_array().unwrap() {
            let (counts, cv, u) = ([n(row, "NA"), n(row, "NB")], n(row, "per_drop_cv"), n(row, "u_cal_each"));
            near(ratio_spread(counts, cv, [u, u]), row, "rel_u_ratio_two_droppers");
            near(ratio_spread(counts, cv, [0.0, 0.0]), row, "rel_u_ratio_same_dropper");
        }
        near(UNCOUNTED.value, &v, "limits_as_standard_uncertainty");
    }

    #[test]
    fn counting_into_a_cylinder() {
        assert_eq!(by_volume(220.0, Volume::from_ml(10.0)), Some(22.0));
        assert_eq!(by_volume(0.0, Volume::from_ml(10.0)), None);
        assert_eq!(by_volume(20.0, Volume::from_ml(0.0)), None);
        assert_eq!(by_weight(20.0, Mass::from_g(0.0), 1.0), None);
    }
}
