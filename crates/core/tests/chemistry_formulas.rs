//! Two hundred formulas against an independent program.
#![allow(clippy::unwrap_used, reason = "a test that cannot read its reference shall stop")]

use sorrel_core::chemistry::{Element, Formula};
#[cfg(target_arch = "wasm32")]
use wasm_bindgen_test::wasm_bindgen_test as test;

#[test]
fn atoms_charge_and_molar_mass() {
    let v: serde_json::Value =
        serde_json::from_str(include_str!("../../../tests/reference/formulas/vectors.json")).unwrap();
    let rows = v["formulas"].as_array().unwrap();
    assert_eq!(rows.len(), 200);
    for row in rows {
        let text = row["formula"].as_str().unwrap();
        let formula = Formula::parse(text).unwrap_or_else(|e| panic!("{text}: {e:?}"));
        let atoms = row["atoms"].as_object().unwrap();
        assert_eq!(formula.atoms().count(), atoms.len(), "{text}");
        for (symbol, count) in atoms {
            let element = Element::of(symbol).unwrap();
            assert_eq!(formula.count(element), count.as_u64().unwrap(), "{text}: {symbol}");
        }
        assert_eq!(i64::from(formula.charge()), row["charge"].as_i64().unwrap(), "{text}");
        let (found, theirs) = (formula.molar_mass_estimate(), row["g_per_mol"].as_f64().unwrap());
        // Unabridged weights may lie anywhere within the half widths.
        let allowed = (2e-4 * theirs).max(found.high - found.value);
        assert!((found.value - theirs).abs() <= allowed, "{text}: {found:?} is not {theirs}");
    }
}
