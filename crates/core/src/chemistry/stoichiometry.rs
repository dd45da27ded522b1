//! How much iron stands against how much metal, and what a palladium salt needs.
//!
//! Two iron(II) reduce one metal(II): 2 Fe(C2O4)2²⁻ + PtCl4²⁻ + 2 C2O4²⁻ → Pt + 2 Fe(C2O4)3³⁻ + 4 Cl⁻, the same
//! with palladium. So 2 is the least that uses all metal; working recipes lie in [`WINDOW_LOW`]..[`WINDOW_HIGH`].

use super::{Amount, Formula, Salt, Strength, ferric_oxalate_range};
use crate::constant::{Basis, Constant};
use crate::estimate::Estimate;
use crate::quantity::{Mass, Volume};

const WINDOW: &str = "A. Gottlieb, Journal of the American Institute for Conservation 34 (1995) 11-32, section 3.1, \
     citing Pizzighelli and Hübl 1886";

/// Below this, metal is wasted.
pub const WINDOW_LOW: Constant = Constant::published(1.8, "mol Fe/mol metal", 2, WINDOW);
/// Above this, iron is wasted and clearing is harder.
pub const WINDOW_HIGH: Constant = Constant::published(3.0, "mol Fe/mol metal", 2, WINDOW);
/// What the reaction itself needs.
pub const NEEDED: Constant = Constant::exact(2.0, "mol Fe/mol metal", "2 Fe(II) reduce 1 Pt(II) or Pd(II)");

/// A solution in a mix: which solid, how strong, how much.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dose {
    /// The solid it was made from.
    pub salt: Salt,
    /// Its strength.
    pub strength: Strength,
    /// Its volume.
    pub volume: Volume,
}

impl Dose {
    /// The metal in it, by amount.
    #[must_use]
    pub fn metal(&self) -> Amount {
        self.strength.molarity(self.salt.molar_mass()) * self.volume * self.salt.metal_atoms()
    }

    /// The metal in it, by mass.
    #[must_use]
    pub fn metal_mass(&self) -> Mass {
        self.strength * self.volume * self.salt.metal_fraction()
    }
}

/// Moles of iron to one mole of metal(II), as an interval over what the iron's label may mean (no water to six
/// waters); the value is the middle. `None` when there is no metal to compare with.
///
/// Only metal(II) counts; a contrast agent is left out.
#[must_use]
pub fn iron_to_metal(strength: Strength, volume: Volume, metals: &[Dose]) -> Option<Estimate> {
    let metal: Amount = metals.iter().map(Dose::metal).sum();
    if metal.to_mol() <= 0.0 {
        return None;
    }
    let [low, high] = ferric_oxalate_range().map(|salt| Dose { salt, strength, volume }.metal() / metal);
    (low.is_finite() && high.is_finite()).then(|| Estimate {
        low,
        value: (low + high) / 2.0,
        high,
        basis: Basis::Published,
    })
}

