//! Light by meter: units of irradiance, doses, and the running sum of readings while clouds pass.
//!
//! Kept in mW/cm² and mJ/cm². H = E·t is by definition; that equal doses print alike is the law of Bunsen and Roscoe,
//! which is taken to hold unless the printer's own prints say otherwise ([`super::law`]): no exponent for these coatings was found.

use crate::math;

/// A unit of irradiance as typed, in mW/cm² (1 mW/cm² = 10 W/m² by definition); `None` for others.
#[must_use]
pub fn unit(word: &str) -> Option<f64> {
    /// mW/cm² in a W/m², by definition.
    const TENTH: f64 = 0.1;
    /// mW/cm² in a µW/cm², by definition.
    const THOUSANDTH: f64 = 1e-3;
    match word {
        "" | "mw/cm²" | "mw/cm2" => Some(1.0),
        "w/m²" | "w/m2" => Some(TENTH),
        "µw/cm²" | "μw/cm²" | "uw/cm²" | "uw/cm2" | "µw/cm2" | "μw/cm2" => Some(THOUSANDTH),
        _ => None,
    }
}

/// A dose to three figures, as it is shown.
#[must_use]
pub fn shown(dose: f64) -> f64 {
    if !(dose >= 1000.0 && dose.is_finite()) {
        return dose;
    }
    let unit = math::exp10((math::log10(dose)).floor() - 2.0);
    (dose / unit).round() * unit
}

/// A reading of the meter: seconds of light since the exposure began, and mW/cm².
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Seconds of light.
    pub at: f64,
    /// mW/cm².
    pub level: f64,
}

/// mJ/cm² after so many seconds of light: between readings the light is taken to change evenly, before the first and
/// after the last to stand still. Readings in their order in time; 0 without any.
#[must_use]
pub fn given(readings: &[Reading], seconds: f64) -> f64 {
    let Some(first) = readings.first() else { return 0.0 };
    let mut sum = 0.0;
    let mut from = Reading { at: 0.0, level: first.level };
    for r in readings {
        let to = if r.at <= seconds {
            *r
        } else {
            let part = (seconds - from.at) / (r.at - from.at).max(1e-9);
            Reading { at: seconds, level: from.level + (r.level - from.level) * part.clamp(0.0, 1.0) }
        };
        if to.at > from.at {
            sum += (to.at - from.at) * f64::midpoint(from.level, to.level);
            from = to;
        } else {
            from.level = to.level;
        }
    }
    sum + (seconds - from.at).max(0.0) * from.level
}

/// Seconds of light until a dose in mJ/cm² is reached, as far as the readings tell. `None` if the light has gone out
/// before, or nothing was read.
#[must_use]
pub fn time(readings: &[Reading], dose: f64) -> Option<f64> {
    let last = readings.last()?;
    let then = given(readings, last.at);
    if then < dose {
        let seconds = last.at + (dose - then) / last.level;
        return (last.level > 0.0 && seconds.is_finite()).then_some(seconds);
    }
    let (mut low, mut high) = (0.0, last.at);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if given(readings, middle) < dose { low = middle } else { high = middle }
    }
    Some(high)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use serde_json::Value;

    fn all() -> Value {
        serde_json::from_str(include_str!("../../../../../tests/reference/radiometry/radiometry.json"))
            .unwrap()
    }

    #[test]
    fn units_and_doses() {
        for row in all()["dose"].as_array().unwrap() {
            let of = |key: &str| row[key].as_f64().unwrap();
            let level = of("E_W_m2") * unit("w/m²").unwrap();
            let steady = [Reading { at: 0.0, level }];
            assert!((given(&steady, of("t_s")) / of("H_mJ_cm2") - 1.0).abs() < 1e-9);
            assert!((time(&steady, of("H_mJ_cm2")).unwrap() / of("t_s") - 1.0).abs() < 1e-9);
        }
        assert_eq!((unit("lux"), unit("µw/cm²")), (None, Some(1e-3)));
    }

    #[test]
    fn a_cloud_passes_and_the_sum_still_ends_at_the_dose() {
        // 6 mW/cm², a cloud from 60 to 120 s that leaves 1.5, then 6 again; ramps of 10 s.
        let read = |at: f64, level: f64| Reading { at, level };
        let readings = [
            read(0.0, 6.0),
            read(60.0, 6.0),
            read(70.0, 1.5),
            read(120.0, 1.5),
            read(130.0, 6.0),
            read(140.0, 6.0),
        ];
        let seconds = time(&readings, 1200.0).unwrap();
        // 360 + 37.5 + 75 + 37.5 + 60 = 570 at 140 s, then 630 / 6 = 105 s.
        assert!((seconds - 245.0).abs() < 1e-9, "{seconds}");
        assert!((given(&readings, seconds) - 1200.0).abs() < 1e-9);
        assert!((time(&readings, 360.0).unwrap() - 60.0).abs() < 1e-6);
        assert_eq!(time(&[], 10.0), None);
        assert_eq!(time(&[read(0.0, 0.0)], 10.0), None);
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// With reciprocity, time × irradiance is one figure whatever the light.
        #[test]
        fn half_the_light_takes_twice_the_time(level in 0.01..100.0_f64, dose in 1.0..1e5_f64) {
            let at = |level| time(&[Reading { at: 0.0, level }], dose).unwrap();
            prop_assert!((at(level) * level / dose - 1.0).abs() < 1e-9);
            prop_assert!((at(level / 2.0) / at(level) - 2.0).abs() < 1e-9);
        }

        #[test]
        fn the_sum_rises_and_ends_at_the_dose(levels in prop::collection::vec(0.1..20.0_f64, 1..8), dose in 1.0..5e3_f64) {
            let readings: Vec<Reading> =
                levels.iter().enumerate().map(|(i, level)| Reading { at: 20.0 * i as f64, level: *level }).collect();
            let end = time(&readings, dose).unwrap();
            prop_assert!((given(&readings, end) / dose - 1.0).abs() < 1e-6);
            prop_assert!(given(&readings, end / 2.0) < dose);
        }
    }
}
