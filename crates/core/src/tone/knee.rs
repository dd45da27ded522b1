//! Bending what is asked for into what can be had: straight where it can be, softly towards the ends where not.
//!
//! Beyond a knee the excess e of a span s is laid into the room r that is left by e ↦ (1 + a)·e·r / (s + a·e) with
//! a = s/r − 1: slope 1 at the knee, the end reached exactly at the end of what is asked, never level before.

use crate::math::bounded;

/// Part of the print's range that a knee takes at either end.
pub const KNEE: f64 = 0.15;

/// `value`, asked for somewhere between the ends `asked`, as it comes out between the ends `reach` (both ascending).
/// An end of `asked` that lies within reach bends nothing on its side.
pub fn within(value: f64, asked: (f64, f64), reach: (f64, f64)) -> f64 {
    let room = KNEE * (reach.1 - reach.0);
    if room.is_nan() || room <= 0.0 {
        return reach.0;
    }
    let value = bounded(value, asked.0.min(reach.0), asked.1.max(reach.1));
    let (low, high) = (reach.0 + room, reach.1 - room);
    if value > high && asked.1 > reach.1 {
        high + bent(value - high, asked.1 - high, room)
    } else if value < low && asked.0 < reach.0 {
        low - bent(low - value, low - asked.0, room)
    } else {
        bounded(value, reach.0, reach.1)
    }
}

fn bent(excess: f64, span: f64, room: f64) -> f64 {
    let a = span / room - 1.0;
    ((1.0 + a) * excess / (span + a * excess) * room).min(room)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn straight_between_the_knees_and_exact_at_the_ends() {
        let (asked, reach) = ((0.0, 100.0), (24.0, 94.0));
        assert_eq!(within(60.0, asked, reach), 60.0);
        assert_eq!(within(0.0, asked, reach), 24.0);
        assert!((within(100.0, asked, reach) - 94.0).abs() < 1e-12);
        // Slope 1 on both sides of a knee.
        let knee = 94.0 - KNEE * 70.0;
        let slope = (within(knee + 1e-4, asked, reach) - within(knee, asked, reach)) / 1e-4;
        assert!((slope - 1.0).abs() < 1e-3, "{slope}");
    }

    #[test]
    fn what_is_within_reach_is_left_alone() {
        for v in [24.0, 25.0, 60.0, 93.0, 94.0] {
            assert_eq!(within(v, (24.0, 94.0), (24.0, 94.0)), v);
        }
        assert_eq!(within(50.0, (0.0, 100.0), (30.0, 30.0)), 30.0);
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn rises_and_stays_within_reach(
            low in 0.0..30.0_f64, range in 5.0..70.0_f64, below in 0.0..30.0_f64, above in 0.0..30.0_f64
        ) {
            let reach = (low, low + range);
            let asked = (low - below, low + range + above);
            let mut before = f64::NEG_INFINITY;
            for i in 0..=200 {
                let v = asked.0 + (asked.1 - asked.0) * f64::from(i) / 200.0;
                let got = within(v, asked, reach);
                prop_assert!(got > before && got >= reach.0 - 1e-9 && got <= reach.1 + 1e-9);
                before = got;
            }
        }
    }
}
