//! Everyday arithmetic of the bench: making up, diluting, mixing, other hydrates.
//!
//! Meaning of the percentages: United States Pharmacopeia 28, General Notices, "Percentage Measurements".
//! Functions that divide give `None` where the answer does not exist.

use super::{Formula, Strength};
use crate::quantity::{Mass, Volume};

/// Passes what is finite.
fn finite(x: f64) -> Option<f64> {
    x.is_finite().then_some(x)
}

/// Solid to weigh for a volume of that strength, when only `assay` (0..1) of what is weighed is the solid.
#[must_use]
pub fn weigh(strength: Strength, volume: Volume, assay: f64) -> Option<Mass> {
    let mass = strength * volume / assay;
    (assay > 0.0 && assay <= 1.0 && mass.to_g().is_finite()).then_some(mass)
}

/// Volume of a stock that makes `volume` of the weaker strength `wanted`; water makes it up.
#[must_use]
pub fn dilute(stock: Strength, wanted: Strength, volume: Volume) -> Option<Volume> {
    let part = finite(wanted / stock)?;
    (0.0..=1.0).contains(&part).then(|| volume * part)
}

/// Strength of one part of stock with `more` parts of water.
#[must_use]
pub fn one_plus(stock: Strength, more: f64) -> Option<Strength> {
    (more >= 0.0).then(|| stock / (1.0 + more))
}

/// Volumes of two strengths that together make `volume` of `wanted`, which must lie between them.
#[must_use]
pub fn mix_two(a: Strength, b: Strength, wanted: Strength, volume: Volume) -> Option<(Volume, Volume)> {
    let part = finite((wanted - b) / (a - b))?;
    (0.0..=1.0).contains(&part).then(|| (volume * part, volume * (1.0 - part)))
}

/// % w/w of so many grams in 100 g of water.
#[must_use]
pub fn percent_of_whole(per_100_g_water: f64) -> Option<f64> {
    if per_100_g_water < 0.0 { None } else { finite(100.0 * per_100_g_water / (100.0 + per_100_g_water)) }
}

/// Grams in 100 g of water of so many % w/w (below 100).
#[must_use]
pub fn per_100_g_water(percent_w_w: f64) -> Option<f64> {
    if (0.0..100.0).contains(&percent_w_w) {
        finite(100.0 * percent_w_w / (100.0 - percent_w_w))
    } else {
        None
    }
}

/// Strength of a solution given in % w/w, of the stated density in g/mL.
#[must_use]
pub fn by_density(percent_w_w: f64, g_per_ml: f64) -> Strength {
    Strength::from_percent(percent_w_w * g_per_ml)
}

