//! Temperature, kept in degrees Celsius. A point on a scale: two of them cannot be added.

/// A temperature.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Temperature(f64);

impl Temperature {
    /// From degrees Celsius.
    #[must_use]
    pub const fn from_celsius(c: f64) -> Self {
        Self(c)
    }

    /// From degrees Fahrenheit.
    #[must_use]
    pub const fn from_fahrenheit(f: f64) -> Self {
        Self((f - 32.0) / 1.8)
    }

    /// In degrees Celsius.
    #[must_use]
    pub const fn to_celsius(self) -> f64 {
        self.0
    }

    /// In degrees Fahrenheit.
    #[must_use]
    pub const fn to_fahrenheit(self) -> f64 {
        self.0 * 1.8 + 32.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn fixed_points() {
        assert!((Temperature::from_fahrenheit(68.0).to_celsius() - 20.0).abs() < 1e-12);
        assert!((Temperature::from_celsius(100.0).to_fahrenheit() - 212.0).abs() < 1e-12);
    }
}
