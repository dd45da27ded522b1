//! Area, kept in square millimetres, and coverage: how much solution is poured on it.

use super::{Volume, amount};

/// An area.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Area(f64);

impl Area {
    /// From square millimetres.
    #[must_use]
    pub const fn from_mm2(mm2: f64) -> Self {
        Self(mm2)
    }

    /// In square centimetres.
    #[must_use]
    pub const fn to_cm2(self) -> f64 {
        self.0 / 1e2
    }

    /// In square metres.
    #[must_use]
    pub const fn to_m2(self) -> f64 {
        self.0 / 1e6
    }
}

amount!(Area);

/// Mixed solution poured for an area, loss included, kept in mL/m².
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Coverage(f64);

impl Coverage {
    /// From millilitres a square metre.
    #[must_use]
    pub const fn from_ml_per_m2(x: f64) -> Self {
        Self(x)
    }

    /// In millilitres a square metre.
    #[must_use]
    pub const fn to_ml_per_m2(self) -> f64 {
        self.0
    }
}

impl core::ops::Mul<Area> for Coverage {
    type Output = Volume;
    fn mul(self, area: Area) -> Volume {
        Volume::from_ml(self.0 * area.to_m2())
    }
}
