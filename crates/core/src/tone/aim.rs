//! The aim: the print lightness wanted for each picture tone.
//!
//! A picture tone u is the picture's own L* over 100. What an aim asks for is bent, at most near the ends, into what
//! the print can show ([`super::knee`]).

use super::knee;
use super::pairs::Pairs;
use super::{density, lightness};

/// What the print is to look like, as a rising function of the picture tone.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Aim {
    /// L* rises evenly from the print's black to its white.
    #[default]
    LinearLightness,
    /// As on the screen: luminance is scaled between the print's black and white, as black point compensation does
    /// (ISO 18619:2015). Middle tones keep the contrast of the screen, and black is neared softly. For pictures.
    AsOnScreen,
    /// Density falls evenly from the print's black to its white.
    LinearDensity,
    /// The printer's own pairs of picture L* and print L*.
    Own(Pairs),
}

/// Whether the lightest tones go through the paper's toe at even steps of ink.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Toe {
    /// The aim holds to the last tone before white, however few inks print it.
    #[default]
    AsAimed,
    /// The lightest tones are given even steps of ink, so that the first one after white still prints.
    Kept,
}

impl Aim {
    /// Print L* wanted for picture tone `u` (0 black … 1 white; clamped) between the print's own black and white.
    /// Rises with `u`, from `black` to `white`; own pairs may stop short of either.
    pub fn lightness(&self, u: f64, black: f64, white: f64) -> f64 {
        let u = if u > 0.0 { u.min(1.0) } else { 0.0 };
        match self {
            Self::LinearLightness => black + (white - black) * u,
            Self::AsOnScreen => {
                let (dark, light) = (lightness::to_factor(black), lightness::to_factor(white));
                lightness::from_factor(dark + (light - dark) * lightness::to_factor(100.0 * u))
            }
            Self::LinearDensity => match (lightness::to_density(black), lightness::to_density(white)) {
                (Some(dark), Some(light)) => {
                    lightness::from_factor(density::to_factor(dark + (light - dark) * u))
                }
                // Black without any light has no density to go evenly from.
                _ => black + (white - black) * u,
            },
            Self::Own(pairs) => {
                let (low, high) = pairs.ends(black, white);
                knee::within(pairs.at(100.0 * u, low, high), (low, high), (black, white))
            }
        }
    }

    /// As the page names it.
    pub fn words(&self) -> &'static str {
        match self {
            Self::LinearLightness => "L* rises evenly from the print's black to its white",
            Self::AsOnScreen => "as on the screen, scaled between the print's black and white",
            Self::LinearDensity => "density falls evenly from the print's black to its white",
            Self::Own(_) => "your own pairs of L*",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn even_lightness_is_flat_and_the_screen_is_not() {
        // The middle grey of the screen, L* 50, on a print of L* 24 to 94: Y = 0.0408 + (0.8528 − 0.0408) × 0.1842.
        let screen = Aim::AsOnScreen.lightness(0.5, 24.0, 94.0);
        let want = lightness::from_factor(
            lightness::to_factor(24.0)
                + (lightness::to_factor(94.0) - lightness::to_factor(24.0)) * lightness::to_factor(50.0),
        );
        assert!((screen - want).abs() < 1e-12 && (screen - 50.5).abs() < 0.5, "{screen}");
        assert!((Aim::LinearLightness.lightness(0.5, 24.0, 94.0) - 59.0).abs() < 1e-12);
        let slope = |a: &Aim, u: f64| a.lightness(u + 0.05, 24.0, 94.0) - a.lightness(u - 0.05, 24.0, 94.0);
        assert!(slope(&Aim::AsOnScreen, 0.6) > 1.15 * slope(&Aim::LinearLightness, 0.6));
        assert!(slope(&Aim::AsOnScreen, 0.06) < 0.5 * slope(&Aim::LinearLightness, 0.06));
    }

    #[test]
    fn even_density_has_its_middle_at_the_mean_density() {
        let l =
            Aim::LinearDensity.lightness(0.5, lightness::from_density(1.45), lightness::from_density(0.07));
        assert!((l - lightness::from_density(0.76)).abs() < 1e-9, "{l}");
        assert_eq!(Aim::LinearDensity.lightness(0.5, 0.0, 94.0), 47.0);
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    fn any_aim() -> impl Strategy<Value = Aim> {
        let steps = prop::collection::vec((0.5..20.0_f64, 0.5..20.0_f64), 2..12);
        let own = (0.0..60.0_f64, 0.0..60.0_f64, steps).prop_filter_map("off the scale", |(x, y, steps)| {
            let (mut pairs, mut at) = (vec![(x, y)], (x, y));
            for (dx, dy) in steps {
                at = (at.0 + dx, at.1 + dy);
                if at.0 <= 100.0 && at.1 <= 100.0 {
                    pairs.push(at);
                }
            }
            Pairs::new(&pairs).ok().map(Aim::Own)
        });
        prop_oneof![Just(Aim::LinearLightness), Just(Aim::AsOnScreen), Just(Aim::LinearDensity), own.boxed()]
    }

    proptest! {
        #[test]
        fn every_aim_rises_from_black_to_white(aim in any_aim(), black in 0.0..40.0_f64, range in 10.0..60.0_f64) {
            let white = black + range;
            let ends = (aim.lightness(0.0, black, white), aim.lightness(1.0, black, white));
            prop_assert!(ends.0 >= black - 1e-9 && ends.1 <= white + 1e-9);
            let own = matches!(aim, Aim::Own(_));
            prop_assert!(own || ((ends.0 - black).abs() < 1e-9 && (ends.1 - white).abs() < 1e-9));
            let mut before = f64::NEG_INFINITY;
            for i in 0..=1000 {
                let l = aim.lightness(f64::from(i) / 1000.0, black, white);
                prop_assert!(l > before, "{:?} does not rise at {}: {} {}", aim, i, before, l);
                before = l;
            }
        }

        #[test]
        fn odd_tones_are_ends(aim in any_aim()) {
            prop_assert_eq!(aim.lightness(f64::NAN, 20.0, 90.0), aim.lightness(0.0, 20.0, 90.0));
            prop_assert_eq!(aim.lightness(7.0, 20.0, 90.0), aim.lightness(1.0, 20.0, 90.0));
        }
    }
}
