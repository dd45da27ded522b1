//! How different two tones look: CIEDE2000 (ISO/CIE 11664-6), after G. Sharma, W. Wu and E. N. Dalal, "The CIEDE2000
//! color-difference formula", Color Research and Application 30(1), 2005, 21–30. Near neutral a step of one L* counts
//! for 0.6 to 1, least in the lightest and the darkest tones.

use crate::math;
use core::f64::consts::{PI, TAU};

/// L*, a*, b*.
pub type Lab = [f64; 3];

/// Difference in L*, a*, b* alike (CIE 1976). 0 and up.
pub fn plain([l, a, b]: Lab, [m, c, d]: Lab) -> f64 {
    math::sqrt((l - m) * (l - m) + (a - c) * (a - c) + (b - d) * (b - d))
}

/// CIEDE2000 with all weights 1. 0 and up; the same both ways.
pub fn ciede2000([l1, a1, b1]: Lab, [l2, a2, b2]: Lab) -> f64 {
    let chroma = |a: f64, b: f64| math::sqrt(a * a + b * b);
    // The seventh power against that of 25.
    let seventh = |c: f64| {
        let p = math::pow(c, 7.0);
        math::sqrt(p / (p + 6_103_515_625.0))
    };
    let g = 0.5 * (1.0 - seventh(f64::midpoint(chroma(a1, b1), chroma(a2, b2))));
    let (a1, a2) = (a1 * (1.0 + g), a2 * (1.0 + g));
    let (c1, c2) = (chroma(a1, b1), chroma(a2, b2));
    let (h1, h2) = (hue(a1, b1), hue(a2, b2));
    let coloured = c1 * c2 > 0.0;
    let turn = match h2 - h1 {
        _ if !coloured => 0.0,
        d if d > PI => d - TAU,
        d if d < -PI => d + TAU,
        d => d,
    };
    let (dl, dc, dh) = (l2 - l1, c2 - c1, 2.0 * math::sqrt(c1 * c2) * math::sin(turn / 2.0));
    let (l, c) = (f64::midpoint(l1, l2), f64::midpoint(c1, c2));
    let sum = h1 + h2;
    let h = match (h1 - h2).abs() {
        _ if !coloured => sum,
        apart if apart <= PI => sum / 2.0,
        _ if sum < TAU => sum / 2.0 + PI,
        _ => sum / 2.0 - PI,
    };
    let degrees = PI / 180.0;
    let t = 1.0 - 0.17 * math::cos(h - 30.0 * degrees)
        + 0.24 * math::cos(2.0 * h)
        + 0.32 * math::cos(3.0 * h + 6.0 * degrees)
        - 0.20 * math::cos(4.0 * h - 63.0 * degrees);
    let away = (l - 50.0) * (l - 50.0);
    let sl = 1.0 + 0.015 * away / math::sqrt(20.0 + away);
    let (sc, sh) = (1.0 + 0.045 * c, 1.0 + 0.015 * c * t);
    let blue = (h / degrees - 275.0) / 25.0;
    let rt = -2.0 * seventh(c) * math::sin(60.0 * degrees * math::exp(-blue * blue));
    let (x, y, z) = (dl / sl, dc / sc, dh / sh);
    math::sqrt((x * x + y * y + z * z + rt * y * z).max(0.0))
}

/// Angle of a* and b*, 0 to 2π; 0 for none.
fn hue(a: f64, b: f64) -> f64 {
    if a == 0.0 {
        return if b > 0.0 {
            PI / 2.0
        } else if b < 0.0 {
            1.5 * PI
        } else {
            0.0
        };
    }
    let angle = math::atan(b / a);
    match (a > 0.0, b >= 0.0) {
        (true, true) => angle,
        (true, false) => angle + TAU,
        (false, _) => angle + PI,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    /// See `tests/reference/delta_e/README.md`.
    const PAIRS: &str = include_str!("../../../../tests/reference/delta_e/pairs.csv");

    #[test]
    fn differences_are_those_of_the_published_formula() {
        let mut seen = 0;
        for line in PAIRS.lines().skip(1) {
            let n: Vec<f64> = line.split(',').map(|x| x.parse().unwrap_or(f64::NAN)).collect();
            let (one, two) = ([n[0], n[1], n[2]], [n[3], n[4], n[5]]);
            for (a, b) in [(one, two), (two, one)] {
                assert!((plain(a, b) - n[6]).abs() < 1e-9, "{line}: {}", plain(a, b));
                assert!((ciede2000(a, b) - n[7]).abs() < 1e-9, "{line}: {}", ciede2000(a, b));
            }
            seen += 1;
        }
        assert_eq!(seen, 7);
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn differences_are_finite_and_the_same_both_ways(
            a in prop::array::uniform3(-150.0..150.0_f64), b in prop::array::uniform3(-150.0..150.0_f64)
        ) {
            let (one, other) = (ciede2000(a, b), ciede2000(b, a));
            prop_assert!(one.is_finite() && one >= 0.0);
            // Where two hues lie just opposite each other the formula itself jumps with the last bit.
            prop_assume!((hue(a[1], a[2]) - hue(b[1], b[2])).abs() - PI > 1e-6 || PI - (hue(a[1], a[2]) - hue(b[1], b[2])).abs() > 1e-3);
            prop_assert!((one - other).abs() < 1e-6, "{} {}", one, other);
            prop_assert!(ciede2000(a, a) < 1e-9 && plain(a, a) == 0.0);
        }
    }
}
