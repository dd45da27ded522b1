//! How far the points of a step print can be trusted: the print is read two hundred times over in arithmetic.
//!
//! A parametric bootstrap (Efron and Tibshirani, An Introduction to the Bootstrap, 1993, chapter 6): readings are drawn
//! about the fitted curve with the scatter of the real ones, the curve is fitted again, and what is asked of it is asked
//! of every such curve. Their standard deviation makes the interval, the same to either side (chapter 13 there): the middle
//! 95 % of the answers would lean to the side to which the fit errs already. The numbers are drawn from a fixed beginning, so
//! that the same readings give the same interval on every device.

use super::PrintCurve;
use super::curve::Fitted;
use crate::math;
use crate::tone::chart_plan::order::SplitMix;

/// How many times.
pub const REPEATS: usize = 200;
/// Where the drawing begins.
const SEED: u64 = 0x5EED_0F11;
/// Least standard uncertainty of a mean of readings of white, in density.
const LEAST_WHITE: f64 = 0.001;

/// White paper, as it was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct White {
    /// Mean of the masked spots' densities.
    pub mean: f64,
    /// Standard deviation of one of them.
    pub spread: f64,
    /// How many there are.
    pub n: u32,
}

/// A print as it could have come out.
#[derive(Clone, Debug, PartialEq)]
pub struct Draw {
    /// Its curve.
    pub curve: PrintCurve,
    /// Its white.
    pub dmin: f64,
    /// Its densest black.
    pub dmax: f64,
}

/// Two normal deviates (Box and Muller, Annals of Mathematical Statistics 29, 1958).
pub fn normal(random: &mut SplitMix) -> [f64; 2] {
    let mut uniform = || (random.draw() >> 11) as f64 / (1_u64 << 53) as f64;
    let (a, b) = (1.0 - uniform(), core::f64::consts::TAU * uniform());
    let r = math::sqrt(-2.0 * math::ln(a));
    [r * math::cos(b), r * math::sin(b)]
}

/// Prints as they could have come out, [`REPEATS`] of them. Without readings of white, each takes the foot of its own
/// curve.
#[must_use]
pub fn repeats(fitted: &Fitted, white: Option<White>) -> Vec<Draw> {
    let mut random = SplitMix::new(SEED);
    let means: Vec<f64> = fitted.places().iter().map(|x| fitted.curve.density(*x)).collect();
    let spreads = fitted.spreads();
    let mut values = vec![0.0; means.len()];
    let mut all = Vec::with_capacity(REPEATS);
    for _ in 0..REPEATS {
        let mut pair = [0.0; 2];
        for (i, (value, mean)) in values.iter_mut().zip(&means).enumerate() {
            if i % 2 == 0 {
                pair = normal(&mut random);
            }
            *value = mean + spreads[i] * pair[i % 2];
        }
        let white = white.map(|w| {
            let u = (w.spread / math::sqrt(f64::from(w.n.max(1)))).max(LEAST_WHITE);
            w.mean + u * normal(&mut random)[0]
        });
        let Some(curve) = fitted.again(&values, white) else { continue };
        let dmin = white.unwrap_or_else(|| curve.density(curve.ends().0));
        let dmax = curve.densest();
        all.push(Draw { curve, dmin, dmax });
    }
    all
}

/// The 95 % interval of what is asked of every draw about `best`. `None` when more than a tenth of the draws give no answer.
pub fn interval<T>(draws: &[T], best: f64, of: impl Fn(&T) -> Option<f64>) -> Option<(f64, f64)> {
    /// Two-sided 95 % point of the normal distribution.
    const Z: f64 = 1.959_963_984_540_054;
    let all: Vec<f64> = draws.iter().filter_map(of).collect();
    if all.len() < 2 || 10 * all.len() < 9 * draws.len() {
        return None;
    }
    let n = all.len() as f64;
    let mean = all.iter().sum::<f64>() / n;
    let squares: f64 = all.iter().map(|x| (x - mean) * (x - mean)).sum();
    let half = Z * math::sqrt(squares / (n - 1.0));
    Some((best - half, best + half))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn deviates_are_normal() {
        let mut random = SplitMix::new(1);
        let all: Vec<f64> = (0..4000).flat_map(|_| normal(&mut random)).collect();
        let mean = all.iter().sum::<f64>() / 8000.0;
        let variance = all.iter().map(|x| (x - mean) * (x - mean)).sum::<f64>() / 7999.0;
        let beyond = all.iter().filter(|x| x.abs() > 1.96).count() as f64 / 8000.0;
        assert!(mean.abs() < 0.04 && (variance - 1.0).abs() < 0.05 && (beyond - 0.05).abs() < 0.01);
    }
}
