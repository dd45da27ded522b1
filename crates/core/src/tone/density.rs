//! Optical density: D = −log₁₀ of the reflectance or transmittance factor (ISO 5-1:2009), and stops.

use crate::math;

/// Density of one stop, log₁₀ 2.
pub const STOP: f64 = core::f64::consts::LOG10_2;

/// Reflectance or transmittance factor (0…1, may pass 1 a little) of a density. Any finite density.
pub fn to_factor(density: f64) -> f64 {
    math::exp10(-density)
}

/// Density of a reflectance or transmittance factor. `None` for a factor that is not above zero: nothing
/// reflects less than nothing, and black without any light has no finite density.
pub fn from_factor(factor: f64) -> Option<f64> {
    (factor > 0.0 && factor.is_finite()).then(|| -math::log10(factor))
}

/// Stops (factors of two of light) of a density.
pub fn to_stops(density: f64) -> f64 {
    density / STOP
}

/// Density of a number of stops.
pub fn from_stops(stops: f64) -> f64 {
    stops * STOP
}
