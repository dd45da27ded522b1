//! The shape of a paper's curve by five figures, fitted to readings: D = Dmin + R · (1 − (1 + q·u)^(−1/q)), u = 10^(g·(x − x₀)).
//!
//! With q = 1 it is the logistic in log exposure that sensitometry uses for silver papers, with q towards 0 the saturating
//! exponential of a coating whose grains are used up; papers lie near both, so q may pass either: held between them, a
//! quarter of all prints of a logistic paper end at a bound, black lies too early there and its doubt comes out too small. Below
//! 0 full black is reached at u = −1/q. Fitted by least squares (Levenberg 1944,
//! Marquardt 1963). What a real paper does beside it is left to a smooth curve of the rest.

use crate::entry::Range;
use crate::light::paper_curve;
use crate::math;
use crate::scan::solve;

/// Rounds of the fit; four to eight are usual.
const ROUNDS: usize = 40;
/// Step by which slopes are taken.
const NUDGE: f64 = 1e-4;
/// R that is tried.
const RANGE: Range = Range { low: 0.15, high: 3.5 };
/// g that is tried.
const STEEP: Range = Range { low: 0.3, high: 5.0 };
/// q that is tried.
const TURN: Range = Range { low: -0.5, high: 4.0 };
/// Sum of squares by which a round must still gain, as a part.
const GAIN: f64 = 1e-9;

/// The five figures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Shape {
    /// Density without light.
    dmin: f64,
    /// Densest black above it.
    range: f64,
    place: f64,
    steepness: f64,
    turn: f64,
}

impl Shape {
    fn figures(self) -> [f64; 5] {
        [self.dmin, self.range, self.place, self.steepness, self.turn]
    }

    fn of([dmin, range, place, steepness, turn]: [f64; 5]) -> Self {
        let hold = |v: f64, r: Range| if v.is_nan() { r.low } else { v.clamp(r.low, r.high) };
        Self {
            dmin,
            range: hold(range, RANGE),
            place,
            steepness: hold(steepness, STEEP),
            turn: hold(turn, TURN),
        }
    }

    /// Density at a log exposure.
    pub(super) fn density(&self, x: f64) -> f64 {
        let u = math::exp10((self.steepness * (x - self.place)).clamp(-30.0, 30.0));
        let rest = 1.0 + self.turn * u;
        let left = if self.turn.abs() < 1e-3 {
            math::exp(-u)
        } else if rest > 0.0 {
            math::exp(-math::ln(rest) / self.turn)
        } else {
            0.0
        };
        self.dmin + self.range * (1.0 - left)
    }

    /// Densest black.
    pub(super) fn dmax(&self) -> f64 {
        self.dmin + self.range
    }

    /// A beginning for points between these ends.
    pub(super) fn begin(low: f64, high: f64, white: f64, black: f64) -> Self {
        let turn = 0.3;
        Self::of([white, black - white, low + 0.6 * (high - low), paper_curve::STEEPNESS.value, turn])
    }

    /// The shape nearest to points (log exposure, density), and to white where it was read (density, weight).
    pub(super) fn fit(self, points: &[(f64, f64)], white: Option<(f64, f64)>) -> Self {
        let rest = |s: &Self| -> Vec<f64> {
            let own = points.iter().map(|(x, d)| d - s.density(*x));
            let paper = white.map(|(d, w)| math::sqrt(w) * (d - s.dmin));
            own.chain(paper).collect()
        };
        let sum = |r: &[f64]| r.iter().map(|r| r * r).sum::<f64>();
        let mut best = self;
        let mut off = rest(&best);
        let mut cost = sum(&off);
        let mut damping = 1e-3;
        for _ in 0..ROUNDS {
            let slopes: Vec<Vec<f64>> = (0..5)
                .map(|k| {
                    let mut f = best.figures();
                    // At its upper end a figure is nudged downwards.
                    let most = [f64::INFINITY, RANGE.high, f64::INFINITY, STEEP.high, TURN.high][k];
                    let step = if f[k] + NUDGE > most { -NUDGE } else { NUDGE };
                    f[k] += step;
                    rest(&Self::of(f)).iter().zip(&off).map(|(a, b)| (a - b) / step).collect()
                })
                .collect();
            let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
            let mut gained = false;
            for _ in 0..8 {
                let (mut a, mut right) = ([[0.0; 6]; 6], [0.0; 6]);
                for i in 0..5 {
                    for j in 0..5 {
                        a[i][j] = dot(&slopes[i], &slopes[j]);
                    }
                    a[i][i] += damping * a[i][i] + 1e-9;
                    right[i] = -dot(&slopes[i], &off);
                }
                // The sixth unknown of the solver stands idle.
                a[5][5] = 1.0;
                let Some(step) = solve(a, right) else {
                    damping *= 10.0;
                    continue;
                };
                let mut f = best.figures();
                for (f, s) in f.iter_mut().zip(step) {
                    *f += s;
                }
                let tried = Self::of(f);
                let r = rest(&tried);
                let c = sum(&r);
                if c < cost {
                    gained = cost - c > GAIN * cost;
                    (best, off, cost) = (tried, r, c);
                    damping = (damping / 5.0).max(1e-9);
                    break;
                }
                damping *= 4.0;
            }
            if !gained {
                break;
            }
        }
        best
    }
}
