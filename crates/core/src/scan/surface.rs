//! A smooth surface of second order through scattered values: a scanner's shading, or the evenness of a coat.
//!
//! Least squares with Tukey's weights (A. E. Beaton and J. W. Tukey, Technometrics 16, 1974, 147–185; c = 4.685), so that
//! a stain on the paper does not bend it.

use super::ordered::median;
use super::solve::solve;

/// Rounds of weighing.
const ROUNDS: usize = 12;
/// Tuning constant of Tukey's weights.
const TUKEY: f64 = 4.685;
/// Fewest points for a surface of second order.
pub const FEWEST: usize = 10;

/// z = c₀ + c₁x + c₂y + c₃x² + c₄xy + c₅y², x and y counted from a middle in half spans.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Surface {
    /// The coefficients.
    pub terms: [f64; 6],
    /// Middle of the points.
    pub middle: (f64, f64),
    /// Half their span.
    pub half: (f64, f64),
}

impl Surface {
    /// A surface through (x, y, z). `None` for fewer than [`FEWEST`] points or points on a line or two.
    pub fn fit(points: &[(f64, f64, f64)]) -> Option<Self> {
        if points.len() < FEWEST
            || points.iter().any(|p| !(p.0.is_finite() && p.1.is_finite() && p.2.is_finite()))
        {
            return None;
        }
        let span = |axis: fn(&(f64, f64, f64)) -> f64| {
            let low = points.iter().map(axis).fold(f64::INFINITY, f64::min);
            let high = points.iter().map(axis).fold(f64::NEG_INFINITY, f64::max);
            (f64::midpoint(low, high), ((high - low) / 2.0).max(1e-9))
        };
        let ((x0, xs), (y0, ys)) = (span(|p| p.0), span(|p| p.1));
        let mut surface = Self { terms: [0.0; 6], middle: (x0, y0), half: (xs, ys) };
        let mut weights = vec![1.0; points.len()];
        for round in 0..ROUNDS {
            let mut normal = [[0.0; 6]; 6];
            let mut right = [0.0; 6];
            for (p, w) in points.iter().zip(&weights) {
                let terms = surface.columns((p.0, p.1));
                for i in 0..6 {
                    right[i] += w * terms[i] * p.2;
                    for j in 0..6 {
                        normal[i][j] += w * terms[i] * terms[j];
                    }
                }
            }
            surface.terms = solve(normal, right)?;
            let off: Vec<f64> = points.iter().map(|p| (p.2 - surface.at((p.0, p.1))).abs()).collect();
            let scale = 1.4826 * median(off.iter().copied())?;
            if round + 1 == ROUNDS || scale <= 1e-9 {
                break;
            }
            for (w, o) in weights.iter_mut().zip(&off) {
                let t = o / (TUKEY * scale);
                *w = if t < 1.0 { (1.0 - t * t) * (1.0 - t * t) } else { 0.0 };
            }
        }
        Some(surface)
    }

    fn columns(&self, (x, y): (f64, f64)) -> [f64; 6] {
        let (x, y) = ((x - self.middle.0) / self.half.0, (y - self.middle.1) / self.half.1);
        [1.0, x, y, x * x, x * y, y * y]
    }

    /// Value at a place.
    pub fn at(&self, place: (f64, f64)) -> f64 {
        self.columns(place).iter().zip(self.terms).map(|(a, b)| a * b).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn truth(x: f64, y: f64) -> f64 {
        0.9 + 2e-4 * x - 1e-4 * y - 3e-8 * x * x + 2e-8 * x * y - 5e-8 * y * y
    }

    #[test]
    fn a_surface_comes_back_in_spite_of_stains() {
        let mut points = Vec::new();
        for i in 0..12 {
            for j in 0..8 {
                let (x, y) = (f64::from(i) * 100.0, f64::from(j) * 90.0);
                points.push((x, y, truth(x, y)));
            }
        }
        for i in [3, 17, 40, 77] {
            points[i].2 -= 0.2;
        }
        let s = Surface::fit(&points).unwrap();
        for (x, y) in [(0.0, 0.0), (555.0, 333.0), (1100.0, 630.0)] {
            assert!((s.at((x, y)) - truth(x, y)).abs() < 1e-6);
        }
    }

    #[test]
    fn too_few_points_and_points_on_a_line_give_none() {
        let line: Vec<_> = (0..20).map(|i| (f64::from(i), 2.0 * f64::from(i), 1.0)).collect();
        assert!(Surface::fit(&line).is_none());
        assert!(Surface::fit(&line[..5]).is_none());
        assert!(Surface::fit(&[(f64::NAN, 0.0, 0.0); 20]).is_none());
    }
}
