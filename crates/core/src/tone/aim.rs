//! The aim: the print lightness wanted for each picture tone.

use crate::words;

/// What the print is to look like, as a rising function of the picture tone.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Aim {
    /// L* rises evenly from the print's black to its white.
    #[default]
    LinearLightness,
}

words!(Aim: LinearLightness "linear-lightness");

impl Aim {
    /// Print L* wanted for picture tone `u` (0 black … 1 white; clamped) between the print's own black and white.
    pub fn lightness(self, u: f64, black: f64, white: f64) -> f64 {
        let u = if u > 0.0 { u.min(1.0) } else { 0.0 };
        match self {
            Self::LinearLightness => black + (white - black) * u,
        }
    }
}
