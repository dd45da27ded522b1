//! Symmetric positive definite matrices of half-width 3: Cholesky, solve, determinant and the band of the inverse.
//!
//! A cubic B-spline touches four neighbours, so every matrix of the tone fit has this shape and each step costs
//! a few operations a row instead of a few thousand.

use crate::math;

/// Neighbours on each side of the diagonal.
pub const HALF_WIDTH: usize = 3;

/// Lower band of a symmetric matrix: `rows[i][d]` is the element (i, i − d).
#[derive(Clone, Debug, PartialEq)]
pub struct Banded {
    rows: Vec<[f64; HALF_WIDTH + 1]>,
}

impl Banded {
    /// All zero, `size` × `size`.
    pub fn zero(size: usize) -> Self {
        Self { rows: vec![[0.0; HALF_WIDTH + 1]; size] }
    }

    /// Number of rows.
    pub fn size(&self) -> usize {
        self.rows.len()
    }

    /// Adds `value` to the elements (i, j) and (j, i). Elements outside the band or the matrix are left alone.
    pub fn add(&mut self, i: usize, j: usize, value: f64) {
        let (low, high) = if i < j { (i, j) } else { (j, i) };
        if let Some(element) = self.rows.get_mut(high).and_then(|row| row.get_mut(high - low)) {
            *element += value;
        }
    }

    /// Element (i, j); zero outside the band.
    pub fn get(&self, i: usize, j: usize) -> f64 {
        let (low, high) = if i < j { (i, j) } else { (j, i) };
        self.rows.get(high).and_then(|row| row.get(high - low)).copied().unwrap_or(0.0)
    }

    /// Sum of the diagonal.
    pub fn trace(&self) -> f64 {
        self.rows.iter().map(|row| row[0]).sum()
    }

    /// `self + factor × other`; both of one size.
    pub fn plus(&self, factor: f64, other: &Self) -> Self {
        let mut sum = self.clone();
        for (row, add) in sum.rows.iter_mut().zip(&other.rows) {
            for (a, b) in row.iter_mut().zip(add) {
                *a += factor * b;
            }
        }
        sum
    }

    /// `vᵀ self v`.
    pub fn quadratic(&self, v: &[f64]) -> f64 {
        let mut sum = 0.0;
        for (i, row) in self.rows.iter().enumerate() {
            sum += row[0] * v[i] * v[i];
            for d in 1..=HALF_WIDTH.min(i) {
                sum += 2.0 * row[d] * v[i] * v[i - d];
            }
        }
        sum
    }

    /// Trace of `self × other`, both symmetric, `other` known inside the band only, which is all that counts.
    pub fn trace_of_product(&self, other: &Self) -> f64 {
        self.rows
            .iter()
            .zip(&other.rows)
            .map(|(a, b)| a[0] * b[0] + 2.0 * (a[1] * b[1] + a[2] * b[2] + a[3] * b[3]))
            .sum()
    }

    /// The Cholesky factor; `None` if the matrix is not positive definite (or not finite).
    pub fn cholesky(&self) -> Option<Cholesky> {
        let mut l = self.rows.clone();
        for i in 0..l.len() {
            let reach = HALF_WIDTH.min(i);
            for d in (0..=reach).rev() {
                let j = i - d;
                let mut sum = l[i][d];
                // Elements left of column j that both rows have inside the band.
                for back in 1..=(HALF_WIDTH - d).min(j) {
                    sum -= l[i][d + back] * l[j][back];
                }
                l[i][d] = if d > 0 {
                    sum / l[j][0]
                } else if sum > 0.0 && sum.is_finite() {
                    math::sqrt(sum)
                } else {
                    return None;
                };
            }
        }
        Some(Cholesky { l })
    }
}

/// Lower factor L of A = L Lᵀ, in the same band.
#[derive(Clone, Debug)]
pub struct Cholesky {
    l: Vec<[f64; HALF_WIDTH + 1]>,
}

