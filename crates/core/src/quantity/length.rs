//! Length, kept in millimetres.

use super::{Area, amount};

/// A length.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Length(f64);

/// Millimetres in an inch, exactly.
const MM_PER_INCH: f64 = 25.4;

impl Length {
    /// From millimetres.
    #[must_use]
    pub const fn from_mm(mm: f64) -> Self {
        Self(mm)
    }

    /// From inches.
    #[must_use]
    pub const fn from_inches(inches: f64) -> Self {
        Self(inches * MM_PER_INCH)
    }

    /// In millimetres.
    #[must_use]
    pub const fn to_mm(self) -> f64 {
        self.0
    }

    /// In inches.
    #[must_use]
    pub const fn to_inches(self) -> f64 {
        self.0 / MM_PER_INCH
    }
}

amount!(Length);

impl core::ops::Mul for Length {
    type Output = Area;
    fn mul(self, other: Self) -> Area {
        Area::from_mm2(self.0 * other.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn eight_by_ten_inches() {
        let area = Length::from_inches(8.0) * Length::from_inches(10.0);
        assert!((area.to_cm2() - 516.128).abs() < 1e-9);
    }
}
