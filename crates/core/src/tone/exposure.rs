//! What a change of exposure or of coat does to a tone, in L*: the two ways in which one print differs from the next.
//!
//! Exposure follows the paper curve's slope, laid between the print's own black and white. A thinner coat takes the
//! same part off every net density, so that it shows most in black.

use super::lightness;
use crate::light::paper_curve::{CLOSENESS, PAPER, PaperCurve};
use crate::tone::starting::NEAR_WHITE;

/// How a print's tones answer to exposure and coat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sensitivity {
    curve: PaperCurve,
    dark: f64,
    light: f64,
}

impl Sensitivity {
    /// For a print from L* `black` to `white`.
    pub fn between(black: f64, white: f64) -> Self {
        // A print has no density where it has no light; such a black is held at a density no print reaches.
        let density = |l: f64| lightness::to_density(l).map_or(DARKEST, |d| d.min(DARKEST));
        Self { curve: PaperCurve::starting(CLOSENESS.value), dark: density(black), light: density(white) }
    }

    /// L* that a tone of L* `l` loses by one unit more of log₁₀ exposure; for small changes, in proportion. Not below 0.
    pub fn to_exposure(&self, l: f64) -> f64 {
        let (low, high) = (PAPER.value + NEAR_WHITE.value, self.curve.black());
        let range = self.dark - self.light;
        if range <= 0.0 {
            return 0.0;
        }
        let density = self.density(l);
        let on_curve = low + (density - self.light) / range * (high - low);
        let Some(x) = self.curve.log_exposure(on_curve) else { return 0.0 };
        self.curve.slope(x) * range / (high - low) * -lightness::slope_in_density(density)
    }

    /// L* that a tone of L* `l` moves when the coat moves black by one L*; in proportion to net density. 0…, 1 in black.
    pub fn to_coat(&self, l: f64) -> f64 {
        let range = self.dark - self.light;
        if range <= 0.0 {
            return 0.0;
        }
        let density = self.density(l);
        let part = (density - self.light) / range;
        part * lightness::slope_in_density(density) / lightness::slope_in_density(self.dark)
    }

    /// Density of a tone, held between those of white and black.
    fn density(&self, l: f64) -> f64 {
        lightness::to_density(l).map_or(self.dark, |d| d.clamp(self.light.min(self.dark), self.dark))
    }
}

/// Density beyond which no print of this kind goes.
const DARKEST: f64 = 2.5;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    /// Of `tests/reference/demo_curve`: what a change of 0.05 in log exposure does to L* at some densities.
    const SLOPES: &str = include_str!("../../../../tests/reference/demo_curve/slopes.csv");

    #[test]
    fn exposure_moves_tones_as_in_the_demonstration_model() {
        let s = Sensitivity::between(lightness::from_density(1.45), lightness::from_density(0.09));
        let mut seen = 0;
        for line in SLOPES.lines().skip(1) {
            let row: Vec<f64> = line.split(',').map(|x| x.parse().unwrap_or(f64::NAN)).collect();
            if row[2].is_finite() {
                let got = 0.05 * s.to_exposure(lightness::from_density(row[0]));
                // The table's figures are rounded, and of a finite step.
                assert!((got - row[2]).abs() <= 0.1, "{row:?}: {got}");
                seen += 1;
            }
        }
        assert_eq!(seen, 4);
    }

    #[test]
    fn a_coat_shows_most_in_density_and_not_in_white() {
        let s = Sensitivity::between(24.0, 94.0);
        assert!((s.to_coat(24.0) - 1.0).abs() < 1e-12 && s.to_coat(94.0).abs() < 1e-12);
        assert!(s.to_coat(50.0) > 0.5 && s.to_coat(50.0) < 1.2, "{}", s.to_coat(50.0));
        assert_eq!(Sensitivity::between(50.0, 50.0).to_coat(50.0), 0.0);
        assert_eq!(Sensitivity::between(50.0, 50.0).to_exposure(50.0), 0.0);
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn sensitivities_are_finite_and_not_negative(
            black in -5.0..60.0_f64, white in -5.0..105.0_f64, l in prop::num::f64::ANY
        ) {
            let s = Sensitivity::between(black, white);
            for v in [s.to_exposure(l), s.to_coat(l)] {
                prop_assert!(v.is_finite() && v >= -1e-12, "{}", v);
            }
        }
    }
}
