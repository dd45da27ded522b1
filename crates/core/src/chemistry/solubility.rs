//! How much water takes up, and whether a wanted strength will stay dissolved.

use super::Strength;
use crate::constant::Basis;
use crate::quantity::Temperature;

/// What a solubility counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Per {
    /// Grams of the anhydrous solid to 100 g of water.
    HundredWater,
    /// Grams of the anhydrous solid in 100 mL of solution.
    Hundred,
}

const CRC: &str = "CRC Handbook of Chemistry and Physics, 91st ed. 2010, pp. 8-112 to 8-117";
const MEASURED: &str = "encyclopaedia article citing a measured set; anhydrous assumed";
const MONOGRAPH: &str = "chemical data page citing a handbook's monograph";
const HANDBOOK: &str = "usual handbook figures, quoted at second hand";
const MEMORY: &str = "from memory, not looked up";

struct Row {
    formula: &'static str,
    per: Per,
    basis: Basis,
    source: &'static str,
    /// °C and grams, rising in °C.
    points: &'static [(f64, f64)],
}

const fn crc(formula: &'static str, points: &'static [(f64, f64)]) -> Row {
    Row { formula, per: Per::HundredWater, basis: Basis::Published, source: CRC, points }
}

const ROWS: [Row; 15] = [
    crc(
        "AgNO3",
        &[
            (0.0, 126.7574),
            (10.0, 165.252),
            (20.0, 210.559),
            (25.0, 234.4482),
            (30.0, 261.0108),
            (40.0, 318.41),
        ],
    ),
    crc(
        "KCl",
        &[
            (0.0, 27.7792),
            (10.0, 30.9072),
            (20.0, 34.0303),
            (25.0, 35.5381),
            (30.0, 37.0614),
            (40.0, 40.0364),
        ],
    ),
    crc(
        "KClO3",
        &[(0.0, 3.1247), (10.0, 4.8988), (20.0, 7.2271), (25.0, 8.613), (30.0, 10.1443), (40.0, 13.7139)],
    ),
    crc(
        "K2Cr2O7",
        &[(0.0, 4.4932), (10.0, 7.6658), (20.0, 12.2334), (25.0, 15.0748), (30.0, 18.3432), (40.0, 26.2626)],
    ),
    crc(
        "K3Fe(CN)6",
        &[(0.0, 31.406), (10.0, 38.1215), (20.0, 45.1379), (25.0, 48.8095), (30.0, 52.207), (40.0, 59.2357)],
    ),
    crc(
        "LiCl",
        &[
            (0.0, 67.9261),
            (10.0, 73.7921),
            (20.0, 82.7819),
            (25.0, 84.5359),
            (30.0, 86.0465),
            (40.0, 89.7533),
        ],
    ),
    crc(
        "NH4Cl",
        &[(0.0, 29.7353), (10.0, 33.547), (20.0, 37.4948), (25.0, 39.5479), (30.0, 41.623), (40.0, 45.9002)],
    ),
    crc(
        "NaCl",
        &[(0.0, 35.6484), (10.0, 35.722), (20.0, 35.888), (25.0, 35.9619), (30.0, 36.0915), (40.0, 36.3698)],
    ),
    crc(
        "Na2SO3",
        &[(0.0, 13.6364), (10.0, 19.1895), (20.0, 26.4223), (25.0, 30.719), (30.0, 35.6852), (40.0, 37.5516)],
    ),
    crc(
        "Na2S2O3",
        &[
            (0.0, 49.4768),
            (10.0, 56.9859),
            (20.0, 68.3502),
            (25.0, 76.3668),
            (30.0, 84.8429),
            (40.0, 108.3333),
        ],
    ),
    crc(
        "(NH4)2C2O4",
        &[(0.0, 2.3646), (10.0, 3.2098), (20.0, 4.4386), (25.0, 5.1967), (30.0, 6.0783), (40.0, 8.1783)],
    ),
    Row {
        formula: "H2C2O4",
        per: Per::Hundred,
        basis: Basis::Published,
        source: MEASURED,
        points: &[
            (5.0, 4.69),
            (10.0, 5.72),
            (15.0, 7.55),
            (20.0, 9.55),
            (25.0, 11.8),
            (30.0, 13.9),
            (35.0, 17.8),
            (40.0, 21.7),
        ],
    },
    // 33 g of the monohydrate, told as anhydrous: 166.214 parts in 184.229.
    Row {
        formula: "K2C2O4",
        per: Per::Hundred,
        basis: Basis::Published,
        source: MONOGRAPH,
        points: &[(20.0, 29.773)],
    },
    Row {
        formula: "C6H8O7",
        per: Per::HundredWater,
        basis: Basis::FromMemory,
        source: HANDBOOK,
        points: &[(10.0, 117.39), (20.0, 145.1), (30.0, 180.11)],
    },
    // 10 g of the dihydrate.
    Row {
        formula: "Na2C10H14N2O8",
        per: Per::Hundred,
        basis: Basis::FromMemory,
        source: MEMORY,
        points: &[(20.0, 9.03)],
    },
];

