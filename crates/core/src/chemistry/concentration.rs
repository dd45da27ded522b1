//! The ways a strength is stated, and what each needs to become % w/v.
//!
//! Meaning of the percentages: United States Pharmacopeia 28, General Notices, "Percentage Measurements".

use super::{MolarMass, Molarity, Strength};
use crate::note::Note;

/// How a strength is stated.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Way {
    /// Grams of solid in 100 mL of solution.
    #[default]
    PercentWv,
    /// Grams in 100 g of solution.
    PercentWw,
    /// mL of a liquid in 100 mL of solution.
    PercentVv,
    /// Grams in a litre of solution.
    GramsPerLitre,
    /// Moles in a litre of solution.
    MolPerLitre,
    /// Grams of solid to 100 g of water.
    PerHundredWater,
}

impl Way {
    /// Every way, with its sign.
    pub const ALL: [(Self, &'static str); 6] = [
        (Self::PercentWv, "% w/v"),
        (Self::PercentWw, "% w/w"),
        (Self::PercentVv, "% v/v"),
        (Self::GramsPerLitre, "g/L"),
        (Self::MolPerLitre, "mol/L"),
        (Self::PerHundredWater, "g to 100 g water"),
    ];

    /// Its sign.
    #[must_use]
    pub const fn sign(self) -> &'static str {
        Self::ALL[self as usize].1
    }
}

/// What is known of solution and solute; only what the two ways need must be there.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Facts {
    /// Molar mass of the solute as counted.
    pub molar: Option<MolarMass>,
    /// Density of the solution, g/mL.
    pub solution: Option<f64>,
    /// Density of a liquid solute by itself, g/mL.
    pub solute: Option<f64>,
}

/// Why a strength cannot be turned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Missing {
    /// The molar mass of the solute.
    MolarMass,
    /// The density of the solution.
    SolutionDensity,
    /// The density of the liquid solute.
    SoluteDensity,
    /// The strength is below zero, not a number, or more than the whole.
    Range,
}

impl Missing {
    /// The note for a field.
    #[must_use]
    pub fn note(self, field: &str) -> Note {
        let (text, mend) = match self {
            Self::MolarMass => (
                "Moles cannot be counted without a formula.",
                "Type the formula on the label, or state the strength in percent.",
            ),
            Self::SolutionDensity => (
                "Percent by weight needs the density of the solution.",
                "Weigh 10 mL of it and type grams divided by 10, or take the density from its label.",
            ),
            Self::SoluteDensity => (
                "Percent by volume needs the density of the liquid.",
                "Take it from the liquid's label, or weigh 10 mL of it.",
            ),
            Self::Range => (
                "The strength is below zero or more than the whole.",
                "Check the number and how it is counted.",
            ),
        };
        Note::error(field, text, mend)
    }
}

/// g/mL, if it is above zero.
fn density(known: Option<f64>, missing: Missing) -> Result<f64, Missing> {
    known.filter(|d| *d > 0.0 && d.is_finite()).ok_or(missing)
}

fn molar(facts: &Facts) -> Result<MolarMass, Missing> {
    facts.molar.filter(|m| m.to_g_per_mol() > 0.0).ok_or(Missing::MolarMass)
}

/// % w/v of a strength stated in any way.
///
/// # Errors
/// Says which fact is missing, or that the number is out of range.
pub fn strength(stated: f64, way: Way, facts: &Facts) -> Result<Strength, Missing> {
    let whole = match way {
        Way::PercentWw | Way::PercentVv => 100.0,
        _ => f64::MAX,
    };
    if !(0.0..=whole).contains(&stated) {
        return Err(Missing::Range);
    }
    let percent = match way {
        Way::PercentWv => stated,
        Way::PercentWw => stated * density(facts.solution, Missing::SolutionDensity)?,
        Way::PercentVv => stated * density(facts.solute, Missing::SoluteDensity)?,
        Way::GramsPerLitre => stated / 10.0,
        Way::MolPerLitre => Molarity::from_mol_per_litre(stated).strength(molar(facts)?).to_percent(),
        Way::PerHundredWater => {
            let part = stated / (100.0 + stated);
            100.0 * part * density(facts.solution, Missing::SolutionDensity)?
        }
    };
    if percent.is_finite() { Ok(Strength::from_percent(percent)) } else { Err(Missing::Range) }
}

