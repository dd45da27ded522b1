//! Saturated salts: a closed box over a wet paste of one holds its relative humidity.
//!
//! Greenspan, J. Res. NBS 81A(1):89–96 (1977): polynomials in °C. Two public copies of it both print a minus before
//! the linear term of lithium chloride, and one before that of potassium carbonate; only the plus gives back the table's own
//! 11.3 % and 43.2 %, so plus is used. Sodium bromide is drawn straight between the values of OIML R 121 (1996), Table 1, and
//! magnesium nitrate through remembered values of Greenspan's table.

use crate::constant::{Basis, Constant};

const GREENSPAN: &str = "L. Greenspan, J. Res. NBS 81A(1):89–96 (1977)";

const fn term(value: f64) -> Constant {
    Constant { value, unit: "% RH", digits: 6, basis: Basis::Published, source: GREENSPAN }
}

/// A salt.
#[derive(Clone, Copy, Debug)]
pub struct Salt {
    /// Its name.
    pub name: &'static str,
    /// Its formula.
    pub formula: &'static str,
    /// Uncertainty of its humidity (k = 2), in % RH.
    pub doubt: Constant,
    rule: Rule,
}

#[derive(Clone, Copy, Debug)]
enum Rule {
    Polynomial([Constant; 4]),
    /// At 15, 20, 25 and 30 °C.
    Table([Constant; 4]),
}

const fn oiml(value: f64) -> Constant {
    Constant { value, unit: "% RH", digits: 3, basis: Basis::Published, source: "OIML R 121 (1996), Table 1" }
}

const fn remembered(value: f64) -> Constant {
    Constant { value, unit: "% RH", digits: 4, basis: Basis::FromMemory, source: GREENSPAN }
}

const fn polynomial(name: &'static str, formula: &'static str, doubt: f64, terms: [f64; 4]) -> Salt {
    let rule = Rule::Polynomial([term(terms[0]), term(terms[1]), term(terms[2]), term(terms[3])]);
    Salt { name, formula, doubt: oiml(doubt), rule }
}

/// Salts that can be had, driest first.
pub const SALTS: [Salt; 7] = [
    polynomial("lithium chloride", "LiCl", 0.3, [11.2323, 0.008_242_45, -0.000_214_89, 0.0]),
    polynomial("magnesium chloride", "MgCl₂", 0.3, [33.6686, -0.007_973_97, -0.001_089_88, 0.0]),
    polynomial("potassium carbonate", "K₂CO₃", 0.4, [43.1315, 0.001_475_23, 0.0, 0.0]),
    Salt {
        name: "magnesium nitrate",
        formula: "Mg(NO₃)₂",
        doubt: remembered(0.3),
        rule: Rule::Table([remembered(55.87), remembered(54.38), remembered(52.89), remembered(51.40)]),
    },
    Salt {
        name: "sodium bromide",
        formula: "NaBr",
        doubt: oiml(0.5),
        rule: Rule::Table([oiml(60.7), oiml(59.1), oiml(57.6), oiml(56.0)]),
    },
    polynomial("sodium chloride, kitchen salt", "NaCl", 0.2, [75.5164, 0.039_832_1, -0.002_654_59, 2.848e-5]),
    polynomial("potassium chloride", "KCl", 0.3, [88.619, -0.193_34, 0.000_899_706, 0.0]),
];

impl Salt {
    /// Relative humidity over it in %, at 15 to 30 °C; `None` outside.
    #[must_use]
    pub fn humidity(&self, celsius: f64) -> Option<f64> {
        if !(15.0..=30.0).contains(&celsius) {
            return None;
        }
        Some(match self.rule {
            Rule::Polynomial(a) => {
                a[0].value + celsius * (a[1].value + celsius * (a[2].value + celsius * a[3].value))
            }
            Rule::Table(rows) => {
                let place = (celsius - 15.0) / 5.0;
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 3")]
                let i = (place as usize).min(2);
                rows[i].value + (rows[i + 1].value - rows[i].value) * (place - i as f64)
            }
        })
    }
}

/// The salt whose humidity lies nearest to a wish, at a temperature; `None` outside 15 to 30 °C.
#[must_use]
pub fn nearest(humidity: f64, celsius: f64) -> Option<(&'static Salt, f64)> {
    let all = SALTS.iter().filter_map(|s| Some((s, s.humidity(celsius)?)));
    all.min_by(|a, b| (a.1 - humidity).abs().total_cmp(&(b.1 - humidity).abs()))
}

/// A hygrometer read over two salts: the true humidity behind a reading, by the straight line through both points. `None`
/// unless the two readings rise with the two truths and lie at least 10 % apart.
#[must_use]
pub fn corrected(low: (f64, f64), high: (f64, f64), reading: f64) -> Option<f64> {
    let ((r1, t1), (r2, t2)) = (low, high);
    let true_humidity = t1 + (reading - r1) * (t2 - t1) / (r2 - r1);
    (r2 - r1 >= 10.0 && t2 - t1 >= 10.0 && true_humidity.is_finite()).then_some(true_humidity)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use serde_json::Value;

    #[test]
    fn humidities_of_the_tables() {
        let all: Value = serde_json::from_str(include_str!(
            "../../../../tests/reference/humidity_fixed_points/humidity_fixed_points.json"
        ))
        .unwrap();
        let plain = |s: &str| s.replace('₂', "2").replace('₃', "3");
        let mut seen = 0;
        for row in all["vectors"].as_array().unwrap() {
            let Some(salt) = SALTS.iter().find(|s| row["salt"] == plain(s.formula).as_str()) else {
                continue;
            };
            let found = salt.humidity(row["t_C"].as_f64().unwrap()).unwrap();
            if let Some(x) = row["greenspan_poly_rh"].as_f64() {
                assert!((found - x).abs() < 6e-3, "{} {found} {x}", salt.name);
                seen += 1;
            } else if let Some(x) = row["greenspan_table_from_memory_rh"].as_f64() {
                assert!((found - x).abs() < 0.06, "{} {found} {x}", salt.name);
                seen += 1;
            }
            // Lithium chloride below 25 °C is given without an uncertainty: literature disperses.
            if let (Some(x), Some(doubt)) = (row["oiml_r121_rh"].as_f64(), row["oiml_r121_pm_k2"].as_f64()) {
                assert!((found - x).abs() <= doubt + 0.06, "{} {found} {x}", salt.name);
            }
        }
        assert!(seen >= 24, "{seen}");
        // The trap of the sign.
        assert!((SALTS[0].humidity(25.0).unwrap() - 11.3).abs() < 0.01);
        assert!((SALTS[2].humidity(20.0).unwrap() - 43.16).abs() < 0.01);
    }

    #[test]
    fn a_wish_finds_its_salt_and_a_hygrometer_its_error() {
        let (salt, humidity) = nearest(50.0, 20.0).unwrap();
        assert_eq!(salt.formula, "Mg(NO₃)₂");
        assert!((humidity - 54.4).abs() < 0.1);
        assert!(nearest(50.0, 40.0).is_none());
        let t = corrected((36.0, 33.1), (72.0, 75.5), 50.0).unwrap();
        assert!((t - (33.1 + 14.0 * 42.4 / 36.0)).abs() < 1e-9);
        assert_eq!(corrected((50.0, 33.1), (50.0, 75.5), 50.0), None);
    }
}
