//! Taking a volume from bottles that stand in a row.

use crate::quantity::Volume;

/// What was taken from each bottle, and what was not there.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Taken {
    /// One volume a bottle, none larger than what it held.
    pub each: Vec<Volume>,
    /// What the bottles together did not hold.
    pub missing: Volume,
}

/// Takes `wanted` from bottles that hold `left`, the first until it is empty, then the next.
#[must_use]
pub fn take(left: &[Volume], wanted: Volume) -> Taken {
    let mut missing = wanted;
    let mut from = |&held: &Volume| {
        let part = Volume::from_ml(held.to_ml().min(missing.to_ml()).max(0.0));
        missing = missing - part;
        part
    };
    let each = left.iter().map(&mut from).collect();
    Taken { each, missing }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn the_first_is_emptied_before_the_next() {
        let ml = Volume::from_ml;
        let t = take(&[ml(0.5), ml(0.0), ml(3.0)], ml(1.2));
        assert_eq!((t.each, t.missing), (vec![ml(0.5), ml(0.0), ml(0.7)], ml(0.0)));
        let t = take(&[ml(0.5)], ml(2.0));
        assert_eq!((t.each, t.missing), (vec![ml(0.5)], ml(1.5)));
        assert_eq!(take(&[], ml(1.0)).missing, ml(1.0));
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn nothing_is_lost_and_nothing_goes_below_zero(left in proptest::collection::vec(0.0..60.0f64, 0..8), wanted in 0.0..100.0f64) {
            let held: Vec<Volume> = left.iter().map(|&x| Volume::from_ml(x)).collect();
            let t = take(&held, Volume::from_ml(wanted));
            let taken: Volume = t.each.iter().copied().sum();
            prop_assert!((taken.to_ml() + t.missing.to_ml() - wanted).abs() < 1e-9);
            prop_assert!(t.missing.to_ml() >= 0.0);
            for (part, held) in t.each.iter().zip(&held) {
                prop_assert!(part.to_ml() >= 0.0 && part.to_ml() <= held.to_ml());
            }
            // A bottle behind is touched only when the one before is empty.
            for i in 1..held.len() {
                prop_assert!(t.each[i].to_ml() == 0.0 || t.each[i - 1] == held[i - 1]);
            }
        }
    }
}