impl Cholesky {
    /// Solves A x = b; `b` as long as the matrix.
    pub fn solve(&self, b: &[f64]) -> Vec<f64> {
        let l = &self.l;
        let n = l.len();
        let mut x = b.to_vec();
        for i in 0..n {
            let mut sum = x[i];
            for d in 1..=HALF_WIDTH.min(i) {
                sum -= l[i][d] * x[i - d];
            }
            x[i] = sum / l[i][0];
        }
        for i in (0..n).rev() {
            let mut sum = x[i];
            for d in 1..=HALF_WIDTH.min(n - 1 - i) {
                sum -= l[i + d][d] * x[i + d];
            }
            x[i] = sum / l[i][0];
        }
        x
    }

    /// Natural logarithm of the determinant of A.
    pub fn ln_det(&self) -> f64 {
        2.0 * self.l.iter().map(|row| math::ln(row[0])).sum::<f64>()
    }

    /// The elements of A⁻¹ that lie inside the band, from the last row upwards (Takahashi, Fagan and Chen 1973;
    /// Erisman and Tinney 1975).
    pub fn inverse_band(&self) -> Banded {
        let l = &self.l;
        let n = l.len();
        let mut z = Banded::zero(n);
        for j in (0..n).rev() {
            let reach = HALF_WIDTH.min(n - 1 - j);
            for i in (j..=j + reach).rev() {
                let mut sum = if i == j { 1.0 / l[j][0] } else { 0.0 };
                for d in 1..=reach {
                    sum -= z.get(i, j + d) * l[j + d][d];
                }
                z.rows[i][i - j] = sum / l[j][0];
            }
        }
        z
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn sample(n: usize) -> Banded {
        let mut a = Banded::zero(n);
        for i in 0..n {
            a.add(i, i, 6.0 + (i % 4) as f64);
            for d in 1..=HALF_WIDTH.min(i) {
                a.add(i, i - d, 1.0 / (d as f64 + 0.3 * i as f64));
            }
        }
        a
    }

    fn times(a: &Banded, v: &[f64]) -> Vec<f64> {
        (0..a.size()).map(|i| (0..a.size()).map(|j| a.get(i, j) * v[j]).sum()).collect()
    }

    #[test]
    fn a_solution_put_back_gives_the_right_side() {
        for n in [1, 2, 3, 4, 7, 43] {
            let a = sample(n);
            let b: Vec<f64> = (0..n).map(|i| (i * i % 11) as f64 - 3.0).collect();
            let x = a.cholesky().unwrap().solve(&b);
            for (got, want) in times(&a, &x).iter().zip(&b) {
                assert!((got - want).abs() < 1e-12, "{got} {want}");
            }
        }
    }

    #[test]
    fn the_inverse_band_is_that_of_unit_solutions() {
        let n = 12;
        let chol = sample(n).cholesky().unwrap();
        let band = chol.inverse_band();
        for j in 0..n {
            let unit: Vec<f64> = (0..n).map(|i| if i == j { 1.0 } else { 0.0 }).collect();
            let column = chol.solve(&unit);
            for (i, want) in column.iter().enumerate().filter(|(i, _)| i.abs_diff(j) <= HALF_WIDTH) {
                assert!((band.get(i, j) - want).abs() < 1e-14);
            }
        }
    }

    #[test]
    fn the_determinant_of_a_two_by_two() {
        let mut a = Banded::zero(2);
        a.add(0, 0, 4.0);
        a.add(1, 1, 3.0);
        a.add(0, 1, 1.0);
        assert!((a.cholesky().unwrap().ln_det() - math::ln(11.0)).abs() < 1e-14);
    }

    #[test]
    fn what_is_not_positive_is_refused() {
        let mut a = Banded::zero(2);
        a.add(0, 0, 1.0);
        a.add(1, 1, 1.0);
        a.add(0, 1, 2.0);
        assert!(a.cholesky().is_none());
        a.add(0, 0, f64::NAN);
        assert!(a.cholesky().is_none());
    }
}
