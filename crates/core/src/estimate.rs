//! A value with its interval.

use crate::constant::Basis;

/// A value that is not known exactly: best value, 95 % interval (unless its user says otherwise), and basis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Best value.
    pub value: f64,
    /// Lower end of the interval; never above `value`.
    pub low: f64,
    /// Upper end of the interval; never below `value`.
    pub high: f64,
    /// Where it comes from.
    pub basis: Basis,
}

impl Estimate {
    /// From a value and a half width (its sign is ignored).
    #[must_use]
    pub fn plus_minus(value: f64, half: f64, basis: Basis) -> Self {
        let half = half.abs();
        Self { value, low: value - half, high: value + half, basis }
    }

    /// A value that is exact by arithmetic.
    #[must_use]
    pub const fn exact(value: f64) -> Self {
        Self { value, low: value, high: value, basis: Basis::Definition }
    }

    /// From three numbers in any order: the middle one is the value.
    #[must_use]
    pub fn from_three(a: f64, b: f64, c: f64, basis: Basis) -> Self {
        let mut all = [a, b, c];
        crate::math::sort(&mut all);
        Self { low: all[0], value: all[1], high: all[2], basis }
    }

    /// The same estimate through a function that rises or falls throughout.
    #[must_use]
    pub fn map(self, f: impl Fn(f64) -> f64) -> Self {
        Self::from_three(f(self.low), f(self.value), f(self.high), self.basis)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn a_falling_map_swaps_the_ends() {
        let e = Estimate::plus_minus(2.0, -0.5, Basis::Choice).map(|x| -x);
        assert_eq!((e.low, e.value, e.high), (-2.5, -2.0, -1.5));
    }
}
