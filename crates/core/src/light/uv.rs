//! How long eyes may stay in the light of the lamp.

use super::Duration;
use crate::constant::Constant;

/// Ultraviolet A that an eye may take in eight hours.
pub const EYE_LIMIT: Constant = Constant::published(
    1.0e4,
    "J/m²",
    2,
    "ICNIRP, Health Physics 87(2):171–186 (2004), 315–400 nm; also Directive 2006/25/EC, Annex I",
);
/// Weighted ultraviolet that eye and skin may take in eight hours.
pub const SKIN_LIMIT: Constant = Constant::published(
    30.0,
    "J/m²",
    2,
    "ICNIRP, Health Physics 87(2):171–186 (2004), weighted with S(λ); also Directive 2006/25/EC, Annex I",
);
/// Weight of 365 nm for eye and skin.
pub const WEIGHT_365: Constant =
    Constant::published(1.123_318e-4, "", 3, "ICNIRP, Health Physics 87(2):171–186 (2004), equation 2c");
/// A level met inside a lamp box; for the page's example.
pub const BOX_LEVEL: Constant = Constant::practice(
    10.0,
    "mW/cm²",
    1,
    "lamp panels for this work are commonly between 10 and 30; no source",
);
/// One milliwatt a square centimetre in watts a square metre.
const W_PER_M2: Constant = Constant::exact(10.0, "W/m² per mW/cm²", "by definition of the units");

/// Eight hours, for which the limits hold.
const DAY: Constant = Constant::exact(28_800.0, "s", "eight hours");

/// The level of ultraviolet A at which an eye reaches its limit in just eight hours, in mW/cm².
#[must_use]
pub fn all_day() -> f64 {
    EYE_LIMIT.value / DAY.value / W_PER_M2.value
}

const fn group(seconds: f64) -> Option<Constant> {
    let basis = crate::constant::Basis::FromMemory;
    Some(Constant {
        value: seconds,
        unit: "s",
        digits: 3,
        basis,
        source: "IEC 62471:2006, times of the risk groups",
    })
}

/// Seconds after which, at the soonest, a lamp of a risk group (exempt, 1, 2, 3) gives an eye its limit of ultraviolet A
/// where its maker measured.
pub const RISK: [Option<Constant>; 4] = [group(1000.0), group(300.0), group(100.0), None];

/// Time until an eye has had its limit of ultraviolet A, at a level in mW/cm². `None` unless the level is above
/// zero and finite.
#[must_use]
pub fn eye_time(level: f64) -> Option<Duration> {
    time(EYE_LIMIT.value, level)
}

/// Time until skin has had its limit if all the light were of 365 nm: an upper bound, since real tubes add shorter
/// waves. `None` as in [`eye_time`].
#[must_use]
pub fn skin_time(level: f64) -> Option<Duration> {
    time(SKIN_LIMIT.value / WEIGHT_365.value, level)
}

fn time(limit: f64, level: f64) -> Option<Duration> {
    let seconds = limit / (level * W_PER_M2.value);
    (level > 0.0 && seconds.is_finite()).then(|| Duration::from_seconds(seconds))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use serde_json::Value;

    const VECTORS: &str = include_str!("../../../../tests/reference/uv_limits/uv_limits.json");

    #[test]
    fn published_limits() {
        let all: Value = serde_json::from_str(VECTORS).unwrap();
        let vectors = all["vectors"].as_array().unwrap();
        assert_eq!(vectors.len(), 7);
        for row in vectors {
            let level = row["E_W_m2"].as_f64().unwrap() / 10.0;
            let eye = row["t_max_UVA_eye_s"].as_f64().unwrap();
            assert!((eye_time(level).unwrap().to_seconds() / eye - 1.0).abs() < 1e-3);
            if row["nm_monochromatic"] == 365 {
                let skin = row["governing_skin_s"].as_f64().unwrap();
                assert!((skin_time(level).unwrap().to_seconds() / skin - 1.0).abs() < 1e-3);
            }
        }
        for row in all["vectors_leak"].as_array().unwrap() {
            let level = row["E_at_eye_W_m2"].as_f64().unwrap() / 10.0;
            let eye = row["t_max_UVA_eye_s"].as_f64().unwrap();
            assert!((eye_time(level).unwrap().to_seconds() / eye - 1.0).abs() < 1e-3);
        }
    }

    #[test]
    fn all_day_and_the_risk_groups() {
        let all: Value = serde_json::from_str(VECTORS).unwrap();
        // Of the same source: 10⁴ J/m² over eight hours; group ceilings are the limit over the group's time.
        assert!((all_day() * 10.0 - all["uva_eye_limit_J_m2"].as_f64().unwrap() / 28_800.0).abs() < 1e-9);
        for (group, ceiling) in RISK.iter().zip([10.0, 33.0, 100.0]) {
            let level = EYE_LIMIT.value / group.unwrap().value;
            assert!((level - ceiling).abs() < 0.5, "{level}");
        }
    }

    #[test]
    fn no_level_no_time() {
        for level in [0.0, -1.0, f64::NAN, 1e-320] {
            assert_eq!(eye_time(level), None);
        }
    }
}
