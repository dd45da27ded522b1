//! Changing an exposure: by stops, by log exposure or by percent, which are one thing in three spellings.

use crate::math;

/// A factor on the exposure, kept as the decimal logarithm.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Change(f64);

impl Change {
    /// From log exposure; 0.30 is about a stop.
    #[must_use]
    pub const fn from_log(log: f64) -> Self {
        Self(log)
    }

    /// From stops: doublings.
    #[must_use]
    pub fn from_stops(stops: f64) -> Self {
        Self(stops * core::f64::consts::LOG10_2)
    }

    /// From percent more (or less, if negative). `None` at −100 % and below: no light is no exposure.
    #[must_use]
    pub fn from_percent(percent: f64) -> Option<Self> {
        Self::from_factor(1.0 + percent / 100.0)
    }

    /// From the factor itself; `None` unless above zero and finite.
    #[must_use]
    pub fn from_factor(factor: f64) -> Option<Self> {
        (factor > 0.0 && factor.is_finite()).then(|| Self(math::log10(factor)))
    }

    /// As log exposure.
    #[must_use]
    pub const fn to_log(self) -> f64 {
        self.0
    }

    /// In stops.
    #[must_use]
    pub fn to_stops(self) -> f64 {
        self.0 / core::f64::consts::LOG10_2
    }

    /// In percent more or less.
    #[must_use]
    pub fn to_percent(self) -> f64 {
        100.0 * (self.to_factor() - 1.0)
    }

    /// The factor itself.
    #[must_use]
    pub fn to_factor(self) -> f64 {
        math::exp10(self.0)
    }

    /// One change after another.
    #[must_use]
    pub fn then(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

/// The time for black behind clear film, from a step print: `test` was the time of the print, `step` the density
/// of the last step that is still black, `film` the density of clear film in the same ultraviolet.
#[must_use]
pub fn time_for_black(test_seconds: f64, step: f64, film: f64) -> f64 {
    test_seconds * math::exp10(film - step)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use serde_json::Value;

    const VECTORS: &str = include_str!("../../../../tests/reference/step_exposure/step_exposure.json");

    fn of(row: &Value, key: &str) -> f64 {
        row[key].as_f64().unwrap()
    }

    fn close(a: f64, b: f64) {
        assert!((a / b - 1.0).abs() < 1e-9, "{a} {b}");
    }

    #[test]
    fn steps_of_a_tablet() {
        let all: Value = serde_json::from_str(VECTORS).unwrap();
        let steps = all["steps"].as_array().unwrap();
        assert!(steps.len() > 15);
        for row in steps {
            let change = Change::from_log(-of(row, "density"));
            close(change.to_factor(), of(row, "transmittance"));
            close(change.to_stops(), of(row, "rel_stops"));
            close(600.0 * change.to_factor(), of(row, "equiv_seconds_if_600s_bare"));
        }
    }

    #[test]
    fn changed_times_and_time_for_black() {
        let all: Value = serde_json::from_str(VECTORS).unwrap();
        let times = all["times"].as_array().unwrap();
        let black = all["minimum_exposure"].as_array().unwrap();
        assert!(times.len() > 3 && black.len() > 2);
        for row in times {
            close(of(row, "t") * Change::from_log(of(row, "delta_logH")).to_factor(), of(row, "t_new"));
        }
        for row in black {
            let t = time_for_black(
                of(row, "t_test_s"),
                of(row, "step_density_reaching_black"),
                of(row, "film_base_density_uv"),
            );
            close(t, of(row, "t_min_s"));
        }
    }

    #[test]
    fn one_thing_in_three_spellings() {
        let stop = Change::from_stops(1.0);
        close(stop.to_log(), core::f64::consts::LOG10_2);
        close(stop.to_percent(), 100.0);
        close(Change::from_percent(-50.0).unwrap().to_stops(), -1.0);
        assert_eq!(Change::from_percent(-100.0), None);
        assert_eq!(Change::from_factor(f64::INFINITY), None);
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn spellings_agree(stops in -6.0..6.0_f64) {
            let change = Change::from_stops(stops);
            prop_assert!((change.to_stops() - stops).abs() < 1e-12);
            let percent = Change::from_percent(change.to_percent()).unwrap();
            prop_assert!((percent.to_log() - change.to_log()).abs() < 1e-9);
        }

        #[test]
        fn there_and_back_is_nothing(stops in -6.0..6.0_f64) {
            let back = Change::from_stops(stops).then(Change::from_stops(-stops));
            prop_assert!(back.to_log().abs() < 1e-12);
        }
    }
}
