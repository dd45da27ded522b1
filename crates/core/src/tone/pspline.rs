//! Penalised cubic B-splines (Eilers and Marx, Stat. Sci. 11(2) 1996, 89–121), smoothness by restricted maximum
//! likelihood, made monotone by an asymmetric penalty (Eilers 2005; Bollaerts, Eilers and Aerts 2006).

use super::banded::{Banded, Cholesky};
use crate::math;

/// Segments of the basis of a tone fit.
pub const SEGMENTS: usize = 40;
/// Order of the differences the penalty is on: with three, what is left free is a parabola.
pub const DIFFERENCE: usize = 3;
/// Number of smoothing values tried, ten decades either way around the balance of data and penalty.
pub const SMOOTHING_VALUES: usize = 61;
/// Share of the mean diagonal added to it, so that stretches without data stay solvable.
const RIDGE: f64 = 1e-10;
/// Weight of the monotone penalty against the mean diagonal of the data: a wall, not a slope.
const WALL: f64 = 1e7;
/// Rounds of the monotone penalty; one to three are usual.
const MONOTONE_ROUNDS: usize = 30;

/// Cubic B-splines on equal segments of an interval, three knots beyond each end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Basis {
    low: f64,
    high: f64,
    segments: usize,
}

impl Basis {
    /// A basis of `segments` (at least 1) equal segments between `low` and `high`. `None` unless low < high, finite.
    pub fn new(low: f64, high: f64, segments: usize) -> Option<Self> {
        (segments > 0 && low < high && (high - low).is_finite()).then_some(Self { low, high, segments })
    }

    /// Number of splines: segments + 3.
    pub fn size(&self) -> usize {
        self.segments + 3
    }

    /// The four splines that are not zero at `x`, and the number of the first. Places beyond the ends count as the ends.
    pub fn row(&self, x: f64) -> (usize, [f64; 4]) {
        let place = ((x - self.low) / (self.high - self.low)).clamp(0.0, 1.0) * self.segments as f64;
        let segment = self.segment_of(place);
        let t = place - segment as f64;
        let u = 1.0 - t;
        let row = [
            u * u * u / 6.0,
            (t * t * (3.0 * t - 6.0) + 4.0) / 6.0,
            (u * u * (3.0 * u - 6.0) + 4.0) / 6.0,
            t * t * t / 6.0,
        ];
        (segment, row)
    }

    /// The number of the segment that holds `x`, which is that of the first spline living there.
    pub fn segment(&self, x: f64) -> usize {
        self.row(x).0
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to 0…segments just before"
    )]
    fn segment_of(&self, place: f64) -> usize {
        (place as usize).min(self.segments - 1)
    }

    /// The curve with these coefficients at `x`.
    pub fn value(&self, coefficients: &[f64], x: f64) -> f64 {
        let (first, row) = self.row(x);
        row.iter().zip(&coefficients[first..]).map(|(b, a)| b * a).sum()
    }
}

/// DᵀD for differences of an order 1…3: the penalty matrix, in the band.
pub fn penalty(size: usize, order: usize) -> Banded {
    let signs: &[f64] = match order {
        1 => &[-1.0, 1.0],
        2 => &[1.0, -2.0, 1.0],
        _ => &[-1.0, 3.0, -3.0, 1.0],
    };
    let mut p = Banded::zero(size);
    for first in 0..(size + 1).saturating_sub(signs.len()) {
        for (i, a) in signs.iter().enumerate() {
            for (j, b) in signs.iter().enumerate().take(i + 1) {
                p.add(first + i, first + j, a * b);
            }
        }
    }
    p
}

/// Points to be fitted with a basis: everything that does not depend on the smoothing.
#[derive(Clone, Debug)]
pub struct Problem {
    basis: Basis,
    order: usize,
    rows: Vec<(usize, [f64; 4])>,
    /// Weighted mean of the points. Everything is solved about it, so that what keeps stretches without data solvable draws
    /// towards the points, and a lighter print gives the same curve higher.
    level: f64,
    y: Vec<f64>,
    weight: Vec<f64>,
    gram: Banded,
    right: Vec<f64>,
    penalty: Banded,
}

