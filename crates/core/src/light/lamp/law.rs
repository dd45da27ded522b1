//! Whether half the light takes twice the time: the exponent p of E·t^p (K. Schwarzschild, Astrophysical Journal 11, 1900) from
//! prints of equal black under different light. With p = 1 dose alone counts, which is the law of Bunsen and Roscoe.

use crate::constant::{Basis, Constant};
use crate::estimate::Estimate;
use crate::math;
use crate::tone::fit::student;

/// Half the 95 % interval of a time for black of which nothing more is said, in log exposure.
pub const DOUBT: Constant = Constant::choice(
    0.05,
    "log exposure",
    1,
    "that of a step print with 0.01 D of scatter, or of a strip in thirds of a stop",
);
/// Least ratio of light between prints that tells an exponent.
pub const RATIO: Constant =
    Constant::choice(1.5, "", 2, "over less, the doubt of one print is as large as the effect");

/// A time for black under a light.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// Light at the frame, in any unit that is the same for all.
    pub level: f64,
    /// Seconds.
    pub seconds: f64,
    /// Half its 95 % interval, in log exposure.
    pub half: f64,
}

/// Why pairs tell no exponent.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LawError {
    /// Fewer than two.
    TooFew,
    /// Their light hardly differs.
    Alike,
    /// More light took more time.
    Backwards,
}

/// An exponent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Law {
    /// 1/p: log time falls by so much for one of log light.
    pub slope: Estimate,
    /// From so many prints.
    pub n: u32,
}

impl Law {
    /// By weighted least squares of log time on log light. The interval is that of the pairs' own doubts, or of their
    /// scatter about the line (Student's distribution) where that is larger.
    ///
    /// # Errors
    /// What the pairs lack.
    pub fn learn(pairs: &[Pair]) -> Result<Self, LawError> {
        /// Two-sided 95 % point of the normal distribution.
        const Z: f64 = 1.959_963_984_540_054;
        let sound = |p: &&Pair| p.level > 0.0 && p.seconds > 0.0 && p.half > 0.0 && p.half.is_finite();
        let all: Vec<(f64, f64, f64)> = pairs
            .iter()
            .filter(sound)
            .map(|p| (math::log10(p.level), math::log10(p.seconds), Z * Z / (p.half * p.half)))
            .collect();
        if all.len() < 2 {
            return Err(LawError::TooFew);
        }
        let low = all.iter().map(|p| p.0).fold(f64::INFINITY, f64::min);
        let high = all.iter().map(|p| p.0).fold(f64::NEG_INFINITY, f64::max);
        if high - low < math::log10(RATIO.value) {
            return Err(LawError::Alike);
        }
        let weight: f64 = all.iter().map(|p| p.2).sum();
        let mean = |of: fn(&(f64, f64, f64)) -> f64| all.iter().map(|p| p.2 * of(p)).sum::<f64>() / weight;
        let (mx, my) = (mean(|p| p.0), mean(|p| p.1));
        let sxx: f64 = all.iter().map(|p| p.2 * (p.0 - mx) * (p.0 - mx)).sum();
        let sxy: f64 = all.iter().map(|p| p.2 * (p.0 - mx) * (p.1 - my)).sum();
        let slope = -sxy / sxx;
        let chi: f64 =
            all.iter().map(|p| p.2 * (p.1 - my + slope * (p.0 - mx)) * (p.1 - my + slope * (p.0 - mx))).sum();
        let stated = Z / math::sqrt(sxx);
        let free = all.len() as f64 - 2.0;
        let seen = if free > 0.0 { student(free) * math::sqrt(chi / free / sxx) } else { 0.0 };
        if !(slope.is_finite() && slope > 0.0) {
            return Err(LawError::Backwards);
        }
        let n = u32::try_from(all.len()).unwrap_or(u32::MAX);
        let half = stated.max(seen).min(0.999 * slope);
        Ok(Self { slope: Estimate::plus_minus(slope, half, Basis::Measured { n }), n })
    }

    /// The exponent p.
    #[must_use]
    pub fn exponent(&self) -> Estimate {
        self.slope.map(|s| 1.0 / s)
    }

    /// Dose alone counts, as far as the prints can tell.
    #[must_use]
    pub fn plain(&self) -> bool {
        self.slope.low <= 1.0 && 1.0 <= self.slope.high
    }

    /// What it adds to a time that goes by dose alone, under light that asks for so much log exposure more: in log exposure,
    /// nothing where dose alone counts, with its interval either way.
    #[must_use]
    pub fn adds(&self, log: f64) -> Estimate {
        let value = if self.plain() { 0.0 } else { (self.slope.value - 1.0) * log };
        let half = if self.plain() {
            (self.slope.high - 1.0).max(1.0 - self.slope.low)
        } else {
            (self.slope.high - self.slope.low) / 2.0
        };
        Estimate::plus_minus(value, half * log, self.slope.basis)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use serde_json::Value;

    fn pairs(p: f64, levels: &[f64]) -> Vec<Pair> {
        levels
            .iter()
            .map(|e| Pair { level: *e, seconds: 3600.0 * math::pow(*e, -1.0 / p), half: 0.03 })
            .collect()
    }

    #[test]
    fn an_exponent_from_strips() {
        let fit: Value =
            serde_json::from_str(include_str!("../../../../../tests/reference/radiometry/radiometry.json"))
                .unwrap();
        let rows: Vec<Pair> = fit["schwarzschild_fit"]["rows_E_t"]
            .as_array()
            .unwrap()
            .iter()
            .map(|r| Pair { level: r[0].as_f64().unwrap(), seconds: r[1].as_f64().unwrap(), half: 0.03 })
            .collect();
        let p = Law::learn(&rows).unwrap().exponent();
        assert!((p.value - fit["schwarzschild_fit"]["p"].as_f64().unwrap()).abs() < 1e-5, "{p:?}");
        assert!(p.low < p.value && p.value < p.high);
    }

    #[test]
    fn where_dose_alone_counts_nothing_is_added() {
        let law = Law::learn(&pairs(1.0, &[10.0, 5.0, 2.5])).unwrap();
        assert!(law.plain() && law.adds(0.3).value == 0.0 && law.adds(0.3).high > 0.0);
        assert_eq!(law.adds(0.0).high, 0.0);
    }

    #[test]
    fn two_prints_are_enough_if_they_lie_apart() {
        // p = 0.8: a quarter of the light asks for 4^(1/0.8) = 5.66 times the time.
        let law = Law::learn(&pairs(0.8, &[10.0, 2.5])).unwrap();
        assert!((law.exponent().value - 0.8).abs() < 1e-9 && !law.plain());
        let more =
            math::exp10(2.0 * core::f64::consts::LOG10_2 + law.adds(2.0 * core::f64::consts::LOG10_2).value);
        assert!((more - math::pow(4.0, 1.25)).abs() < 1e-9, "{more}");
        // ± 0.03 each over 0.6 of log light: 0.03 · √2 / 0.602.
        assert!(
            ((law.slope.high - law.slope.value) - 0.03 * core::f64::consts::SQRT_2 / 0.602_06).abs() < 1e-5,
            "{law:?}"
        );
        assert_eq!(Law::learn(&pairs(0.8, &[10.0])), Err(LawError::TooFew));
        assert_eq!(Law::learn(&pairs(0.8, &[10.0, 9.0])), Err(LawError::Alike));
        let mut turned = pairs(0.8, &[10.0, 2.5]);
        (turned[0].seconds, turned[1].seconds) = (turned[1].seconds, turned[0].seconds);
        assert_eq!(Law::learn(&turned), Err(LawError::Backwards));
    }
}