/// Grams of chloride that turn palladium chloride into its complex, at least, and grams of the complex.
/// `chloride` and `product` are the formulas of the two: `NaCl` and `Na2PdCl4`. Recipes take up to a tenth more.
#[must_use]
pub fn palladate(palladium_chloride: Mass, chloride: &Formula, product: &Formula) -> (Mass, Mass) {
    let source = Formula::of(&[(super::Element::Pd, 1), (super::Element::Cl, 2)]);
    let amount = palladium_chloride / source.molar_mass();
    (amount * 2.0 * chloride.molar_mass(), amount * product.molar_mass())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn vectors(text: &str) -> serde_json::Value {
        serde_json::from_str(text).unwrap()
    }

    fn number(v: &serde_json::Value) -> f64 {
        v.as_f64().unwrap()
    }

    fn iron(percent: f64, water: u8, ml: f64) -> Amount {
        let salt = Salt::FerricOxalate { water };
        Dose { salt, strength: Strength::from_percent(percent), volume: Volume::from_ml(ml) }.metal()
    }

    fn metal(salt: Salt, percent: f64, ml: f64) -> Dose {
        Dose { salt, strength: Strength::from_percent(percent), volume: Volume::from_ml(ml) }
    }

    const IRON: &str = include_str!("../../../../tests/reference/iron-to-metal/vectors.json");

    #[test]
    fn equal_volumes_of_trade_solutions() {
        for row in vectors(IRON)["equal_volumes"].as_array().unwrap() {
            let water = u8::try_from(row["water"].as_u64().unwrap()).unwrap();
            let fe = iron(number(&row["iron_percent"]), water, 1.0);
            for (name, salt, percent) in [
                ("K2PtCl4 20", Salt::PotassiumPlatinate, 20.0),
                ("Na2PdCl4 15", Salt::SodiumPalladate, 15.0),
                ("Li2PdCl4 15", Salt::LithiumPalladate, 15.0),
            ] {
                let ratio = fe / metal(salt, percent, 1.0).metal();
                assert!((ratio - number(&row[name])).abs() < 0.005_01, "{name} {water}: {ratio}");
            }
        }
    }

    #[test]
    fn published_sensitisers() {
        let v = vectors(IRON);
        let study = &v["palladium_study"];
        let pd = Amount::from_mol(number(&study["palladium_mol_per_litre"]) / 1e3);
        for (water, expected) in study["by_hydrate"].as_object().unwrap() {
            let ratio = iron(number(&study["iron_percent"]), water.parse().unwrap(), 1.0) / pd;
            assert!((ratio - number(expected)).abs() < 0.005_01, "{water}: {ratio}");
        }
        // The study counts with the pentahydrate; its text gives one decimal.
        let stated = iron(number(&study["iron_percent"]), 5, 1.0) / pd;
        assert!((stated - number(&study["stated_ratio"])).abs() < 0.05, "{stated}");
        let old = &v["platinum_1882"];
        let pt = metal(
            Salt::PotassiumPlatinate,
            number(&old["platinum_percent"]),
            number(&old["platinum_volumes"]),
        );
        let ratio = iron(number(&old["iron_percent"]), 0, number(&old["iron_volumes"])) / pt.metal();
        assert!((ratio - number(&old["ratio_anhydrous"])).abs() < 0.005, "{ratio}");
    }

    #[test]
    fn iron_oxalate_made_from_alum() {
        let v = &vectors(IRON)["iron_oxalate_1911"];
        let molar = |key: &str| Formula::parse(v[key].as_str().unwrap()).unwrap().molar_mass();
        let fe = Mass::from_g(number(&v["alum_g"])) / molar("alum");
        let acid = Mass::from_g(number(&v["oxalic_acid_g"])) / molar("oxalic_acid");
        assert!((fe.to_mol() - number(&v["iron_mol"])).abs() < 5e-5);
        assert!((acid.to_mol() - number(&v["acid_mol"])).abs() < 5e-5);
        let needed = fe * 1.5;
        assert!((needed.to_mol() - number(&v["needed_mol"])).abs() < 5e-5);
        let excess = (acid - needed) * molar("oxalic_acid");
        assert!((excess.to_g() - number(&v["excess_g"])).abs() < 0.05, "{excess:?}");
        let product = fe / 2.0 * Salt::FerricOxalate { water: 0 }.molar_mass();
        assert!((product.to_g() - number(&v["product_g"])).abs() < 0.05, "{product:?}");
    }

    #[test]
    fn a_plain_mix_lies_in_the_published_window() {
        let window = &vectors(IRON)["window"];
        assert_eq!([WINDOW_LOW.value, WINDOW_HIGH.value], [number(&window[0]), number(&window[1])]);
        for m in [metal(Salt::SodiumPalladate, 15.0, 1.2), metal(Salt::PotassiumPlatinate, 20.0, 1.2)] {
            let r = iron_to_metal(Strength::from_percent(27.0), Volume::from_ml(1.2), &[m]).unwrap();
            assert!(r.low > WINDOW_LOW.value && r.high < WINDOW_HIGH.value, "{r:?}");
        }
        assert_eq!(iron_to_metal(Strength::from_percent(27.0), Volume::from_ml(1.0), &[]), None);
    }

    #[test]
    fn chlorides_for_palladium() {
        let v = vectors(include_str!("../../../../tests/reference/palladate-stoichiometry/vectors.json"));
        let tolerance = number(&v["tolerance_rel"]);
        for row in v["vectors"].as_array().unwrap() {
            let formula = |key: &str| Formula::parse(row[key].as_str().unwrap()).unwrap();
            let (chloride, product) =
                palladate(Mass::from_g(number(&row["PdCl2_g"])), &formula("chloride"), &formula("product"));
            assert!((chloride.to_g() / number(&row["chloride_g"]) - 1.0).abs() < tolerance, "{row}");
            assert!((product.to_g() / number(&row["product_g"]) - 1.0).abs() < tolerance, "{row}");
        }
    }
}
