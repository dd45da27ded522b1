//! The plane-to-plane map from chart to picture.
//!
//! Direct linear transformation with normalised points: R. I. Hartley, "In defense of the eight-point algorithm", IEEE
//! TPAMI 19(6), 1997, 580–593; algorithm 4.2 of Hartley and Zisserman, "Multiple View Geometry". The smallest
//! eigenvector of the 9 × 9 normal matrix comes from Jacobi rotations, which is enough once points are normalised.

use super::ordered::places;
use crate::math;

/// A point (x, y).
pub type Point = (f64, f64);

/// A homography: x' = (h₀x + h₁y + h₂) / (h₆x + h₇y + h₈), y' = (h₃x + h₄y + h₅) / (…), row by row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Homography(pub [f64; 9]);

type Matrix = [[f64; 9]; 9];

/// Sweeps of Jacobi rotations; normalised problems take six or seven.
const SWEEPS: usize = 30;

impl Homography {
    /// The map of `from` to `to`, exact for four points, least squares for more. `None` for fewer, for different
    /// numbers, and for points that fix no map (three on a line, two the same, not finite).
    pub fn new(from: &[Point], to: &[Point]) -> Option<Self> {
        if from.len() != to.len() || from.len() < 4 {
            return None;
        }
        let (source, back) = (Normal::new(from)?, Normal::new(to)?);
        let mut normal: Matrix = [[0.0; 9]; 9];
        for (p, q) in from.iter().zip(to) {
            let ((x, y), (u, v)) = (source.apply(*p), back.apply(*q));
            for row in [
                [x, y, 1.0, 0.0, 0.0, 0.0, -u * x, -u * y, -u],
                [0.0, 0.0, 0.0, x, y, 1.0, -v * x, -v * y, -v],
            ] {
                for i in 0..9 {
                    for j in 0..9 {
                        normal[i][j] += row[i] * row[j];
                    }
                }
            }
        }
        let h = smallest(normal)?;
        // Undo both normalisations: T'⁻¹ H T.
        let t = [
            source.scale,
            0.0,
            -source.scale * source.x,
            0.0,
            source.scale,
            -source.scale * source.y,
            0.0,
            0.0,
            1.0,
        ];
        let undo = [1.0 / back.scale, 0.0, back.x, 0.0, 1.0 / back.scale, back.y, 0.0, 0.0, 1.0];
        let h = times(&undo, &times(&h, &t));
        let size = h.iter().fold(0.0_f64, |m, v| m.max(v.abs()));
        if !size.is_finite() || h[8].abs() < 1e-12 * size {
            return None;
        }
        Some(Self(h.map(|v| v / h[8])))
    }

    /// Where a point goes. Points on the line that goes to infinity come out not finite.
    pub fn map(&self, (x, y): Point) -> Point {
        let h = &self.0;
        let w = h[6] * x + h[7] * y + h[8];
        ((h[0] * x + h[1] * y + h[2]) / w, (h[3] * x + h[4] * y + h[5]) / w)
    }

    /// The map back; `None` when there is none.
    pub fn inverse(&self) -> Option<Self> {
        let h = &self.0;
        let minor = |a: usize, b: usize, c: usize, d: usize| h[a] * h[d] - h[b] * h[c];
        let adjugate = [
            minor(4, 5, 7, 8),
            -minor(1, 2, 7, 8),
            minor(1, 2, 4, 5),
            -minor(3, 5, 6, 8),
            minor(0, 2, 6, 8),
            -minor(0, 2, 3, 5),
            minor(3, 4, 6, 7),
            -minor(0, 1, 6, 7),
            minor(0, 1, 3, 4),
        ];
        let det = h[0] * adjugate[0] + h[1] * adjugate[3] + h[2] * adjugate[6];
        let inverse = adjugate.map(|v| v / det);
        inverse.iter().all(|v| v.is_finite()).then_some(Self(inverse))
    }

