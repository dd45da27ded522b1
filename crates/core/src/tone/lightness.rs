//! CIE 1976 lightness L* from the luminance factor, with its linear toe, in exact rational constants
//! (ISO/CIE 11664-4; IEC 60050-845, entry 845-23-076).

use super::density;
use crate::math;

/// Luminance factor below which L* is linear: (6/29)³. L* there is 8, density 2.0527.
pub const EPSILON: f64 = 216.0 / 24389.0;
/// Slope of the linear toe: L* per unit of luminance factor, (29/3)³.
pub const KAPPA: f64 = 24389.0 / 27.0;

/// L* (0…100 for factors 0…1) of a luminance factor Y/Yn. Factors below zero follow the toe downwards.
pub fn from_factor(factor: f64) -> f64 {
    if factor > EPSILON { 116.0 * math::cbrt(factor) - 16.0 } else { KAPPA * factor }
}

/// Luminance factor Y/Yn of an L*.
pub fn to_factor(lightness: f64) -> f64 {
    if lightness > KAPPA * EPSILON {
        let f = (lightness + 16.0) / 116.0;
        f * f * f
    } else {
        lightness / KAPPA
    }
}

/// L* of a reflection density.
pub fn from_density(d: f64) -> f64 {
    from_factor(density::to_factor(d))
}

/// Reflection density of an L*; `None` at L* 0 and below, where density has no end.
pub fn to_density(lightness: f64) -> Option<f64> {
    density::from_factor(to_factor(lightness))
}

/// Change of L* per unit of density, at a density; always negative.
pub fn slope_in_density(d: f64) -> f64 {
    let y = density::to_factor(d);
    let ln10 = core::f64::consts::LN_10;
    if y > EPSILON { -116.0 / 3.0 * ln10 * math::cbrt(y) } else { -KAPPA * ln10 * y }
}

/// L* relative to the paper: that of the net density above `paper`.
pub fn relative_to_paper(d: f64, paper: f64) -> f64 {
    from_density(d - paper)
}
