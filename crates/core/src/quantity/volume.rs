//! Volume, kept in millilitres.

use super::amount;

/// A volume of liquid.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Volume(f64);

impl Volume {
    /// From millilitres.
    #[must_use]
    pub const fn from_ml(ml: f64) -> Self {
        Self(ml)
    }

    /// In millilitres.
    #[must_use]
    pub const fn to_ml(self) -> f64 {
        self.0
    }

    /// In litres.
    #[must_use]
    pub const fn to_litres(self) -> f64 {
        self.0 / 1e3
    }
}

amount!(Volume);
