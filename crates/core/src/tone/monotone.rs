//! Piecewise cubic curves that never overshoot their points: three published rules for the slopes, one evaluation.
//!
//! Fritsch and Carlson, SIAM J. Numer. Anal. 17(2) 1980, 238–246; Fritsch and Butland, SIAM J. Sci. Stat. Comput.
//! 5(2) 1984, 300–304 (Brodlie's weighted harmonic mean); Steffen, Astron. Astrophys. 239, 1990, 443–450.

use crate::math::{self, bounded};

/// How the slopes at the points are chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// Mean of the two secants, then both slopes of a segment drawn into the circle α² + β² ≤ 9.
    FritschCarlson,
    /// Harmonic mean of the secants, weighted by the segment lengths; three-point ends. Flatter, never kinked
    /// where the data turn flat: the rule for few points.
    FritschButland,
    /// Slope of the parabola through three neighbours, limited by twice the smaller secant; one-sided parabola
    /// at the ends as Steffen has it.
    Steffen,
}

/// A monotone cubic through points with ascending places.
#[derive(Clone, Debug, PartialEq)]
pub struct Monotone {
    x: Vec<f64>,
    y: Vec<f64>,
    slope: Vec<f64>,
}

impl Monotone {
    /// A curve through (x, y). `None` unless there are at least two points, as many x as y, all finite, x strictly
    /// ascending.
    pub fn new(rule: Rule, x: &[f64], y: &[f64]) -> Option<Self> {
        let sound = x.len() >= 2
            && x.len() == y.len()
            && x.iter().chain(y).all(|v| v.is_finite())
            && x.windows(2).all(|w| w[0] < w[1]);
        if !sound {
            return None;
        }
        let h: Vec<f64> = x.windows(2).map(|w| w[1] - w[0]).collect();
        let secant: Vec<f64> = y.windows(2).zip(&h).map(|(w, h)| (w[1] - w[0]) / h).collect();
        if secant.iter().any(|s| !s.is_finite()) {
            return None;
        }
        let slope = match rule {
            Rule::FritschCarlson => fritsch_carlson(&secant),
            Rule::FritschButland => fritsch_butland(&h, &secant),
            Rule::Steffen => steffen(&h, &secant),
        };
        Some(Self { x: x.to_vec(), y: y.to_vec(), slope })
    }

    /// The slopes at the points.
    pub fn slopes(&self) -> &[f64] {
        &self.slope
    }

    /// The curve at `x`; held flat beyond the ends.
    pub fn at(&self, x: f64) -> f64 {
        let Some((i, t, h)) = self.place(x) else { return self.beyond(x) };
        let (u, v) = (1.0 - t, t);
        let (y0, y1) = (self.y[i], self.y[i + 1]);
        let (m0, m1) = (self.slope[i] * h, self.slope[i + 1] * h);
        let value =
            y0 * u * u * (1.0 + 2.0 * v) + m0 * u * u * v + y1 * v * v * (1.0 + 2.0 * u) - m1 * v * v * u;
        // Rounding alone may pass an end by a last digit; between two points the curve lies between them where
        // the data are monotone, and a rounding error must not undo that.
        if self.slope[i] * self.slope[i + 1] >= 0.0 { bounded(value, y0.min(y1), y0.max(y1)) } else { value }
    }

    /// The slope of the curve at `x`; zero beyond the ends.
    pub fn derivative(&self, x: f64) -> f64 {
        let Some((i, t, h)) = self.place(x) else { return 0.0 };
        let rise = (self.y[i + 1] - self.y[i]) / h;
        6.0 * t * (1.0 - t) * rise
            + self.slope[i] * (1.0 - t) * (1.0 - 3.0 * t)
            + self.slope[i + 1] * t * (3.0 * t - 2.0)
    }

