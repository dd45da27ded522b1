//! CIE Y to CIE L* and back, for whole rows of pixels.
//!
//! L* here runs from 0 to 1 (the L* of tables divided by 100), Y from 0 (black) to 1 (white of the profile connection
//! space). Source: CIE 015:2018 (ISO/CIE 11664-4), equations with the exact ratios 216/24389 and 24389/27.

/// Below this Y the curve is a straight line: (6/29)³.
const EPSILON: f32 = 216.0 / 24389.0;
/// Slope of that line for L* in 0..1: 24389/27/100.
const KAPPA: f32 = 24389.0 / 2700.0;

/// Cube root of 0.0001…4 to the last bit or two of an f32, by arithmetic alone so that it is the same everywhere and
/// a row of it becomes SIMD: a first guess from the exponent, then two steps of Halley's method, each of which
/// triples the good digits (5 bits, 15, then all 24).
#[inline(always)]
fn cube_root(x: f32) -> f32 {
    // A third of the exponent; the constant minimises the worst error of the guess (found by trying).
    let guess = f32::from_bits(x.to_bits() / 3 + 0x2a51_0680);
    let step = |t: f32| {
        let cube = t * t * t;
        t * (cube + 2.0 * x) / (2.0 * cube + x)
    };
    step(step(guess))
}

/// L* (0..1) of one Y. What lies outside 0..1 is cut.
#[inline(always)]
pub fn lightness(y: f32) -> f32 {
    let y = y.clamp(0.0, 1.0);
    let straight = y * KAPPA;
    let curved = 1.16 * cube_root(y.max(EPSILON)) - 0.16;
    if y > EPSILON { curved } else { straight }
}

/// Y of one L* (0..1). What lies outside 0..1 is cut.
#[inline(always)]
pub fn luminance(lightness: f32) -> f32 {
    let l = lightness.clamp(0.0, 1.0);
    let f = (l + 0.16) / 1.16;
    if l > 0.08 { f * f * f } else { l / KAPPA }
}

/// Turns a row of Y into L* (0..1) in place.
pub fn row_to_lightness(row: &mut [f32]) {
    for v in row {
        *v = lightness(*v);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The same in f64, straight from the equations.
    fn reference(y: f64) -> f64 {
        let y = y.clamp(0.0, 1.0);
        if y > 216.0 / 24389.0 { 1.16 * sorrel_core::math::cbrt(y) - 0.16 } else { y * 24389.0 / 2700.0 }
    }

    #[test]
    fn all_16_bit_values_agree_with_f64() {
        let mut worst = 0.0_f64;
        for i in 0..=65_535_u32 {
            let y = f64::from(i) / 65_535.0;
            #[allow(clippy::cast_possible_truncation, reason = "the input of the fast path is f32")]
            let fast = f64::from(lightness(y as f32));
            worst = worst.max((fast - reference(y)).abs());
        }
        // A hundredth of a 16-bit step would be 1.5e-7; f32 itself carries 6e-8 near 1.
        assert!(worst < 4e-7, "{worst}");
    }

    #[test]
    fn grows_everywhere() {
        let mut last = -1.0;
        for i in 0..=1_000_000_u32 {
            let l = lightness(i as f32 / 1e6);
            assert!(l >= last - 6e-8, "{i}");
            last = l;
        }
        assert_eq!(lightness(0.0), 0.0);
        assert!((lightness(1.0) - 1.0).abs() < 2e-7);
        assert_eq!(lightness(f32::NAN.max(0.0)), 0.0);
    }

    #[test]
    fn known_pairs() {
        // CIE 015:2018: L* 50 is Y 0.18418651851…; L* 8 is Y 0.008856451679….
        assert!((lightness(0.184_186_5) - 0.5).abs() < 1e-6);
        assert!((lightness(0.008_856_452) - 0.08).abs() < 1e-6);
        assert!((luminance(0.5) - 0.184_186_5).abs() < 1e-6);
    }

    #[test]
    fn there_and_back() {
        for i in 0..=1000_u16 {
            let l = f32::from(i) / 1000.0;
            assert!((lightness(luminance(l)) - l).abs() < 1e-6, "{l}");
        }
    }
}
