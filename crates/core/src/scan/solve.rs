//! Small systems of linear equations.

/// Solves a symmetric positive system of six by Cholesky's method (Golub and Van Loan, "Matrix Computations", 4.2).
/// `None` when it is not positive.
pub fn solve(mut a: [[f64; 6]; 6], mut b: [f64; 6]) -> Option<[f64; 6]> {
    let size = (0..6).map(|i| a[i][i]).fold(0.0, f64::max);
    for j in 0..6 {
        for k in 0..j {
            for i in j..6 {
                a[i][j] -= a[i][k] * a[j][k];
            }
        }
        let pivot = a[j][j];
        if !(pivot.is_finite() && pivot > 1e-12 * size) {
            return None;
        }
        let root = crate::math::sqrt(pivot);
        for row in &mut a[j..] {
            row[j] /= root;
        }
    }
    for i in 0..6 {
        for k in 0..i {
            b[i] -= a[i][k] * b[k];
        }
        b[i] /= a[i][i];
    }
    for i in (0..6).rev() {
        for k in i + 1..6 {
            b[i] -= a[k][i] * b[k];
        }
        b[i] /= a[i][i];
    }
    b.iter().all(|v| v.is_finite()).then_some(b)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn solutions_solve() {
        let mut a = [[0.0; 6]; 6];
        for (i, row) in a.iter_mut().enumerate() {
            for (j, v) in row.iter_mut().enumerate() {
                *v = 1.0 / (i + j + 1) as f64 + if i == j { 0.5 } else { 0.0 };
            }
        }
        let x = solve(a, [1.0, 2.0, 3.0, 4.0, 5.0, 6.0]).unwrap();
        for (i, row) in a.iter().enumerate() {
            let b: f64 = row.iter().zip(x).map(|(a, x)| a * x).sum();
            assert!((b - (i + 1) as f64).abs() < 1e-9);
        }
        assert!(solve([[1.0; 6]; 6], [1.0; 6]).is_none());
        assert!(solve([[f64::NAN; 6]; 6], [1.0; 6]).is_none());
    }
}