/// How far one point is carried to either side, in degrees Celsius; beyond, nothing is said.
const REACH: f64 = 5.0;
/// How much room dissolved salt takes at least, against the same weight of water: no less than dense crystals.
const CRAMPED: f64 = 1.0 / 3.0;
/// How much it takes at most.
const ROOMY: f64 = 0.7;

/// Strongest solutions, as % w/v of the anhydrous solid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limit {
    /// Below this it dissolves.
    pub low: Strength,
    /// Above this it does not.
    pub high: Strength,
    /// How far the numbers may be trusted.
    pub basis: Basis,
    /// Where they come from.
    pub source: &'static str,
}

/// The strongest solution of an anhydrous solid, named by its formula, at a temperature (0 to 40 °C). A figure for 100 g
/// of water leaves the volume of the salt open, so the limit is an interval. `None` where nothing is known.
#[must_use]
pub fn limit(formula: &str, t: Temperature) -> Option<Limit> {
    let row = ROWS.iter().find(|row| row.formula == formula)?;
    let t = t.to_celsius();
    let at = match row.points {
        [(only, grams)] => ((t - only).abs() <= REACH).then_some(*grams)?,
        points => {
            let pair = points.windows(2).find(|p| p[0].0 <= t && t <= p[1].0)?;
            let [(a, low), (b, high)] = [pair[0], pair[1]];
            low + (high - low) * (t - a) / (b - a)
        }
    };
    let with = |room: f64| match row.per {
        Per::Hundred => Strength::from_percent(at),
        Per::HundredWater => Strength::from_percent(100.0 * at / (100.0 + room * at)),
    };
    Some(Limit { low: with(ROOMY), high: with(CRAMPED), basis: row.basis, source: row.source })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn vectors() -> serde_json::Value {
        serde_json::from_str(include_str!("../../../../tests/reference/solubility/vectors.json")).unwrap()
    }

    #[test]
    fn knots_are_the_published_ones() {
        let v = vectors();
        for row in &ROWS {
            let table = match row.formula {
                "H2C2O4" => &v["oxalic_acid_g_per_litre"],
                "K2C2O4" => {
                    let hydrate = v["potassium_oxalate_monohydrate_g_per_100_ml_20"].as_f64().unwrap();
                    let anhydrous = hydrate * 166.214 / 184.229;
                    assert!((row.points[0].1 - anhydrous).abs() < 5e-4);
                    continue;
                }
                _ if row.basis == Basis::FromMemory => continue,
                f => &v["g_per_100_g_water"][f],
            };
            let scale = if row.per == Per::Hundred { 10.0 } else { 1.0 };
            for &(t, grams) in row.points {
                let expected =
                    table[&format!("{t}")].as_f64().unwrap_or_else(|| panic!("{} {t}", row.formula));
                assert!((grams * scale - expected).abs() < 1e-9, "{} {t}", row.formula);
            }
        }
    }

    #[test]
    fn saturated_salt_lies_in_the_interval() {
        // Sodium chloride saturated at 20 °C: 35.888 g to 100 g of water is 26.41 % w/w. Its density there, carried on
        // along the published model from 20 % (1.148 g/mL) by 0.0077 g/mL a percent, is 1.198 g/mL: 31.6 % w/v.
        let l = limit("NaCl", Temperature::from_celsius(20.0)).unwrap();
        assert!(l.low.to_percent() < 31.6 && l.high.to_percent() > 31.6, "{l:?}");
        assert!(l.high / l.low < 1.2);
        // What is published for less than saturation must dissolve: 20 % w/w NaCl and KCl, 30 % LiCl.
        let d: serde_json::Value =
            serde_json::from_str(include_str!("../../../../tests/reference/solution-density/vectors.json"))
                .unwrap();
        for row in d["vectors"].as_array().unwrap() {
            let t = Temperature::from_celsius(row["celsius"].as_f64().unwrap());
            let Some(l) = limit(row["formula"].as_str().unwrap(), t) else { continue };
            assert!(l.high.to_percent() > row["percent_w_v"].as_f64().unwrap(), "{row} {l:?}");
        }
    }

    #[test]
    fn what_is_not_known_is_not_said() {
        let at = |f, t| limit(f, Temperature::from_celsius(t));
        assert_eq!(at("K2PtCl4", 20.0), None);
        assert_eq!(at("K2C2O4", 40.0), None);
        assert_eq!(at("NaCl", 80.0), None);
        assert_eq!(at("NaCl", f64::NAN), None);
        // One point is carried a little to either side.
        assert_eq!(at("K2C2O4", 22.0), at("K2C2O4", 20.0));
        let between = at("KClO3", 22.5).unwrap();
        assert!(
            between.low > at("KClO3", 20.0).unwrap().low && between.high < at("KClO3", 25.0).unwrap().high
        );
    }
}
