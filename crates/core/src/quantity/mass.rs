//! Mass, kept in grams.

use super::amount;

/// A mass.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Mass(f64);

impl Mass {
    /// From grams.
    #[must_use]
    pub const fn from_g(g: f64) -> Self {
        Self(g)
    }

    /// From milligrams.
    #[must_use]
    pub const fn from_mg(mg: f64) -> Self {
        Self(mg / 1e3)
    }

    /// In grams.
    #[must_use]
    pub const fn to_g(self) -> f64 {
        self.0
    }

    /// In milligrams.
    #[must_use]
    pub const fn to_mg(self) -> f64 {
        self.0 * 1e3
    }
}

amount!(Mass);