    /// Length of a short step at a point, in picture units per unit of the chart: the square root of the area's growth.
    pub fn scale_at(&self, (x, y): Point) -> f64 {
        let (a, b) = (self.map((x - 0.5, y)), self.map((x + 0.5, y)));
        let (c, d) = (self.map((x, y - 0.5)), self.map((x, y + 0.5)));
        math::sqrt(((b.0 - a.0) * (d.1 - c.1) - (b.1 - a.1) * (d.0 - c.0)).abs())
    }
}

/// Condition of the normal matrix' square root, without and with normalisation: for the record only.
#[cfg(test)]
pub(super) fn condition(from: &[Point], to: &[Point], normalised: bool) -> f64 {
    let plain = Normal { x: 0.0, y: 0.0, scale: 1.0 };
    let (a, b) = if normalised {
        (Normal::new(from).unwrap(), Normal::new(to).unwrap())
    } else {
        (plain, Normal { ..plain })
    };
    let mut m: Matrix = [[0.0; 9]; 9];
    for (p, q) in from.iter().zip(to) {
        let ((x, y), (u, v)) = (a.apply(*p), b.apply(*q));
        for row in
            [[x, y, 1.0, 0.0, 0.0, 0.0, -u * x, -u * y, -u], [0.0, 0.0, 0.0, x, y, 1.0, -v * x, -v * y, -v]]
        {
            for i in 0..9 {
                for j in 0..9 {
                    m[i][j] += row[i] * row[j];
                }
            }
        }
    }
    let (mut values, _) = jacobi(m);
    super::ordered::ascending(&mut values);
    // The smallest belongs to the answer; the next one says how well it stands apart.
    math::sqrt(values[8] / values[1])
}

/// Moves points to their centre and their mean distance to √2.
#[derive(Clone, Copy)]
struct Normal {
    x: f64,
    y: f64,
    scale: f64,
}

impl Normal {
    fn new(points: &[Point]) -> Option<Self> {
        let n = points.len() as f64;
        let x = points.iter().map(|p| p.0).sum::<f64>() / n;
        let y = points.iter().map(|p| p.1).sum::<f64>() / n;
        let mean =
            points.iter().map(|p| math::sqrt((p.0 - x) * (p.0 - x) + (p.1 - y) * (p.1 - y))).sum::<f64>() / n;
        let scale = core::f64::consts::SQRT_2 / mean;
        (scale.is_finite() && mean > 0.0).then_some(Self { x, y, scale })
    }

    fn apply(&self, (x, y): Point) -> Point {
        ((x - self.x) * self.scale, (y - self.y) * self.scale)
    }
}

fn times(a: &[f64; 9], b: &[f64; 9]) -> [f64; 9] {
    core::array::from_fn(|i| {
        let (r, c) = (i / 3 * 3, i % 3);
        a[r] * b[c] + a[r + 1] * b[c + 3] + a[r + 2] * b[c + 6]
    })
}

/// Eigenvector of the smallest eigenvalue; `None` when the second smallest is as good as zero too.
fn smallest(m: Matrix) -> Option<[f64; 9]> {
    let (values, vectors) = jacobi(m);
    let order = places(&values);
    let (least, next, most) = (order[0], values[order[1]], values[order[8]]);
    (next > 1e-12 * most).then(|| core::array::from_fn(|i| vectors[i][least]))
}

