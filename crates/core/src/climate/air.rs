//! Humid air: saturation pressure by the Magnus form over water, dew point, absolute humidity, and what warming does.
//!
//! e(t) = A·exp(B·t/(C + t)) with the constants of WMO-No. 8 (within 0.3 % of IAPWS-IF97 from 5 to 40 °C). Over water
//! throughout: below 0 °C the dew point is that over water, not the frost point, which lies up to 1.7 °C higher.

use crate::constant::{Basis, Constant};
use crate::math;

const WMO: &str = "WMO-No. 8, Guide to Instruments, Magnus form over water";
/// Saturation pressure at 0 °C.
pub const A: Constant = Constant::published(611.2, "Pa", 4, WMO);
/// Exponent.
pub const B: Constant = Constant::published(17.62, "", 4, WMO);
/// Temperature of the exponent.
pub const C: Constant = Constant::published(243.12, "°C", 5, WMO);
/// Gas constant.
const GAS: Constant = Constant {
    value: 8.314_462_618,
    unit: "J/(mol K)",
    digits: 10,
    basis: Basis::Definition,
    source: "SI Brochure, 9th edition, 2019",
};
/// Molar mass of water.
const WATER: Constant = Constant::published(18.015_28, "g/mol", 7, "IAPWS R6-95");
/// 0 °C.
const ZERO: Constant = Constant::exact(273.15, "K", "by definition of the Celsius scale");

/// Saturation pressure over water, in Pa, at °C.
#[must_use]
pub fn saturation(celsius: f64) -> f64 {
    A.value * math::exp(B.value * celsius / (C.value + celsius))
}

/// Air at a temperature in °C and a relative humidity in %.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// °C, −40 … 60.
    pub celsius: f64,
    /// %, above 0 to 100.
    pub humidity: f64,
}

impl Air {
    /// Pressure of its vapour, in Pa.
    #[must_use]
    pub fn vapour(&self) -> f64 {
        self.humidity / 100.0 * saturation(self.celsius)
    }

    /// Dew point in °C, over water.
    #[must_use]
    pub fn dew_point(&self) -> f64 {
        let x = math::ln(self.vapour() / A.value);
        C.value * x / (B.value - x)
    }

    /// Water in g/m³.
    #[must_use]
    pub fn water(&self) -> f64 {
        self.vapour() * WATER.value / (GAS.value * (self.celsius + ZERO.value))
    }

    /// Its relative humidity in % when it is warmed or cooled with the same vapour in it; over 100 it dews.
    #[must_use]
    pub fn at(&self, celsius: f64) -> f64 {
        100.0 * self.vapour() / saturation(celsius)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use serde_json::Value;

    #[test]
    fn a_hundred_and_thirty_states_of_air() {
        let all: Value = serde_json::from_str(include_str!(
            "../../../../tests/reference/psychrometrics/psychrometrics.json"
        ))
        .unwrap();
        let tolerance = |key: &str| all["suggested_tolerances"][key].as_f64().unwrap();
        let rows = all["vectors"].as_array().unwrap();
        assert_eq!(rows.len(), 130);
        let mut frost = 0;
        for row in rows {
            let of = |key: &str| row[key].as_f64().unwrap();
            let air = Air { celsius: of("t_C"), humidity: of("rh") };
            let es = saturation(air.celsius);
            assert!((es / of("es_iapws97_Pa") - 1.0).abs() < tolerance("es_rel_vs_reference"));
            assert!((es - of("es_magnus_wmo_Pa")).abs() < 1e-3);
            assert!((air.dew_point() - of("dewpoint_magnus_wmo_C")).abs() < 1e-3);
            if row["dew_below_0C"] == true {
                // The libraries give the frost point there, which is the higher.
                assert!(air.dew_point() < of("dewpoint_psychrolib_C") + 1e-9);
                frost += 1;
            } else {
                assert!(
                    (air.dew_point() - of("dewpoint_psychrolib_C")).abs()
                        < tolerance("dewpoint_C_vs_reference")
                );
            }
            let water = of("abs_humidity_psychrolib_g_m3");
            assert!((air.water() / water - 1.0).abs() < tolerance("abs_humidity_rel"));
        }
        assert!(frost > 10, "{frost}");
        for row in all["same_vapour_reheat"].as_array().unwrap() {
            let of = |key: &str| row[key].as_f64().unwrap();
            let air = Air { celsius: of("t1_C"), humidity: of("rh1") };
            assert!((air.at(of("t2_C")) - of("rh2_same_vapour")).abs() < 0.02);
        }
    }
}