    /// The place where a non-decreasing curve reaches `y`, by bracketing; the ends for values beyond them. On a
    /// flat stretch some place of the stretch (see [`super::inverse`] for the choice at plateaus).
    pub fn inverse(&self, y: f64) -> f64 {
        let last = self.x.len() - 1;
        if y <= self.y[0] {
            return self.x[0];
        }
        if y >= self.y[last] {
            return self.x[last];
        }
        let (mut low, mut high) = (self.x[0], self.x[last]);
        // 64 halvings leave nothing of any f64 interval; it stops sooner, when the middle is one of the ends.
        for _ in 0..64 {
            let middle = 0.5 * (low + high);
            if middle <= low || middle >= high {
                break;
            }
            if self.at(middle) < y {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }

    fn beyond(&self, x: f64) -> f64 {
        if x > self.x[0] { self.y[self.y.len() - 1] } else { self.y[0] }
    }

    /// Segment, place inside it (0…1) and its length; `None` beyond the ends.
    fn place(&self, x: f64) -> Option<(usize, f64, f64)> {
        let last = self.x.len() - 1;
        if !(x >= self.x[0] && x <= self.x[last]) {
            return None;
        }
        let i = self.x.partition_point(|&p| p <= x).clamp(1, last) - 1;
        let h = self.x[i + 1] - self.x[i];
        Some((i, (x - self.x[i]) / h, h))
    }
}

fn fritsch_carlson(secant: &[f64]) -> Vec<f64> {
    let n = secant.len() + 1;
    let mut m = vec![0.0; n];
    m[0] = secant[0];
    m[n - 1] = secant[n - 2];
    for i in 1..n - 1 {
        let (a, b) = (secant[i - 1], secant[i]);
        m[i] = if a * b <= 0.0 { 0.0 } else { 0.5 * (a + b) };
    }
    for i in 0..n - 1 {
        if secant[i] == 0.0 {
            m[i] = 0.0;
            m[i + 1] = 0.0;
            continue;
        }
        let (alpha, beta) = (m[i] / secant[i], m[i + 1] / secant[i]);
        let square = alpha * alpha + beta * beta;
        if square > 9.0 {
            let tau = 3.0 / math::sqrt(square);
            m[i] = tau * alpha * secant[i];
            m[i + 1] = tau * beta * secant[i];
        }
    }
    m
}

fn fritsch_butland(h: &[f64], secant: &[f64]) -> Vec<f64> {
    let n = secant.len() + 1;
    if n == 2 {
        return vec![secant[0]; 2];
    }
    let mut m = vec![0.0; n];
    m[0] = three_point_end(h[0], h[1], secant[0], secant[1]);
    m[n - 1] = three_point_end(h[n - 2], h[n - 3], secant[n - 2], secant[n - 3]);
    for i in 1..n - 1 {
        let (a, b) = (secant[i - 1], secant[i]);
        if a * b > 0.0 {
            let (wa, wb) = (2.0 * h[i] + h[i - 1], h[i] + 2.0 * h[i - 1]);
            m[i] = (wa + wb) / (wa / a + wb / b);
        }
    }
    m
}

/// One-sided parabola through the end and its two neighbours, kept of the secant's sign and within three times it.
fn three_point_end(h0: f64, h1: f64, s0: f64, s1: f64) -> f64 {
    let d = ((2.0 * h0 + h1) * s0 - h0 * s1) / (h0 + h1);
    if d * s0 <= 0.0 {
        0.0
    } else if s0 * s1 <= 0.0 && d.abs() > 3.0 * s0.abs() {
        3.0 * s0
    } else {
        d
    }
}

fn steffen(h: &[f64], secant: &[f64]) -> Vec<f64> {
    let n = secant.len() + 1;
    if n == 2 {
        return vec![secant[0]; 2];
    }
    let mut m = vec![0.0; n];
    m[0] = steffen_end(h[0], h[1], secant[0], secant[1]);
    m[n - 1] = steffen_end(h[n - 2], h[n - 3], secant[n - 2], secant[n - 3]);
    for i in 1..n - 1 {
        let (a, b) = (secant[i - 1], secant[i]);
        if a * b > 0.0 {
            let p = (a * h[i] + b * h[i - 1]) / (h[i - 1] + h[i]);
            m[i] = a.signum() * (2.0 * a.abs().min(b.abs())).min(p.abs());
        }
    }
    m
}

fn steffen_end(h0: f64, h1: f64, s0: f64, s1: f64) -> f64 {
    let p = s0 * (1.0 + h0 / (h0 + h1)) - s1 * h0 / (h0 + h1);
    if p * s0 <= 0.0 {
        0.0
    } else if p.abs() > 2.0 * s0.abs() {
        2.0 * s0
    } else {
        p
    }
}