/// What one gram of `from` is replaced by in `to`, when one formula of each holds as much of the active part:
/// the hydrate factor `M(to) / M(from)`.
#[must_use]
pub fn hydrate_factor(from: &Formula, to: &Formula) -> Option<f64> {
    finite(to.molar_mass() / from.molar_mass())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    /// Relative; nothing but arithmetic stands between.
    const TIGHT: f64 = 1e-8;
    /// Relative; molar masses in between are rounded in the vectors.
    const MOLAR: f64 = 1e-4;

    fn vectors() -> serde_json::Value {
        serde_json::from_str(include_str!("../../../../tests/reference/lab-arithmetic/vectors.json")).unwrap()
    }

    /// Calls the check once for every row with a reader of its numbers, and sees that there was one.
    fn rows(name: &str, check: impl Fn(&dyn Fn(&str) -> Option<f64>, &serde_json::Value)) {
        let all = vectors();
        let list = all[name].as_array().unwrap_or_else(|| panic!("{name}"));
        assert!(!list.is_empty());
        for row in list {
            check(&|key| row[key].as_f64(), row);
        }
    }

    fn near(found: f64, expected: f64, tolerance: f64) {
        assert!((found / expected - 1.0).abs() < tolerance, "{found} is not {expected}");
    }

    fn percent(x: f64) -> Strength {
        Strength::from_percent(x)
    }

    #[test]
    fn making_up_and_assay() {
        for name in ["wv_make_up", "purity"] {
            rows(name, |n, _| {
                let (p, ml) = (n("percent_wv").unwrap(), n("final_ml").unwrap());
                let mass = weigh(percent(p), Volume::from_ml(ml), n("assay").unwrap_or(1.0)).unwrap();
                near(mass.to_g(), n("solute_g").or(n("weigh_g")).unwrap(), TIGHT);
            });
        }
        assert_eq!(weigh(percent(10.0), Volume::from_ml(1.0), 0.0), None);
    }

    #[test]
    fn diluting_and_mixing() {
        rows("dilution_c1v1", |n, _| {
            let v = dilute(
                percent(n("c1").unwrap()),
                percent(n("c2").unwrap()),
                Volume::from_ml(n("v2_ml").unwrap()),
            );
            near(v.unwrap().to_ml(), n("v1_ml").unwrap(), TIGHT);
        });
        rows("parts_1_plus_n", |n, _| {
            let more = n("one_plus").or(n("ratio_1_to_n_total").map(|n| n - 1.0)).unwrap();
            let s = one_plus(percent(n("stock_percent").unwrap()), more).unwrap();
            near(s.to_percent(), n("result_percent").unwrap(), TIGHT);
        });
        rows("mix_two_strengths_by_volume", |n, _| {
            let volume = Volume::from_ml(n("v_total").unwrap());
            let [a, b, target] = ["c_a", "c_b", "target"].map(|k| percent(n(k).unwrap()));
            let (va, vb) = mix_two(a, b, target, volume).unwrap();
            near(va.to_ml(), n("v_a").unwrap(), TIGHT);
            near(vb.to_ml(), n("v_b").unwrap(), TIGHT);
        });
        assert_eq!(dilute(percent(5.0), percent(20.0), Volume::from_ml(1.0)), None);
        assert_eq!(mix_two(percent(5.0), percent(5.0), percent(5.0), Volume::from_ml(1.0)), None);
    }

    #[test]
    fn percent_of_what() {
        rows("percent_solution_vs_per_100_water", |n, row| {
            let (w, p) = (n("w_w_percent").unwrap(), n("g_per_100_g_water").unwrap());
            assert!(row.is_object());
            near(percent_of_whole(p).unwrap(), w, TIGHT);
            near(per_100_g_water(w).unwrap(), p, TIGHT);
        });
        rows("ww_wv", |n, _| {
            let s = by_density(n("w_w_percent").unwrap(), n("density_g_ml").unwrap());
            near(s.to_percent(), n("w_v_percent").unwrap(), TIGHT);
            if let Some(molar) = n("mol_per_L_HCl") {
                let acid = Formula::parse("HCl").unwrap().molar_mass();
                near(s.molarity(acid).to_mol_per_litre(), molar, MOLAR);
            }
        });
        assert_eq!(per_100_g_water(100.0), None);
    }

    #[test]
    fn moles_a_litre() {
        let formula =
            |row: &serde_json::Value, key: &str| Formula::parse(row[key].as_str().unwrap()).unwrap();
        rows("molarity", |n, row| {
            let molar = formula(row, "formula").molar_mass();
            let strength = percent(n("w_v_percent").unwrap());
            near(strength.molarity(molar).to_mol_per_litre(), n("mol_per_L").unwrap(), MOLAR);
            near(strength.molarity(molar).strength(molar).to_percent(), strength.to_percent(), TIGHT);
        });
        let equal = &vectors()["equal_moles"];
        let target = super::super::Molarity::from_mol_per_litre(equal["target_mol_per_L"].as_f64().unwrap());
        let list = equal["strengths"].as_array().unwrap();
        assert_eq!(list.len(), 3);
        for row in list {
            let s = target.strength(formula(row, "formula").molar_mass());
            near(s.to_percent(), row["w_v_percent"].as_f64().unwrap(), MOLAR);
        }
        rows("hydrate_factor", |n, row| {
            let factor = hydrate_factor(&formula(row, "from"), &formula(row, "to")).unwrap();
            near(factor, n("factor").unwrap(), MOLAR);
        });
        rows("hydrate_in_recipe", |n, row| {
            let factor = hydrate_factor(&formula(row, "recipe"), &formula(row, "have")).unwrap();
            near(factor * n("recipe_g").unwrap(), n("weigh_g").unwrap(), MOLAR);
        });
        assert_eq!(hydrate_factor(&Formula::default(), &Formula::default()), None);
    }

    #[test]
    fn one_hydrate_for_another() {
        let v: serde_json::Value =
            serde_json::from_str(include_str!("../../../../tests/reference/hydrate-conversion/vectors.json"))
                .unwrap();
        let tolerance = v["tolerance_rel"].as_f64().unwrap();
        for row in v["vectors"].as_array().unwrap() {
            let [from, to] = ["from", "to"].map(|k| Formula::parse(row[k].as_str().unwrap()).unwrap());
            let factor = hydrate_factor(&from, &to).unwrap();
            assert!((factor / row["factor"].as_f64().unwrap() - 1.0).abs() < tolerance, "{row}");
            // There and back.
            assert!((factor * hydrate_factor(&to, &from).unwrap() - 1.0).abs() < 1e-12);
        }
    }
}
