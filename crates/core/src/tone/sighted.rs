//! Ink steps seen by eye between two steps of a tablet: interval-censored densities to a rising curve.
//!
//! D(c) = θ₀ + θ₁·c + θ₂·c(1 − c) + θ₃·c(1 − c)(1 − 2c), with what inks are usually like as normal priors. An eye that
//! finds a step between the densities a and b says so with probability F((b − D)/s) − F((a − D)/s), F logistic (the
//! usual form of a judgement's chance; Bradley and Terry 1952). The likelihood is concave, so Newton's rule finds its
//! one maximum; the band is that of its curvature (Laplace).

use crate::constant::Constant;
use crate::math;
use crate::note::Note;

/// Scale of an eye's error in comparing two tones, in density of the tablet.
pub const EYE: Constant =
    Constant::choice(0.02, "density", 1, "a fifth of a step of 0.10; two greys side by side, no source");
/// Fewest sightings that make a curve.
pub const FEWEST: usize = 3;
/// Most sightings.
pub const MOST: usize = 200;
/// Prior means: clear film, ink range, bend, skew.
const MEAN: [f64; N] = [0.10, 2.2, 0.25, 0.0];
/// Their standard deviations: wide enough that seven sightings outweigh them.
const SPREAD: [f64; N] = [0.10, 0.8, 0.6, 0.5];
/// Newton steps at most.
const ROUNDS: usize = 60;
/// Two-sided 95 % point of the normal distribution.
const WIDE: f64 = 1.96;
/// Parameters.
const N: usize = 4;
/// Field of the tone station the notes are about.
const FIELD: &str = "ramp";

/// One ink step as it was seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sighting {
    /// Its ink code, 0…1.
    pub code: f64,
    /// Density of the clearer of the two steps it lies between; `None` if it is darker than all that can be told apart.
    pub above: Option<f64>,
    /// Density of the denser one; `None` if it is lighter than all that can be told apart.
    pub below: Option<f64>,
}

/// Why sightings make no curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SightingError {
    /// Too few, or too many, that say anything (the number).
    Count(usize),
    /// One is impossible: its code, or its steps in the wrong order (its place, from 0).
    Faulty(usize),
}

impl SightingError {
    /// The note for the page.
    pub fn note(&self) -> Note {
        match self {
            Self::Count(n) => Note::error(
                FIELD,
                format!("{n} ink steps were placed between two steps of the tablet; {FEWEST} make a curve."),
                "For each ink step tap the two tablet steps it lies between.",
            ),
            Self::Faulty(i) => Note::error(
                FIELD,
                format!("Ink step {}: the two steps are not one clearer and one denser.", i + 1),
                "Tap a darker and a lighter neighbour.",
            ),
        }
    }
}

/// Density against ink code, from sightings.
#[derive(Clone, Debug, PartialEq)]
pub struct Sighted {
    theta: [f64; N],
    covariance: [[f64; N]; N],
    codes: (f64, f64),
    count: usize,
}

impl Sighted {
    /// From ink steps seen between tablet steps.
    ///
    /// # Errors
    /// Says which sighting, or how many there are.
    pub fn fit(seen: &[Sighting]) -> Result<Self, SightingError> {
        let sound = |s: &Sighting| {
            let range = |d: Option<f64>| d.is_none_or(|d| (0.0..=6.0).contains(&d));
            let order = match (s.above, s.below) {
                (Some(a), Some(b)) => a < b,
                (None, None) => false,
                _ => true,
            };
            (0.0..=1.0).contains(&s.code) && range(s.above) && range(s.below) && order
        };
        if let Some(i) = seen.iter().position(|s| !sound(s)) {
            return Err(SightingError::Faulty(i));
        }
        let placed = seen.iter().filter(|s| s.above.is_some() && s.below.is_some()).count();
        if placed < FEWEST || seen.len() > MOST {
            return Err(SightingError::Count(placed));
        }
        let mut theta = MEAN;
        let mut score = posterior(&theta, seen);
        let mut covariance = [[0.0; N]; N];
        for _ in 0..ROUNDS {
            let Some(inverse) = inverse(&score.information) else { break };
            covariance = inverse;
            let step: [f64; N] =
                core::array::from_fn(|i| (0..N).map(|j| covariance[i][j] * score.gradient[j]).sum());
            let mut size = 1.0;
            let mut next = score;
            // The maximum is one; halving the step keeps Newton on its way up.
            for _ in 0..20 {
                let moved: [f64; N] = core::array::from_fn(|i| theta[i] + size * step[i]);
                next = posterior(&moved, seen);
                if next.value >= score.value {
                    theta = moved;
                    break;
                }
                size *= 0.5;
            }
            let gain = next.value - score.value;
            score = next;
            if gain.abs() < 1e-12 {
                break;
            }
        }
        let low = seen.iter().map(|s| s.code).fold(1.0, f64::min);
        let high = seen.iter().map(|s| s.code).fold(0.0, f64::max);
        Ok(Self { theta, covariance, codes: (low, high), count: seen.len() })
    }

