//! Strength of a solution: % w/v, and moles a litre.

use super::{Amount, MolarMass};
use crate::quantity::{Mass, Volume, amount};

/// Grams of the stated solid made up to 100 mL of solution.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Strength(f64);

impl Strength {
    /// From % w/v.
    #[must_use]
    pub const fn from_percent(percent: f64) -> Self {
        Self(percent)
    }

    /// In % w/v.
    #[must_use]
    pub const fn to_percent(self) -> f64 {
        self.0
    }

    /// Moles a litre, if the solid has this molar mass: `10 × % / M`.
    #[must_use]
    pub fn molarity(self, molar: MolarMass) -> Molarity {
        Molarity(10.0 * self.0 / molar.to_g_per_mol())
    }
}

amount!(Strength);

impl core::ops::Mul<Volume> for Strength {
    type Output = Mass;
    fn mul(self, volume: Volume) -> Mass {
        Mass::from_g(self.0 / 100.0 * volume.to_ml())
    }
}

/// Moles a litre of solution.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Molarity(f64);

impl Molarity {
    /// From moles a litre.
    #[must_use]
    pub const fn from_mol_per_litre(x: f64) -> Self {
        Self(x)
    }

    /// In moles a litre, which is also micromoles a microlitre.
    #[must_use]
    pub const fn to_mol_per_litre(self) -> f64 {
        self.0
    }

    /// The % w/v that has this many moles a litre.
    #[must_use]
    pub fn strength(self, molar: MolarMass) -> Strength {
        Strength(self.0 * molar.to_g_per_mol() / 10.0)
    }
}

amount!(Molarity);

impl core::ops::Mul<Volume> for Molarity {
    type Output = Amount;
    fn mul(self, volume: Volume) -> Amount {
        Amount::from_mol(self.0 * volume.to_litres())
    }
}