/// A strength stated in another way.
///
/// # Errors
/// Says which fact is missing, or that there is no such number.
pub fn stated(strength: Strength, way: Way, facts: &Facts) -> Result<f64, Missing> {
    let percent = strength.to_percent();
    if !(0.0..f64::MAX).contains(&percent) {
        return Err(Missing::Range);
    }
    let by_weight = || density(facts.solution, Missing::SolutionDensity).map(|d| percent / d);
    let (x, whole) = match way {
        Way::PercentWv => (percent, f64::MAX),
        Way::PercentWw => (by_weight()?, 100.0),
        Way::PercentVv => (percent / density(facts.solute, Missing::SoluteDensity)?, 100.0),
        Way::GramsPerLitre => (percent * 10.0, f64::MAX),
        Way::MolPerLitre => (strength.molarity(molar(facts)?).to_mol_per_litre(), f64::MAX),
        Way::PerHundredWater => {
            let w = by_weight()?;
            if w >= 100.0 {
                return Err(Missing::Range);
            }
            (100.0 * w / (100.0 - w), f64::MAX)
        }
    };
    if (0.0..=whole).contains(&x) { Ok(x) } else { Err(Missing::Range) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chemistry::Formula;
    use crate::testing::test;

    #[test]
    fn published_numbers() {
        let v: serde_json::Value =
            serde_json::from_str(include_str!("../../../../tests/reference/lab-arithmetic/vectors.json"))
                .unwrap();
        let acid = Formula::parse("HCl").unwrap().molar_mass();
        for row in v["ww_wv"].as_array().unwrap() {
            let n = |k: &str| row[k].as_f64();
            let facts = Facts { molar: Some(acid), solution: n("density_g_ml"), solute: None };
            let s = strength(n("w_w_percent").unwrap(), Way::PercentWw, &facts).unwrap();
            assert!((s.to_percent() / n("w_v_percent").unwrap() - 1.0).abs() < 1e-8);
            if let Some(expected) = n("mol_per_L_HCl") {
                assert!((stated(s, Way::MolPerLitre, &facts).unwrap() / expected - 1.0).abs() < 1e-4);
            }
        }
        let d: serde_json::Value =
            serde_json::from_str(include_str!("../../../../tests/reference/solution-density/vectors.json"))
                .unwrap();
        for row in d["vectors"].as_array().unwrap() {
            let n = |k: &str| row[k].as_f64().unwrap();
            let facts = Facts { solution: Some(n("kg_m3") / 1000.0), ..Facts::default() };
            let s = strength(100.0 * n("part_w_w"), Way::PercentWw, &facts).unwrap();
            assert!((s.to_percent() / n("percent_w_v") - 1.0).abs() < 1e-4, "{row}");
        }
    }

    #[test]
    fn a_fact_is_asked_for_only_where_it_is_needed() {
        let none = Facts::default();
        assert_eq!(strength(5.0, Way::GramsPerLitre, &none), Ok(Strength::from_percent(0.5)));
        assert_eq!(strength(37.0, Way::PercentWw, &none), Err(Missing::SolutionDensity));
        assert_eq!(strength(37.0, Way::PercentVv, &none), Err(Missing::SoluteDensity));
        assert_eq!(strength(1.0, Way::MolPerLitre, &none), Err(Missing::MolarMass));
        assert_eq!(strength(33.0, Way::PerHundredWater, &none), Err(Missing::SolutionDensity));
        assert_eq!(strength(-1.0, Way::PercentWv, &none), Err(Missing::Range));
        assert_eq!(strength(f64::NAN, Way::PercentWv, &none), Err(Missing::Range));
        assert_eq!(strength(101.0, Way::PercentWw, &none), Err(Missing::Range));
        let zero = Facts { solution: Some(0.0), ..none };
        assert_eq!(strength(37.0, Way::PercentWw, &zero), Err(Missing::SolutionDensity));
        for (way, sign) in Way::ALL {
            assert_eq!(way.sign(), sign);
        }
        assert_eq!(Missing::SolutionDensity.note("density").field, "density");
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn every_way_comes_back(x in 0.01..99.0f64, way in 0..6usize, m in 10.0..600.0f64, d in 0.7..2.0f64) {
            let facts = Facts { molar: Some(MolarMass::from_g_per_mol(m)), solution: Some(d), solute: Some(d) };
            let way = Way::ALL[way].0;
            let s = strength(x, way, &facts).unwrap();
            prop_assert!((stated(s, way, &facts).unwrap() / x - 1.0).abs() < 1e-10);
        }
    }
}
