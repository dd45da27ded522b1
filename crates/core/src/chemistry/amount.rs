//! Amount of substance, kept in moles, and molar mass, kept in grams a mole.

use crate::quantity::{Mass, amount};

/// An amount of substance.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Amount(f64);

impl Amount {
    /// From moles.
    #[must_use]
    pub const fn from_mol(mol: f64) -> Self {
        Self(mol)
    }

    /// From micromoles.
    #[must_use]
    pub const fn from_micromol(micromol: f64) -> Self {
        Self(micromol / 1e6)
    }

    /// In moles.
    #[must_use]
    pub const fn to_mol(self) -> f64 {
        self.0
    }

    /// In micromoles.
    #[must_use]
    pub const fn to_micromol(self) -> f64 {
        self.0 * 1e6
    }
}

amount!(Amount);

/// The mass of one mole.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct MolarMass(f64);

impl MolarMass {
    /// From grams a mole.
    #[must_use]
    pub const fn from_g_per_mol(x: f64) -> Self {
        Self(x)
    }

    /// In grams a mole.
    #[must_use]
    pub const fn to_g_per_mol(self) -> f64 {
        self.0
    }
}

amount!(MolarMass);

impl core::ops::Mul<MolarMass> for Amount {
    type Output = Mass;
    fn mul(self, molar: MolarMass) -> Mass {
        Mass::from_g(self.0 * molar.0)
    }
}

impl core::ops::Div<MolarMass> for Mass {
    type Output = Amount;
    fn div(self, molar: MolarMass) -> Amount {
        Amount(self.to_g() / molar.0)
    }
}