/// A fit at one smoothing value.
#[derive(Clone, Debug)]
pub struct Fit {
    /// The smoothing value λ.
    pub lambda: f64,
    /// Coefficients of the basis.
    pub coefficients: Vec<f64>,
    /// Weighted residual sum of squares.
    pub rss: f64,
    /// Effective number of parameters: the trace of the hat matrix.
    pub edf: f64,
    /// Restricted-likelihood score; the smallest is best.
    pub reml: f64,
    /// Generalised cross-validation score n·RSS/(n − edf)².
    pub gcv: f64,
    factor: Cholesky,
    inverse: Banded,
}

struct Trial {
    lambda: f64,
    coefficients: Vec<f64>,
    rss: f64,
    reml: f64,
    factor: Cholesky,
}

impl Problem {
    /// A problem with points (x, y, weight), all of one length and finite, weights ≥ 0; points of weight zero are
    /// left out. `order`: that of the penalised differences, 1…3.
    pub fn new(basis: Basis, order: usize, x: &[f64], y: &[f64], weight: &[f64]) -> Self {
        let size = basis.size();
        let order = order.clamp(1, 3);
        let (mut sum, mut all) = (0.0, 0.0);
        for (&y, &w) in y.iter().zip(weight).filter(|(_, w)| **w > 0.0) {
            sum += w * y;
            all += w;
        }
        let level = if all > 0.0 { sum / all } else { 0.0 };
        let mut problem = Self {
            basis,
            order,
            level,
            rows: Vec::with_capacity(x.len()),
            y: Vec::with_capacity(x.len()),
            weight: Vec::with_capacity(x.len()),
            gram: Banded::zero(size),
            right: vec![0.0; size],
            penalty: penalty(size, order),
        };
        for ((&x, &y), &w) in x.iter().zip(y).zip(weight) {
            if w > 0.0 {
                let y = y - level;
                let (first, row) = basis.row(x);
                for (i, a) in row.iter().enumerate() {
                    problem.right[first + i] += w * a * y;
                    for (j, b) in row.iter().enumerate().take(i + 1) {
                        problem.gram.add(first + i, first + j, w * a * b);
                    }
                }
                problem.rows.push((first, row));
                problem.y.push(y);
                problem.weight.push(w);
            }
        }
        problem
    }

    /// Number of points that count.
    pub fn points(&self) -> usize {
        self.y.len()
    }

    /// What λ is measured in: the balance of data and penalty, tr(BᵀWB)/tr(P).
    pub fn scale(&self) -> f64 {
        self.gram.trace() / self.penalty.trace()
    }

    /// The fit at one λ > 0. `None` if the matrix cannot be solved, which finite points with some weight do not bring about.
    pub fn at(&self, lambda: f64) -> Option<Fit> {
        Some(self.finished(self.trial(lambda)?))
    }

    /// The fit at the λ with the best restricted likelihood, of 61 from 10⁻⁵ to 10⁵ times [`Self::scale`].
    pub fn best(&self) -> Option<Fit> {
        let mut best: Option<Trial> = None;
        for step in 0..SMOOTHING_VALUES {
            let exponent = -5.0 + 10.0 * step as f64 / (SMOOTHING_VALUES - 1) as f64;
            let Some(trial) = self.trial(math::exp10(exponent) * self.scale()) else { continue };
            if best.as_ref().is_none_or(|b| trial.reml < b.reml) {
                best = Some(trial);
            }
        }
        Some(self.finished(best?))
    }

    fn matrix(&self, lambda: f64) -> Banded {
        let mut a = self.gram.plus(lambda, &self.penalty);
        let ridge = RIDGE * self.gram.trace() / a.size() as f64;
        for i in 0..a.size() {
            a.add(i, i, ridge);
        }
        a
    }

