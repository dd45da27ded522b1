//! The solids this bench makes its solutions from.

use super::{Element, Formula, MolarMass};
use crate::note::Note;

use Element::{C, Cl, Fe, H, K, Li, N, Na, O, Pd, Pt};

/// A solid of known composition.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Salt {
    /// Iron(III) oxalate with so many waters (0..=6) to one Fe2(C2O4)3.
    FerricOxalate {
        /// Waters of hydration.
        water: u8,
    },
    /// Sodium tetrachloropalladate(II), without water.
    SodiumPalladate,
    /// Lithium tetrachloropalladate(II), without water.
    LithiumPalladate,
    /// Ammonium tetrachloropalladate(II), without water.
    AmmoniumPalladate,
    /// Potassium tetrachloropalladate(II), without water.
    PotassiumPalladate,
    /// Potassium tetrachloroplatinate(II).
    PotassiumPlatinate,
    /// Ammonium tetrachloroplatinate(II).
    AmmoniumPlatinate,
    /// Ammonium iron(III) oxalate with three waters.
    AmmoniumFerricOxalate,
    /// Sodium hexachloroplatinate(IV), without water.
    SodiumHexachloroplatinate,
    /// Sodium hexachloroplatinate(IV) with six waters.
    SodiumHexachloroplatinateHexahydrate,
}

impl Salt {
    /// Every salt.
    pub fn all() -> impl Iterator<Item = Self> {
        let known = [
            Self::SodiumPalladate,
            Self::LithiumPalladate,
            Self::AmmoniumPalladate,
            Self::PotassiumPalladate,
            Self::PotassiumPlatinate,
            Self::AmmoniumPlatinate,
            Self::AmmoniumFerricOxalate,
            Self::SodiumHexachloroplatinate,
            Self::SodiumHexachloroplatinateHexahydrate,
        ];
        (0..=6).map(|water| Self::FerricOxalate { water }).chain(known)
    }

    /// The salt of a formula, however it is written; `None` if it is none of them.
    #[must_use]
    pub fn read(formula: &str) -> Option<Self> {
        let formula = Formula::parse(formula.trim()).ok()?;
        Self::all().find(|s| s.composition() == formula)
    }

    /// Its formula as written.
    #[must_use]
    pub fn formula(self) -> String {
        match self {
            Self::FerricOxalate { water: 0 } => "Fe2(C2O4)3".into(),
            Self::FerricOxalate { water } => format!("Fe2(C2O4)3·{water}H2O"),
            Self::SodiumPalladate => "Na2PdCl4".into(),
            Self::LithiumPalladate => "Li2PdCl4".into(),
            Self::AmmoniumPalladate => "(NH4)2PdCl4".into(),
            Self::PotassiumPalladate => "K2PdCl4".into(),
            Self::PotassiumPlatinate => "K2PtCl4".into(),
            Self::AmmoniumPlatinate => "(NH4)2PtCl4".into(),
            Self::AmmoniumFerricOxalate => "(NH4)3Fe(C2O4)3·3H2O".into(),
            Self::SodiumHexachloroplatinate => "Na2PtCl6".into(),
            Self::SodiumHexachloroplatinateHexahydrate => "Na2PtCl6·6H2O".into(),
        }
    }

