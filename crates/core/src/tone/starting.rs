//! The response to begin with, before anything was read: a typical paper curve under ink whose density rises evenly
//! with the code.
//!
//! Print density D = Dmin + R·(1 − exp(−X^g)) with X the exposure over its scale value: it rises from paper white
//! as a power and nears black as an exponential, the form of curves published for iron(III) processes. g follows
//! from the exposure scale; exposure and ink range from what "black" and "white" mean, so that clear film just
//! gives black and full ink just gives white.

use super::lightness;
use crate::constant::Constant;
use crate::math;

/// Density of coated, cleared paper.
pub const PAPER_WHITE: Constant =
    Constant::practice(0.07, "density", 1, "uncoated to cleared cotton paper, no source");
/// Density the deepest black tends to.
pub const DEEPEST_BLACK: Constant =
    Constant::practice(1.45, "density", 2, "single coating of platinum and palladium, no source");
/// Exposure scale log H(S) − log H(T) after ISO 6846.
pub const EXPOSURE_SCALE: Constant =
    Constant::practice(1.75, "log H", 2, "palladium without contrast agent, no source");
/// Net density at the toe point T of ISO 6846:1992, as restated in secondary sources.
pub const TOE_POINT: Constant =
    Constant::practice(0.04, "density", 1, "after ISO 6846:1992, by a secondary source");
/// Share of the net density range at the shoulder point S.
pub const SHOULDER_POINT: Constant =
    Constant::practice(0.90, "", 1, "after ISO 6846:1992, by a secondary source");
/// How near the deepest black counts as black.
pub const NEAR_BLACK: Constant = Constant::choice(0.03, "density", 1, "a difference nobody sees in a black");
/// How near paper white counts as white.
pub const NEAR_WHITE: Constant =
    Constant::choice(0.02, "density", 1, "a difference hardly seen beside the bare paper");
/// Half interval of the mid tones of a print made without any reading.
pub const MID_TONE_DOUBT: Constant =
    Constant::choice(15.0, "L*", 2, "spread of typical papers, inks and exposures around the typical curve");
/// Half interval of black and white of such a print.
pub const END_DOUBT: Constant = Constant::choice(4.0, "L*", 1, "spread of blacks and paper whites");

/// The typical print.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TypicalPrint {
    steepness: f64,
    exposure: f64,
    ink_range: f64,
}

impl Default for TypicalPrint {
    fn default() -> Self {
        Self::new()
    }
}

impl TypicalPrint {
    /// From the constants of this file.
    pub fn new() -> Self {
        let net = DEEPEST_BLACK.value - PAPER_WHITE.value;
        // X^g at which the print reaches a share of its net density.
        let power = |share: f64| -math::ln(1.0 - share);
        let scale = math::log10(power(SHOULDER_POINT.value) / power(TOE_POINT.value / net));
        let steepness = scale / EXPOSURE_SCALE.value;
        let black = power(1.0 - NEAR_BLACK.value / net);
        let white = power(NEAR_WHITE.value / net);
        Self {
            steepness,
            exposure: math::pow(black, 1.0 / steepness),
            ink_range: math::log10(black / white) / steepness,
        }
    }

    /// Exponent g.
    pub fn steepness(&self) -> f64 {
        self.steepness
    }

    /// Density of full ink over clear film, in the light that prints; also the working range of the paper.
    pub fn ink_range(&self) -> f64 {
        self.ink_range
    }

    /// How much density before the paper black and white move to when differences `factor` (above 1) times as large, or
    /// as small, are seen: near white the print's density is a power of the light, near black an exponential of it.
    pub fn sight(&self, factor: f64) -> (f64, f64) {
        let net = DEEPEST_BLACK.value - PAPER_WHITE.value;
        let black = -math::ln(NEAR_BLACK.value / net);
        let less = -math::ln((factor * NEAR_BLACK.value / net).min(0.5));
        (math::log10(black / less) / self.steepness, math::log10(factor) / self.steepness)
    }

    /// Print density of an ink code 0…1 (clamped).
    pub fn density(&self, code: f64) -> f64 {
        let code = if code > 0.0 { code.min(1.0) } else { 0.0 };
        let x = self.exposure * math::exp10(-self.ink_range * code);
        let net = DEEPEST_BLACK.value - PAPER_WHITE.value;
        PAPER_WHITE.value + net * (1.0 - math::exp(-math::pow(x, self.steepness)))
    }

    /// Print L* of an ink code 0…1.
    pub fn lightness(&self, code: f64) -> f64 {
        lightness::from_density(self.density(code))
    }
}
