//! Amounts published between 1882 and 1995, recomputed from their original units.
#![allow(clippy::unwrap_used, reason = "a test that cannot read its reference shall stop")]

use sorrel_core::chemistry::old_units::{OldAmount, System, grains_per_ounce, read, read_strength};
use sorrel_core::chemistry::{Amount, Formula, MolarMass, Molarity, Strength, iron};
use sorrel_core::quantity::{Area, Coverage, Length, Mass, Volume};
#[cfg(target_arch = "wasm32")]
use wasm_bindgen_test::wasm_bindgen_test as test;

fn vectors() -> serde_json::Value {
    serde_json::from_str(include_str!("../../../tests/reference/printing-literature/vectors.json")).unwrap()
}

fn n(v: &serde_json::Value) -> f64 {
    v.as_f64().unwrap()
}

fn molar(formula: &str) -> MolarMass {
    Formula::parse(formula).unwrap().molar_mass()
}

fn near(found: f64, expected: f64, half: f64, what: &str) {
    assert!((found - expected).abs() <= half, "{what}: {found} is not {expected}");
}

fn litre(mass: Mass, formula: &str, ml: f64) -> Molarity {
    let amount: Amount = mass / molar(formula);
    Molarity::from_mol_per_litre(amount.to_mol() * 1e3 / ml)
}

#[test]
fn alum_and_oxalic_acid_of_1882() {
    // 2 Fe(OH)3 + 3 H2C2O4 → Fe2(C2O4)3 + 6 H2O, the acid weighed as dihydrate.
    let v = &vectors()["alum_1882"];
    let acid = Mass::from_g(n(&v["oxalic_acid_parts"])) / molar("H2C2O4·2H2O");
    let made = acid / 3.0 * molar("Fe2(C2O4)3");
    near(made.to_g(), n(&v["ferric_oxalate_parts"]), 0.051, "parts of iron(III) oxalate");
}

#[test]
fn one_formula_of_metal_to_one_of_iron() {
    let v = &vectors()["one_formula_to_one"];
    let iron = Strength::from_percent(n(&v["iron_percent"])).molarity(molar("Fe2(C2O4)3·6H2O"));
    assert_eq!(v["water"], 6);
    let mut checked = 0;
    for (formula, expected) in v.as_object().unwrap() {
        if let (Ok(metal), true) = (Formula::parse(formula), formula.contains("Cl")) {
            near(iron.strength(metal.molar_mass()).to_percent(), n(expected), 0.005_01, formula);
            checked += 1;
        }
    }
    assert_eq!(checked, 5);
}

#[test]
fn printing_out_with_ammonium_salts() {
    let v = &vectors()["printing_out"];
    let of = |key: &str| {
        let row = &v[key];
        let m = litre(Mass::from_g(n(&row["g"])), row["formula"].as_str().unwrap(), n(&row["ml"]));
        near(m.to_mol_per_litre(), n(&row["mol_per_litre"]), 5.01e-4, key);
        m
    };
    let [iron, platinum, palladium] = ["iron", "platinum", "palladium"].map(of);
    near(iron / platinum, n(&v["fe_to_pt"]), 0.005_01, "Fe : Pt");
    near(iron / palladium, n(&v["fe_to_pd"]), 0.005_01, "Fe : Pd");
    let chloride = litre(Mass::from_g(n(&v["ammonium_chloride_g"])), "NH4Cl", n(&v["palladium"]["ml"]));
    near(chloride / palladium, n(&v["chloride_to_pd"]), 5.01e-4, "NH4Cl : Pd");
}

#[test]
fn the_normal_sensitiser_in_grains_and_ounces() {
    let v = &vectors()["normal_sensitiser"];
    let strength = read_strength(v["iron"].as_str().unwrap(), System::Imperial).unwrap();
    let OldAmount::Mass(platinum) = read("240 grains", System::Imperial, false).unwrap() else { panic!() };
    let OldAmount::Volume(volume) = read("2 3/4 oz", System::Imperial, true).unwrap() else { panic!() };
    let [grains, ounces] = ["platinum_grains", "iron_fluid_ounces"].map(|k| n(&v[k]));
    assert_eq!([grains, ounces], [240.0, 2.75]);
    for (water, expected) in v["fe_to_pt"].as_object().unwrap() {
        let fe = iron::ferric_oxalate(strength, Some(water.parse().unwrap()));
        let fe = Molarity::from_mol_per_litre(fe.value) * volume;
        near(fe / (platinum / molar("K2PtCl4")), n(expected), 0.005_01, water);
    }
    // Metal weighed in grains and iron in grains an ounce: whose ounces they are cancels.
    let us = grains_per_ounce(120.0, System::Us) * Volume::from_ml(System::Us.fluid_ounce().value * 2.75);
    near(us / (strength * volume), 1.0, 1e-12, "US");
}

#[test]
fn chloride_of_the_study_of_1995() {
    let v = &vectors()["palladium_study"];
    let pd = litre(Mass::from_g(n(&v["palladium_chloride_dihydrate_g"])), "PdCl2·2H2O", n(&v["ml"]));
    near(pd.to_mol_per_litre(), n(&v["mol_per_litre"]), 5.01e-5, "Pd");
    let chloride = litre(Mass::from_g(n(&v["chloride_g"])), "NaCl", n(&v["ml"]));
    near(chloride / pd, n(&v["chloride_to_pd"]), 0.005_01, "NaCl : Pd");
}

#[test]
fn published_coverage() {
    let all = vectors();
    let rows = all["coverage"].as_array().unwrap();
    assert_eq!(rows.len(), 10);
    for row in rows {
        let old = |number: &serde_json::Value, unit: &str| {
            let text = format!("{} {unit}", n(number));
            match read(&text, System::Imperial, true) {
                Ok(OldAmount::Volume(v)) => v,
                other => panic!("{text}: {other:?}"),
            }
        };
        let volume = if let Some(ml) = row["ml"].as_f64() {
            Volume::from_ml(ml)
        } else if let Some(drops) = row["drops"].as_f64() {
            Volume::from_ml(drops / 20.0)
        } else if !row["minims"].is_null() {
            old(&row["minims"], "minims")
        } else {
            old(&row["fluid_drachms"], "fl drachms")
        };
        let side = |i: usize| match row["inches"][i].as_f64() {
            Some(inches) => Length::from_inches(inches),
            None => Length::from_mm(n(&row["mm"][i])),
        };
        let area: Area = side(0) * side(1);
        let found = volume.to_ml() / area.to_m2();
        let expected = n(&row["ml_per_m2"]);
        // Half a unit of the last digit given: tenths, or whole millilitres.
        let half = if expected.fract() == 0.0 { 0.51 } else { 0.051 };
        near(found, expected, half, row["id"].as_str().unwrap());
        let back = (Coverage::from_ml_per_m2(found) * area).to_ml();
        near(back, volume.to_ml(), 1e-9, "volume back");
    }
}
