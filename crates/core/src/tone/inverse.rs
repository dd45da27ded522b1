//! Turning a rising curve round, with a firm answer at flat ends.
//!
//! Where black (or white) is reached over a stretch of codes, the whole stretch prints the same; the inverse takes
//! the edge of it that adjoins the live range, so that no tone is spent on codes which change nothing.

use crate::math::bounded;

/// L* within which the end of a curve counts as flat.
pub const FLAT: f64 = 0.05;

/// A non-falling curve of straight pieces, ready to be turned round.
#[derive(Clone, Debug, PartialEq)]
pub struct Inverse {
    x: Vec<f64>,
    y: Vec<f64>,
    first: usize,
    last: usize,
}

impl Inverse {
    /// From nodes with ascending x; y is made non-falling by its running maximum. Nodes within `flat` (≥ 0) of the
    /// lowest value make the lower plateau, within `flat` of the highest the upper one. `None` for fewer than two
    /// nodes, unequal lengths, values that are not finite, x that do not ascend.
    pub fn new(x: &[f64], y: &[f64], flat: f64) -> Option<Self> {
        let sound = x.len() >= 2
            && x.len() == y.len()
            && x.iter().chain(y).all(|v| v.is_finite())
            && x.windows(2).all(|w| w[0] < w[1]);
        if !sound {
            return None;
        }
        let mut rising = y.to_vec();
        for i in 1..rising.len() {
            rising[i] = rising[i].max(rising[i - 1]);
        }
        let (low, high) = (rising[0], rising[rising.len() - 1]);
        let first = rising.partition_point(|&v| v <= low + flat) - 1;
        let last = rising.partition_point(|&v| v < high - flat);
        // A curve that is flat altogether has both edges crossed: it keeps its whole range.
        let (first, last) = if first < last { (first, last) } else { (0, rising.len() - 1) };
        Some(Self { x: x.to_vec(), y: rising, first, last })
    }

    /// The value (running maximum, straight between nodes, flat beyond) at `x`.
    pub fn forward(&self, x: f64) -> f64 {
        let n = self.x.len();
        if x.is_nan() || x <= self.x[0] {
            return self.y[0];
        }
        if x >= self.x[n - 1] {
            return self.y[n - 1];
        }
        let i = self.x.partition_point(|&p| p <= x).clamp(1, n - 1);
        between(x, self.x[i - 1], self.x[i], self.y[i - 1], self.y[i])
    }

    /// The place where the curve reaches `y`: inside the live range always, at its edges for values at or beyond
    /// the plateaus, in the middle of a flat stretch between.
    pub fn at(&self, y: f64) -> f64 {
        let (low, high) = (self.live_low(), self.live_high());
        if y.is_nan() || y <= self.y[self.first] {
            return low;
        }
        if y >= self.y[self.last] {
            return high;
        }
        let reached = self.y.partition_point(|&v| v < y).clamp(1, self.y.len() - 1);
        let passed = self.y.partition_point(|&v| v <= y).clamp(1, self.y.len() - 1);
        let from = between(y, self.y[reached - 1], self.y[reached], self.x[reached - 1], self.x[reached]);
        let to = if passed > reached { self.x[passed - 1] } else { from };
        bounded(0.5 * (from + to), low, high)
    }

    /// Right-hand edge of the lower plateau.
    pub fn live_low(&self) -> f64 {
        self.x[self.first]
    }

    /// Left-hand edge of the upper plateau.
    pub fn live_high(&self) -> f64 {
        self.x[self.last]
    }
}

fn between(v: f64, v0: f64, v1: f64, w0: f64, w1: f64) -> f64 {
    if v1 > v0 { w0 + (w1 - w0) * ((v - v0) / (v1 - v0)).clamp(0.0, 1.0) } else { w1 }
}
