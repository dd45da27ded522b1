//! Density of water and of a few solutions, for percentages by weight and for weighing drops.

use crate::constant::{Basis, Constant};
use crate::quantity::Temperature;

const TANAKA: &str = "Tanaka et al., Metrologia 38 (2001) 301-309, table constants";
const MODEL: &str =
    "Laliberté and Cooper, Journal of Chemical and Engineering Data 49 (2004) 1141-1151, at 20 °C";

const fn tanaka(value: f64, unit: &'static str, digits: u8) -> Constant {
    Constant::published(value, unit, digits, TANAKA)
}

/// The constants of the formula for water, in its order.
pub const WATER: [Constant; 5] = [
    tanaka(-3.983_035, "°C", 7),
    tanaka(301.797, "°C", 6),
    tanaka(522_528.9, "°C²", 7),
    tanaka(69.348_81, "°C", 7),
    tanaka(0.999_974_950, "g/mL", 9),
];

/// Density of water free of air at 101325 Pa, g/mL. `None` outside 0 to 40 °C, where the formula does not hold.
#[must_use]
pub fn water(t: Temperature) -> Option<f64> {
    let [a1, a2, a3, a4, a5] = WATER.map(|c| c.value);
    let t = t.to_celsius();
    let square = (t + a1) * (t + a1);
    (0.0..=40.0).contains(&t).then(|| a5 * (1.0 - square * (t + a2) / (a3 * (t + a4))))
}

/// Parts by mass and g/mL at 20 °C; between them a straight line is within 0.3 %.
type Row = (&'static str, &'static [(f64, f64)]);

/// Where every table begins: water alone.
const NONE: (f64, f64) = (0.0, 0.998_207);
const SOLUTIONS: [Row; 8] = [
    ("HCl", &[NONE, (0.1, 1.047_285), (0.2, 1.097_505), (0.3, 1.148_561), (0.37, 1.184_603)]),
    ("H3PO4", &[NONE, (0.1, 1.053_726), (0.2, 1.114_598), (0.3, 1.181_458), (0.4, 1.255_009)]),
    ("Na2SO3", &[NONE, (0.05, 1.040_091), (0.1, 1.088_835)]),
    ("Na2S2O3", &[NONE, (0.1, 1.081_683), (0.2, 1.173_215), (0.3, 1.273_202)]),
    ("K2Cr2O7", &[NONE, (0.05, 1.034_497)]),
    ("NaCl", &[NONE, (0.1, 1.070_752), (0.2, 1.148_105)]),
    ("LiCl", &[NONE, (0.1, 1.055_769), (0.2, 1.115_367), (0.3, 1.180_526)]),
    ("NH4Cl", &[NONE, (0.1, 1.027_553), (0.2, 1.056_26)]),
];

/// Density of a solution at 20 °C by part of mass (0..1) of the anhydrous solute named by its formula, as a starting
/// value; `None` where nothing is published or the table ends. Nothing is for metal salts, oxalates, citrates and EDTA.
#[must_use]
pub fn solution(formula: &str, part: f64) -> Option<Constant> {
    let (_, points) = SOLUTIONS.iter().find(|(name, _)| *name == formula)?;
    let pair = points.windows(2).find(|p| p[0].0 <= part && part <= p[1].0)?;
    let [(a, low), (b, high)] = [pair[0], pair[1]];
    let value = low + (high - low) * (part - a) / (b - a);
    Some(Constant { value, unit: "g/mL", digits: 3, basis: Basis::Published, source: MODEL })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn water_as_published() {
        let v: serde_json::Value =
            serde_json::from_str(include_str!("../../../../tests/reference/water-density/vectors.json"))
                .unwrap();
        for row in v["vectors"].as_array().unwrap() {
            let n = |k: &str| row[k].as_f64().unwrap();
            let found = water(Temperature::from_celsius(n("celsius"))).unwrap() * 1000.0;
            assert!((found - n("tanaka2001")).abs() < 5.1e-5, "{row}: {found}");
            assert!((found - n("iapws95")).abs() < v["tolerance_kg_m3"].as_f64().unwrap(), "{row}: {found}");
        }
        assert_eq!(water(Temperature::from_celsius(41.0)), None);
        assert_eq!(water(Temperature::from_celsius(f64::NAN)), None);
    }

    #[test]
    fn solutions_as_published() {
        let v: serde_json::Value =
            serde_json::from_str(include_str!("../../../../tests/reference/solution-density/vectors.json"))
                .unwrap();
        let mut checked = 0;
        for row in v["vectors"].as_array().unwrap() {
            let n = |k: &str| row[k].as_f64().unwrap();
            // The table is for 20 °C.
            if n("celsius") != 20.0 {
                continue;
            }
            let Some(found) = solution(row["formula"].as_str().unwrap(), n("part_w_w")) else { continue };
            assert!((found.value * 1000.0 / n("kg_m3") - 1.0).abs() < 0.003, "{row}: {}", found.value);
            checked += 1;
        }
        assert_eq!(checked, 44);
        assert_eq!(solution("HCl", 0.5), None);
        assert_eq!(solution("K2PtCl4", 0.1), None);
        assert_eq!(solution("HCl", f64::NAN), None);
    }
}
