//! Transcendental functions with the same bits on every device.
//!
//! The standard library's `exp`, `ln`, `powf` … differ in their last bits between native code and wasm;
//! `libm` (pinned) does not. Everything in core and imaging goes through here, and clippy forbids the others.

/// Natural logarithm.
#[must_use]
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// Decimal logarithm.
#[must_use]
pub fn log10(x: f64) -> f64 {
    libm::log10(x)
}

/// Binary logarithm.
#[must_use]
pub fn log2(x: f64) -> f64 {
    libm::log2(x)
}

/// e to the power of x.
#[must_use]
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// 10 to the power of x.
#[must_use]
pub fn exp10(x: f64) -> f64 {
    libm::exp10(x)
}

/// 2 to the power of x.
#[must_use]
pub fn exp2(x: f64) -> f64 {
    libm::exp2(x)
}

/// x to the power of y.
#[must_use]
pub fn pow(x: f64, y: f64) -> f64 {
    libm::pow(x, y)
}

/// Square root (correctly rounded everywhere).
#[must_use]
pub fn sqrt(x: f64) -> f64 {
    libm::sqrt(x)
}

/// Cube root.
#[must_use]
pub fn cbrt(x: f64) -> f64 {
    libm::cbrt(x)
}

/// Sine of an angle in radians.
#[must_use]
pub fn sin(x: f64) -> f64 {
    libm::sin(x)
}

/// Cosine of an angle in radians.
#[must_use]
pub fn cos(x: f64) -> f64 {
    libm::cos(x)
}

/// Arc tangent, in radians.
#[must_use]
pub fn atan(x: f64) -> f64 {
    libm::atan(x)
}

/// The number, held between two ends; NaN stays. What `f64::clamp` gives, without its check of the ends: that one writes
/// numbers, and a page that need not do so by the standard library's tables loads 8 kB less.
#[must_use]
pub fn bounded(x: f64, low: f64, high: f64) -> f64 {
    if x < low {
        low
    } else if x > high {
        high
    } else {
        x
    }
}

/// Sorts numbers, rising; NaN last. One sort for all, because each costs the page's module four kilobytes.
pub fn sort(values: &mut [f64]) {
    values.sort_unstable_by(f64::total_cmp);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn bounded_is_clamp_to_the_last_bit() {
        for x in [f64::NEG_INFINITY, -1.5, -0.0, 0.0, 1e-300, 0.25, 1.0, 7.0, f64::INFINITY, f64::NAN] {
            for (low, high) in [(0.0, 1.0), (-0.0, 0.0), (-2.0, -1.0), (0.25, 0.25), (1.0, f64::INFINITY)] {
                assert_eq!(bounded(x, low, high).to_bits(), x.clamp(low, high).to_bits(), "{x} {low} {high}");
            }
        }
    }

    #[test]
    fn powers_and_logarithms_are_inverse() {
        for x in [1e-9, 0.018, 0.5, 1.0, 2.0, 365.0, 1e9] {
            assert!((exp(ln(x)) / x - 1.0).abs() < 1e-12, "{x}");
            assert!((exp10(log10(x)) / x - 1.0).abs() < 1e-12, "{x}");
            assert!((exp2(log2(x)) / x - 1.0).abs() < 1e-12, "{x}");
            assert!((pow(sqrt(x), 2.0) / x - 1.0).abs() < 1e-12, "{x}");
            assert!((pow(cbrt(x), 3.0) / x - 1.0).abs() < 1e-12, "{x}");
        }
    }
}
