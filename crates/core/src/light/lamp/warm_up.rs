//! Light that grows while a lamp warms up: E(t) = E∞ · (1 − (1 − r)·e^(−t/τ)), and the time at which a dose is reached.

use crate::math;

/// A lamp that begins with a part of its full light.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WarmUp {
    /// Light at the start as part of the full, 0 … 1.
    pub start: f64,
    /// Seconds in which the rest falls to 1/e.
    pub tau: f64,
}

impl WarmUp {
    /// From two readings of a meter: at the start, after some seconds, and when it stands still. `None` unless they rise.
    #[must_use]
    pub fn measured(at_start: f64, later: (f64, f64), full: f64) -> Option<Self> {
        let (seconds, level) = later;
        let rising = at_start > 0.0 && level > at_start && full > level && seconds > 0.0;
        let tau = seconds / math::ln((full - at_start) / (full - level));
        (rising && tau.is_finite()).then_some(Self { start: at_start / full, tau })
    }

    /// Light after so many seconds, as part of the full.
    #[must_use]
    pub fn level(&self, seconds: f64) -> f64 {
        1.0 - (1.0 - self.start) * math::exp(-seconds / self.tau)
    }

    /// Dose after so many seconds, in seconds of full light.
    #[must_use]
    pub fn dose(&self, seconds: f64) -> f64 {
        seconds - (1.0 - self.start) * self.tau * (1.0 - math::exp(-seconds / self.tau))
    }

    /// Seconds until a dose of so many seconds of full light.
    #[must_use]
    pub fn time(&self, dose: f64) -> f64 {
        // The dose lags behind the clock by (1 − r)·τ at most, and rises: halving finds it.
        let (mut low, mut high) = (dose, dose + (1.0 - self.start).max(0.0) * self.tau);
        for _ in 0..60 {
            let middle = low.midpoint(high);
            if self.dose(middle) < dose { low = middle } else { high = middle }
        }
        low.midpoint(high)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use serde_json::Value;

    #[test]
    fn times_to_a_dose() {
        let all: Value =
            serde_json::from_str(include_str!("../../../../../tests/reference/radiometry/radiometry.json"))
                .unwrap();
        let rows = all["warm_up"]["vectors"].as_array().unwrap();
        assert_eq!(rows.len(), 4);
        for row in rows {
            let of = |key: &str| row[key].as_f64().unwrap();
            let lamp = WarmUp { start: of("start_ratio"), tau: of("tau_s") };
            assert!((lamp.time(of("dose_over_Einf_s")) - of("time_s")).abs() < 1e-5);
            assert!((lamp.dose(of("time_s")) - of("dose_over_Einf_s")).abs() < 1e-5);
        }
    }

    #[test]
    fn two_readings_give_it() {
        let lamp = WarmUp { start: 0.6, tau: 60.0 };
        let found = WarmUp::measured(6.0, (30.0, 10.0 * lamp.level(30.0)), 10.0).unwrap();
        assert!((found.tau - 60.0).abs() < 1e-9 && (found.start - 0.6).abs() < 1e-12);
        assert_eq!(WarmUp::measured(10.0, (30.0, 9.0), 10.0), None);
    }
}
