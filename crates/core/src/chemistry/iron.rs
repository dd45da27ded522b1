//! How much iron a solution holds when its label leaves the solid open.

use super::{Element, Molarity, Salt, Strength, ferric_oxalate_range};
use crate::constant::Basis;
use crate::estimate::Estimate;
use crate::quantity::{Mass, Volume};

/// mol Fe/L of iron(III) oxalate: by its waters of hydration if they are known (0 to 6), else the interval from six waters
/// to none, with the middle as value.
#[must_use]
pub fn ferric_oxalate(strength: Strength, water: Option<u8>) -> Estimate {
    let of = |salt: Salt| (strength.molarity(salt.molar_mass()) * salt.metal_atoms()).to_mol_per_litre();
    let [low, high] =
        water.map_or(ferric_oxalate_range(), |water| [Salt::FerricOxalate { water }; 2]).map(of);
    Estimate { low, value: (low + high) / 2.0, high, basis: Basis::Definition }
}

/// mol Fe/L of a salt without a fixed formula, from the iron in percent that its label gives. `None` if that is not
/// above 0 and up to 100.
#[must_use]
pub fn by_label(strength: Strength, iron_percent: f64) -> Option<Molarity> {
    let iron = strength * (iron_percent / 100.0);
    usable(iron_percent).then(|| iron.molarity(super::MolarMass::from_g_per_mol(Element::Fe.weight().value)))
}

/// Grams of such a salt that bring so many mol Fe/L to a volume.
#[must_use]
pub fn weigh_by_label(wanted: Molarity, volume: Volume, iron_percent: f64) -> Option<Mass> {
    let iron = super::MolarMass::from_g_per_mol(Element::Fe.weight().value);
    let mass = wanted.strength(iron) * volume / (iron_percent / 100.0);
    (usable(iron_percent) && mass.to_g().is_finite()).then_some(mass)
}

fn usable(percent: f64) -> bool {
    percent > 0.0 && percent <= 100.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn what_27_percent_may_be() {
        // From the molar masses of the anhydrous solid and the hexahydrate, 375.744 and 483.834 g/mol.
        let open = ferric_oxalate(Strength::from_percent(27.0), None);
        assert!((open.low - 1.116).abs() < 5e-4 && (open.high - 1.437).abs() < 5e-4, "{open:?}");
        let five = ferric_oxalate(Strength::from_percent(27.0), Some(5));
        assert!((five.value - 1.159).abs() < 5e-4 && five.low == five.high);
    }

    #[test]
    fn the_citrate_goes_by_its_label() {
        // 25 g of a salt with 18 % iron in 100 mL hold 4.5 g, 0.8058 mol/L, of iron (55.845 g/mol).
        let m = by_label(Strength::from_percent(25.0), 18.0).unwrap();
        assert!((m.to_mol_per_litre() - 45.0 / 55.845).abs() < 1e-12);
        let back = weigh_by_label(m, Volume::from_ml(100.0), 18.0).unwrap();
        assert!((back.to_g() - 25.0).abs() < 1e-12);
        assert_eq!(by_label(Strength::from_percent(25.0), 0.0), None);
        assert_eq!(weigh_by_label(m, Volume::from_ml(100.0), 120.0), None);
        assert_eq!(by_label(Strength::from_percent(25.0), f64::NAN), None);
    }
}
