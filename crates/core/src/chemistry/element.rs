//! The elements of this bench and their weights.

use crate::constant::Constant;

/// Where every weight here comes from.
const SOURCE: &str = "IUPAC/CIAAW, Standard atomic weights of the elements 2021, Table 1, abridged values: \
     Prohaska et al., Pure Appl. Chem. 94 (2022) 573-600";

/// An element that occurs on this bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Element {
    /// Hydrogen.
    H,
    /// Lithium.
    Li,
    /// Carbon.
    C,
    /// Nitrogen.
    N,
    /// Oxygen.
    O,
    /// Sodium.
    Na,
    /// Magnesium.
    Mg,
    /// Phosphorus.
    P,
    /// Sulfur.
    S,
    /// Chlorine.
    Cl,
    /// Potassium.
    K,
    /// Chromium.
    Cr,
    /// Iron.
    Fe,
    /// Palladium.
    Pd,
    /// Silver.
    Ag,
    /// Caesium.
    Cs,
    /// Platinum.
    Pt,
    /// Gold.
    Au,
    /// Bromine.
    Br,
}

impl Element {
    /// Every element known here, in the order of atomic number but for bromine.
    pub const ALL: [Self; 19] = [
        Self::H,
        Self::Li,
        Self::C,
        Self::N,
        Self::O,
        Self::Na,
        Self::Mg,
        Self::P,
        Self::S,
        Self::Cl,
        Self::K,
        Self::Cr,
        Self::Fe,
        Self::Pd,
        Self::Ag,
        Self::Cs,
        Self::Pt,
        Self::Au,
        Self::Br,
    ];

    /// Symbol, abridged weight, its figures, and the half width given with it.
    const fn row(self) -> (&'static str, f64, u8, f64) {
        match self {
            Self::H => ("H", 1.008, 4, 0.0002),
            Self::Li => ("Li", 6.94, 3, 0.06),
            Self::C => ("C", 12.011, 5, 0.002),
            Self::N => ("N", 14.007, 5, 0.001),
            Self::O => ("O", 15.999, 5, 0.001),
            Self::Na => ("Na", 22.990, 5, 0.001),
            Self::Mg => ("Mg", 24.305, 5, 0.002),
            Self::P => ("P", 30.974, 5, 0.001),
            Self::S => ("S", 32.06, 4, 0.02),
            Self::Cl => ("Cl", 35.45, 4, 0.01),
            Self::K => ("K", 39.098, 5, 0.001),
            Self::Cr => ("Cr", 51.996, 5, 0.001),
            Self::Fe => ("Fe", 55.845, 5, 0.002),
            Self::Pd => ("Pd", 106.42, 5, 0.01),
            Self::Ag => ("Ag", 107.87, 5, 0.01),
            Self::Cs => ("Cs", 132.91, 5, 0.01),
            Self::Pt => ("Pt", 195.08, 5, 0.02),
            Self::Au => ("Au", 196.97, 5, 0.01),
            Self::Br => ("Br", 79.904, 5, 0.003),
        }
    }

    /// Its symbol.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        self.row().0
    }

    /// The element of a symbol, capitals as usual.
    #[must_use]
    pub fn of(symbol: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|e| e.symbol() == symbol)
    }

    /// Its abridged standard atomic weight, g/mol.
    #[must_use]
    pub const fn weight(self) -> Constant {
        let (_, value, digits, _) = self.row();
        Constant::published(value, "g/mol", digits, SOURCE)
    }

    /// The half width of the interval that covers normal materials, g/mol.
    #[must_use]
    pub const fn half_width(self) -> Constant {
        Constant::published(self.row().3, "g/mol", 1, SOURCE)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn weights_are_those_of_the_published_table() {
        let table: serde_json::Value =
            serde_json::from_str(include_str!("../../../../tests/reference/ciaaw-2021/weights.json"))
                .unwrap();
        let rows = table["elements"].as_array().unwrap();
        assert_eq!(rows.len(), Element::ALL.len());
        for row in rows {
            let symbol = row["symbol"].as_str().unwrap();
            let element = Element::of(symbol).expect(symbol);
            assert_eq!(element.weight().value, row["abridged"].as_f64().unwrap(), "{symbol}");
            assert_eq!(element.half_width().value, row["abridged_pm"].as_f64().unwrap(), "{symbol}");
        }
    }
}