/// Eigenvalues and eigenvectors (columns) of a symmetric matrix by cyclic Jacobi rotations (Golub and Van Loan, "Matrix
/// Computations", 8.5).
fn jacobi(mut m: Matrix) -> ([f64; 9], Matrix) {
    let mut vectors: Matrix =
        core::array::from_fn(|i| core::array::from_fn(|j| if i == j { 1.0 } else { 0.0 }));
    for _ in 0..SWEEPS {
        let (mut off, mut on) = (0.0, 0.0);
        for (i, row) in m.iter().enumerate() {
            on += row[i] * row[i];
            off += row[..i].iter().map(|v| v * v).sum::<f64>();
        }
        if off <= 1e-30 * on {
            break;
        }
        for p in 0..8 {
            for q in p + 1..9 {
                if m[p][q] == 0.0 {
                    continue;
                }
                let tau = (m[q][q] - m[p][p]) / (2.0 * m[p][q]);
                let t = tau.signum() / (tau.abs() + math::sqrt(1.0 + tau * tau));
                let c = 1.0 / math::sqrt(1.0 + t * t);
                let s = t * c;
                for row in &mut m {
                    let (a, b) = (row[p], row[q]);
                    row[p] = c * a - s * b;
                    row[q] = s * a + c * b;
                }
                let (upper, lower) = m.split_at_mut(q);
                for (a, b) in upper[p].iter_mut().zip(&mut lower[0]) {
                    (*a, *b) = (c * *a - s * *b, s * *a + c * *b);
                }
                for row in &mut vectors {
                    let (a, b) = (row[p], row[q]);
                    row[p] = c * a - s * b;
                    row[q] = s * a + c * b;
                }
            }
        }
    }
    (core::array::from_fn(|i| m[i][i]), vectors)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use serde_json::Value;

    fn points(v: &Value) -> Vec<Point> {
        v.as_array().unwrap().iter().map(|p| (p[0].as_f64().unwrap(), p[1].as_f64().unwrap())).collect()
    }

    /// tests/reference/homography: maps computed outside this project and checked with scikit-image.
    #[test]
    fn maps_agree_with_the_vectors() {
        let data: Value =
            serde_json::from_str(include_str!("../../../../tests/reference/homography/homography.json"))
                .unwrap();
        let exact = data["tolerance_exact"].as_f64().unwrap();
        for case in data["cases"].as_array().unwrap() {
            let (from, to) = (points(&case["src"]), points(&case["dst"]));
            let h = Homography::new(&from, &to).unwrap();
            let tolerance = if from.len() == 4 { exact } else { 1e-6 };
            for (i, expected) in
                case["H"].as_array().unwrap().iter().flat_map(|r| r.as_array().unwrap()).enumerate()
            {
                let expected = expected.as_f64().unwrap();
                assert!(
                    (h.0[i] - expected).abs() <= tolerance * expected.abs().max(1.0),
                    "{} {i}",
                    case["name"]
                );
            }
            if let Some(map) = case.get("map_point").or(case.get("mapped").map(|_| &case["map_point"])) {
                for (p, q) in points_or_none(map).into_iter().zip(points(&case["mapped"])) {
                    let (x, y) = h.map(p);
                    assert!((x - q.0).abs() < 1e-6 && (y - q.1).abs() < 1e-6);
                }
            }
            let back = h.inverse().unwrap();
            for p in &from {
                let (x, y) = back.map(h.map(*p));
                assert!((x - p.0).abs() < 1e-7 && (y - p.1).abs() < 1e-7);
            }
        }
    }

    fn points_or_none(v: &Value) -> Vec<Point> {
        if v.is_array() { points(v) } else { Vec::new() }
    }

    #[test]
    fn normalising_is_what_makes_it_well_posed() {
        let data: Value =
            serde_json::from_str(include_str!("../../../../tests/reference/homography/homography.json"))
                .unwrap();
        let case = &data["cases"][1];
        let (from, to) = (points(&case["src"]), points(&case["dst"]));
        let (without, with) = (condition(&from, &to, false), condition(&from, &to, true));
        let expected = data["conditioning"]["normalised"].as_f64().unwrap();
        assert!((with / expected - 1.0).abs() < 0.2, "{with} {expected}");
        assert!(without > 1e4 * with, "{without}");
    }

    #[test]
    fn what_fixes_no_map_is_refused() {
        let square = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
        assert!(Homography::new(&square, &[(0.0, 0.0); 4]).is_none());
        assert!(Homography::new(&square, &square[..3]).is_none());
        assert!(Homography::new(&square, &[(0.0, 0.0), (1.0, 0.0), (f64::NAN, 1.0), (0.0, 1.0)]).is_none());
        let line = [(0.0, 0.0), (1.0, 1.0), (2.0, 2.0), (3.0, 3.0)];
        assert!(Homography::new(&line, &square).is_none());
        let h = Homography::new(&square, &[(10.0, 10.0), (14.0, 10.0), (14.0, 14.0), (10.0, 14.0)]).unwrap();
        assert!((h.scale_at((0.5, 0.5)) - 4.0).abs() < 1e-9);
    }
}
