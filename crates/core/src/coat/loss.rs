//! What stays in cup and brush, by weighing.
//!
//! Three weighings of cup and brush together: before the mix is in, with the mix, after coating. What is lost is
//! (after − empty) / (full − empty), whatever the solution weighs. Weighing is common practice; water that dries away
//! meanwhile makes the loss look smaller than it is.

use crate::constant::Constant;
use crate::math::sqrt;
use crate::quantity::Mass;

/// What a balance that shows hundredths of a gram may be off in one weighing (one standard deviation).
pub const BALANCE: Constant =
    Constant::choice(0.01, "g", 1, "one step of a balance that shows 0.01 g; no source");

/// The part of the mix that does not reach the sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Loss {
    /// The part, 0 to below 1.
    pub part: f64,
    /// Its standard uncertainty, from the balance alone.
    pub spread: f64,
}

/// Loss from the three weighings. `None` if they do not follow one another as they must: empty ≤ after ≤ full, with
/// something poured.
#[must_use]
pub fn loss(empty: Mass, full: Mass, after: Mass) -> Option<Loss> {
    let (poured, stays) = ((full - empty).to_g(), (after - empty).to_g());
    let part = stays / poured;
    if !(poured > 0.0 && (0.0..1.0).contains(&part)) {
        return None;
    }
    // JCGM 100:2008, 5.1: each weighing counts by how much the part moves with it.
    let u = BALANCE.value / poured;
    let spread = u * sqrt(1.0 + part * part + (1.0 - part) * (1.0 - part));
    Some(Loss { part, spread })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn one_clinging_drop_of_ten_is_a_tenth() {
        let g = Mass::from_g;
        let l = loss(g(31.20), g(31.70), g(31.25)).unwrap();
        assert!((l.part - 0.1).abs() < 1e-9, "{l:?}");
        // Half a gram on such a balance: 0.02 × √(1 + 0.01 + 0.81).
        assert!((l.spread - 0.026_981_475).abs() < 1e-8, "{l:?}");
    }

    #[test]
    fn weighings_that_cannot_be() {
        let g = Mass::from_g;
        for [empty, full, after] in [[1.0, 1.0, 1.0], [2.0, 1.0, 1.5], [1.0, 2.0, 0.9], [1.0, 2.0, 2.0]] {
            assert_eq!(loss(g(empty), g(full), g(after)), None);
        }
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_cup_does_not_matter(cup in 0.0..200.0f64, poured in 0.1..20.0f64, part in 0.0..0.95f64) {
            let g = Mass::from_g;
            let found = loss(g(cup), g(cup + poured), g(cup + poured * part));
            // A rounding in the cup's weight may turn nothing left into less than nothing.
            if let Some(found) = found {
                prop_assert!((found.part - part).abs() < 1e-9);
            } else {
                prop_assert!(part < 1e-9);
            }
        }
    }
}