    /// Density of an ink code (clamped to 0…1), on the tablet's scale.
    pub fn density(&self, code: f64) -> f64 {
        let b = basis(code);
        (0..N).map(|i| b[i] * self.theta[i]).sum()
    }

    /// Half its 95 % interval.
    pub fn half_width(&self, code: f64) -> f64 {
        let b = basis(code);
        let mut variance = 0.0;
        for i in 0..N {
            for j in 0..N {
                variance += b[i] * b[j] * self.covariance[i][j];
            }
        }
        WIDE * math::sqrt(variance.max(0.0))
    }

    /// Lowest and highest ink code seen.
    pub fn codes(&self) -> (f64, f64) {
        self.codes
    }

    /// How many ink steps were seen.
    pub fn count(&self) -> usize {
        self.count
    }
}

fn basis(code: f64) -> [f64; N] {
    let c = if code > 0.0 { code.min(1.0) } else { 0.0 };
    [1.0, c, c * (1.0 - c), c * (1.0 - c) * (1.0 - 2.0 * c)]
}

#[derive(Clone, Copy)]
struct Score {
    value: f64,
    gradient: [f64; N],
    information: [[f64; N]; N],
}

/// Logarithm of the posterior, its gradient and its negative second derivative.
fn posterior(theta: &[f64; N], seen: &[Sighting]) -> Score {
    let mut score = Score { value: 0.0, gradient: [0.0; N], information: [[0.0; N]; N] };
    for i in 0..N {
        let (off, weight) = (theta[i] - MEAN[i], 1.0 / (SPREAD[i] * SPREAD[i]));
        score.value -= 0.5 * weight * off * off;
        score.gradient[i] -= weight * off;
        score.information[i][i] += weight;
    }
    for s in seen {
        let b = basis(s.code);
        let d: f64 = (0..N).map(|i| b[i] * theta[i]).sum();
        // ln(F(y) − F(x)) = ln F(y) + ln(1 − F(x)) + ln(1 − e^(x − y)): the last does not depend on D.
        let x = s.above.map(|a| (a - d) / EYE.value);
        let y = s.below.map(|b| (b - d) / EYE.value);
        let (mut first, mut second) = (0.0, 0.0);
        if let Some(y) = y {
            score.value -= softplus(-y);
            first -= logistic(-y);
            second += logistic(y) * logistic(-y);
        }
        if let Some(x) = x {
            score.value -= softplus(x);
            first += logistic(x);
            second += logistic(x) * logistic(-x);
        }
        for i in 0..N {
            score.gradient[i] += b[i] * first / EYE.value;
            for j in 0..N {
                score.information[i][j] += b[i] * b[j] * second / (EYE.value * EYE.value);
            }
        }
    }
    score
}

fn logistic(x: f64) -> f64 {
    if x >= 0.0 { 1.0 / (1.0 + math::exp(-x)) } else { math::exp(x) / (1.0 + math::exp(x)) }
}

/// ln(1 + eˣ).
fn softplus(x: f64) -> f64 {
    if x > 30.0 { x } else { math::ln(1.0 + math::exp(x)) }
}

/// Inverse of a positive definite matrix, by Gauss and Jordan; `None` if it is not.
fn inverse(m: &[[f64; N]; N]) -> Option<[[f64; N]; N]> {
    let mut a = *m;
    let mut b = [[0.0; N]; N];
    for (i, row) in b.iter_mut().enumerate() {
        row[i] = 1.0;
    }
    for i in 0..N {
        let pivot = a[i][i];
        if !(pivot > 1e-12 && pivot.is_finite()) {
            return None;
        }
        for j in 0..N {
            a[i][j] /= pivot;
            b[i][j] /= pivot;
        }
        for k in 0..N {
            if k != i {
                let factor = a[k][i];
                for j in 0..N {
                    a[k][j] -= factor * a[i][j];
                    b[k][j] -= factor * b[i][j];
                }
            }
        }
    }
    Some(b)
}