    /// Its atoms.
    #[must_use]
    pub fn composition(self) -> Formula {
        match self {
            Self::FerricOxalate { water } => {
                let w = u64::from(water);
                Formula::of(&[(Fe, 2), (C, 6), (O, 12 + w), (H, 2 * w)])
            }
            Self::SodiumPalladate => Formula::of(&[(Na, 2), (Pd, 1), (Cl, 4)]),
            Self::LithiumPalladate => Formula::of(&[(Li, 2), (Pd, 1), (Cl, 4)]),
            Self::AmmoniumPalladate => Formula::of(&[(N, 2), (H, 8), (Pd, 1), (Cl, 4)]),
            Self::PotassiumPalladate => Formula::of(&[(K, 2), (Pd, 1), (Cl, 4)]),
            Self::PotassiumPlatinate => Formula::of(&[(K, 2), (Pt, 1), (Cl, 4)]),
            Self::AmmoniumPlatinate => Formula::of(&[(N, 2), (H, 8), (Pt, 1), (Cl, 4)]),
            Self::AmmoniumFerricOxalate => Formula::of(&[(N, 3), (H, 18), (Fe, 1), (C, 6), (O, 15)]),
            Self::SodiumHexachloroplatinate => Formula::of(&[(Na, 2), (Pt, 1), (Cl, 6)]),
            Self::SodiumHexachloroplatinateHexahydrate => {
                Formula::of(&[(Na, 2), (Pt, 1), (Cl, 6), (H, 12), (O, 6)])
            }
        }
    }

    /// Its molar mass; never zero.
    #[must_use]
    pub fn molar_mass(self) -> MolarMass {
        self.composition().molar_mass()
    }

    /// The metal it brings: iron, palladium or platinum.
    #[must_use]
    pub const fn metal(self) -> Element {
        match self {
            Self::FerricOxalate { .. } | Self::AmmoniumFerricOxalate => Fe,
            Self::SodiumPalladate
            | Self::LithiumPalladate
            | Self::AmmoniumPalladate
            | Self::PotassiumPalladate => Pd,
            Self::PotassiumPlatinate
            | Self::AmmoniumPlatinate
            | Self::SodiumHexachloroplatinate
            | Self::SodiumHexachloroplatinateHexahydrate => Pt,
        }
    }

    /// Atoms of its metal in one formula.
    #[must_use]
    pub fn metal_atoms(self) -> f64 {
        match self {
            Self::FerricOxalate { .. } => 2.0,
            _ => 1.0,
        }
    }

    /// Part of its mass that is the metal.
    #[must_use]
    pub fn metal_fraction(self) -> f64 {
        self.composition().fraction(self.metal())
    }
}

/// The two ends of what "iron(III) oxalate" on a label may be: without water, and with six waters. The solid has
/// no definite water; published recipes silently count with none, four, five or six.
#[must_use]
pub const fn ferric_oxalate_range() -> [Salt; 2] {
    [Salt::FerricOxalate { water: 6 }, Salt::FerricOxalate { water: 0 }]
}

/// A solid as a label names it: of known composition, or of none.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Solid {
    /// A salt with a formula.
    Known(Salt),
    /// Ammonium iron(III) citrate, green or brown.
    AmmoniumIronCitrate,
}

impl Solid {
    /// Its molar mass.
    ///
    /// # Errors
    /// The note for the field, if the solid has no fixed composition and so no molar mass.
    pub fn molar_mass(self, field: &str) -> Result<MolarMass, Note> {
        match self {
            Self::Known(salt) => Ok(salt.molar_mass()),
            Self::AmmoniumIronCitrate => Err(Note::error(
                field,
                "Ammonium iron(III) citrate has no fixed composition, so it has no molar mass.",
                "Count by the iron in percent that its label gives.",
            )),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn formulas_as_written_are_the_composition() {
        for salt in Salt::all() {
            assert_eq!(Salt::read(&salt.formula()), Some(salt));
            let read = Formula::parse(&salt.formula()).expect("a formula");
            assert_eq!(read, salt.composition(), "{salt:?}");
            assert!(salt.metal_fraction() > 0.1, "{salt:?}");
            let two = matches!(salt, Salt::FerricOxalate { .. });
            assert_eq!(read.count(salt.metal()), if two { 2 } else { 1 });
            assert_eq!(Solid::Known(salt).molar_mass("x"), Ok(salt.molar_mass()));
        }
    }

    #[test]
    fn the_citrate_has_no_molar_mass() {
        let note = Solid::AmmoniumIronCitrate.molar_mass("iron").expect_err("no fixed composition");
        assert_eq!(note.field, "iron");
        assert!(note.text.contains("no fixed composition") && note.mend.contains("label"));
    }
}