    fn trial(&self, lambda: f64) -> Option<Trial> {
        let factor = self.matrix(lambda).cholesky()?;
        let coefficients = factor.solve(&self.right);
        let rss = self.rss(&coefficients);
        let free = self.points() as f64 - self.order as f64;
        let rough = lambda * self.penalty.quadratic(&coefficients);
        // The sum cannot be negative but for rounding; exact data must not end in ln 0.
        let spread = ((rss + rough) / free.max(1.0)).max(f64::MIN_POSITIVE);
        let ranks = (self.basis.size() - self.order) as f64;
        let reml = free * math::ln(spread) + factor.ln_det() - ranks * math::ln(lambda);
        reml.is_finite().then_some(Trial { lambda, coefficients, rss, reml, factor })
    }

    fn finished(&self, trial: Trial) -> Fit {
        let inverse = trial.factor.inverse_band();
        let edf = inverse.trace_of_product(&self.gram);
        let n = self.points() as f64;
        let gcv = n * trial.rss / ((n - edf) * (n - edf)).max(f64::MIN_POSITIVE);
        Fit {
            lambda: trial.lambda,
            coefficients: self.levelled(&trial.coefficients),
            rss: trial.rss,
            edf,
            reml: trial.reml,
            gcv,
            factor: trial.factor,
            inverse,
        }
    }

    /// Coefficients of the curve from those about the mean: the splines add up to one everywhere.
    fn levelled(&self, coefficients: &[f64]) -> Vec<f64> {
        coefficients.iter().map(|c| c + self.level).collect()
    }

    fn rss(&self, coefficients: &[f64]) -> f64 {
        let mut sum = 0.0;
        for ((&(first, row), y), w) in self.rows.iter().zip(&self.y).zip(&self.weight) {
            let value: f64 = row.iter().zip(&coefficients[first..]).map(|(b, a)| b * a).sum();
            sum += w * (y - value) * (y - value);
        }
        sum
    }

    /// Coefficients that do not fall from the spline number `from` on, at the smoothing of `fit`, and the rounds it
    /// took. Non-falling coefficients make a non-falling curve.
    pub fn monotone(&self, fit: &Fit, from: usize) -> (Vec<f64>, usize) {
        let a = self.matrix(fit.lambda);
        let wall = WALL * self.gram.trace() / a.size() as f64;
        let mut coefficients = fit.coefficients.clone();
        let mut walls = vec![false; a.size()];
        for round in 0..MONOTONE_ROUNDS {
            let falling: Vec<bool> =
                (0..a.size()).map(|j| j > from && coefficients[j] < coefficients[j - 1]).collect();
            if falling == walls {
                return (coefficients, round);
            }
            let mut walled = a.clone();
            for (j, _) in falling.iter().enumerate().filter(|(_, f)| **f) {
                walled.add(j, j, wall);
                walled.add(j - 1, j - 1, wall);
                walled.add(j, j - 1, -wall);
            }
            let Some(factor) = walled.cholesky() else { return (coefficients, round) };
            coefficients = self.levelled(&factor.solve(&self.right));
            walls = falling;
        }
        (coefficients, MONOTONE_ROUNDS)
    }
}

impl Fit {
    /// b(x)ᵀ A⁻¹ b(x): the variance of the curve at `x` for a unit of residual variance (Wahba 1983; Nychka 1988).
    pub fn variance(&self, basis: &Basis, x: f64) -> f64 {
        let (first, row) = basis.row(x);
        let mut sum = 0.0;
        for (i, a) in row.iter().enumerate() {
            for (j, b) in row.iter().enumerate() {
                sum += a * b * self.inverse.get(first + i, first + j);
            }
        }
        sum.max(0.0)
    }

    /// The same for the difference of the curve at two places.
    pub fn variance_of_difference(&self, basis: &Basis, x1: f64, x2: f64) -> f64 {
        let mut d = vec![0.0; basis.size()];
        for (x, sign) in [(x1, 1.0), (x2, -1.0)] {
            let (first, row) = basis.row(x);
            for (i, b) in row.iter().enumerate() {
                d[first + i] += sign * b;
            }
        }
        let solved = self.factor.solve(&d);
        d.iter().zip(&solved).map(|(a, b)| a * b).sum::<f64>().max(0.0)
    }
}
