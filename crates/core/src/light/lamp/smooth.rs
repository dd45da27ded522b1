//! The light of a frame as a smooth surface: what readings on a grid have in common, without the noise of each.
//!
//! log₁₀ of the readings by least squares in products of Legendre polynomials of the place. Of the orders 0 to
//! [`HIGHEST`] the one is taken that foretells best what each reading would be if it had been left out (PRESS; D. M.
//! Allen, Technometrics 16, 1974, 125–127); a higher order must do so clearly better than a lower.

use super::evenness::Grid;
use crate::math;

/// Highest order in both directions together: beyond it a surface follows the readings' noise.
pub const HIGHEST: usize = 4;
/// Part of the lower order's sum of squares that a higher one must stay below.
const BETTER: f64 = 0.5;
/// A reading is odd when it is off the others' surface by more than so many times what they are.
const ODD: f64 = 4.0;
/// And by more than this in log exposure: 0.1 stop.
const ODD_LEAST: f64 = 0.03;
/// Fewest readings of which one can be doubted.
const FEWEST_DOUBTED: usize = 9;
/// Sum of squares below which nothing but rounding is left, per reading.
const ROUNDING: f64 = 1e-24;

/// A smooth surface of log₁₀ light over a frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Smooth {
    /// Orders to the right and down, and the factor of their product.
    terms: Vec<([usize; 2], f64)>,
    /// By how much a reading that was left out is missed, root mean square, log exposure: noise, and what is not smooth.
    pub missed: f64,
    /// The reading that lies off what the others say, if there is one; the surface is that of the others.
    pub odd: Option<Odd>,
}

/// A reading that lies off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Odd {
    /// Its row, from 0 at the far edge.
    pub row: usize,
    /// Its column, from 0 at the left.
    pub column: usize,
    /// How far above the others' surface, log exposure.
    pub by: f64,
}

/// What an order came to.
struct Tried {
    terms: usize,
    missed: Vec<f64>,
    press: f64,
}

impl Smooth {
    /// Through the readings of a grid. One slip of the pen would bend or flatten it, so a reading that the others do not
    /// bear out is left out.
    #[must_use]
    pub fn fit(grid: &Grid) -> Self {
        let (all, missed) = Self::through(grid, None);
        let off = |k: usize| missed[k].abs();
        let Some(worst) = (0..missed.len()).max_by(|a, b| off(*a).total_cmp(&off(*b))) else { return all };
        // A surface needs some readings beyond the one that is doubted.
        if off(worst) < ODD_LEAST || missed.len() < FEWEST_DOUBTED {
            return all;
        }
        let (mut others, _) = Self::through(grid, Some(worst));
        let (row, column) = (worst / grid.columns, worst % grid.columns);
        let part = |k: usize, of: usize| (k as f64 + 0.5) / of as f64;
        let (x, y) = (part(column, grid.columns), part(row, grid.rows()));
        let by = math::log10(grid.levels[worst]) - others.log(x, y);
        if by.abs() < ODD_LEAST || by.abs() < ODD * others.missed {
            return all;
        }
        others.odd = Some(Odd { row, column, by });
        others
    }

    /// Through all readings, or all but one; with what each is missed by when it is left out (0 for that one).
    fn through(grid: &Grid, without: Option<usize>) -> (Self, Vec<f64>) {
        let (columns, rows) = (grid.columns, grid.rows());
        let places: Vec<usize> = (0..grid.levels.len()).filter(|k| Some(*k) != without).collect();
        let n = places.len();
        let logs: Vec<f64> = places.iter().map(|k| math::log10(grid.levels[*k])).collect();
        let middle = |k: usize, of: usize| (k as f64 + 0.5) / of as f64;
        let mut orders: Vec<[usize; 2]> = Vec::new();
        // Columns made orthonormal one after the other (modified Gram–Schmidt, twice: Golub and Van Loan, 5.2.8), so that
        // every order is there before the next is begun. `upper[k]` says how column k was made of those before.
        let mut made: Vec<Vec<f64>> = Vec::new();
        let mut upper: Vec<Vec<f64>> = Vec::new();
        let mut along: Vec<f64> = Vec::new();
        let (mut left, mut leverage) = (logs.clone(), vec![0.0; n]);
        let mut best: Option<Tried> = None;
        for order in 0..=HIGHEST {
            for down in 0..=order {
                let to = [order - down, down];
                if to[0] >= columns || to[1] >= rows {
                    continue;
                }
                let mut column: Vec<f64> = places
                    .iter()
                    .map(|&k| {
                        let (right, down) = (middle(k % columns, columns), middle(k / columns, rows));
                        legendre(right)[to[0]] * legendre(down)[to[1]]
                    })
                    .collect();
                let mut parts = vec![0.0; made.len() + 1];
                for _ in 0..2 {
                    for (q, part) in made.iter().zip(&mut parts) {
                        let dot = dot(q, &column);
                        *part += dot;
                        column.iter_mut().zip(q).for_each(|(c, q)| *c -= dot * q);
                    }
                }
                let long = math::sqrt(dot(&column, &column));
                column.iter_mut().for_each(|c| *c /= long);
                parts[made.len()] = long;
                let b = dot(&column, &left);
                for ((l, h), q) in left.iter_mut().zip(&mut leverage).zip(&column) {
                    *l -= b * q;
                    *h += q * q;
                }
                orders.push(to);
                made.push(column);
                upper.push(parts);
                along.push(b);
            }
            // Without a reading to spare nothing could be foretold.
            if made.len() >= n || leverage.iter().any(|h| *h > 1.0 - 1e-6) {
                break;
            }
            let missed: Vec<f64> = left.iter().zip(&leverage).map(|(l, h)| l / (1.0 - h)).collect();
            let press = dot(&missed, &missed);
            if best.as_ref().is_none_or(|b| press < BETTER * b.press) {
                let done = press <= ROUNDING * n as f64;
                best = Some(Tried { terms: made.len(), missed, press });
                if done {
                    break;
                }
            }
        }
        let mut missed = vec![0.0; grid.levels.len()];
        let Some(best) = best else {
            let mean = logs.iter().sum::<f64>() / n.max(1) as f64;
            return (Self { terms: vec![([0, 0], mean)], missed: 0.0, odd: None }, missed);
        };
        for (k, m) in places.iter().zip(&best.missed) {
            missed[*k] = *m;
        }
        let mut factors = vec![0.0; best.terms];
        for k in (0..best.terms).rev() {
            let above: f64 = (k + 1..best.terms).map(|j| upper[j][k] * factors[j]).sum();
            factors[k] = (along[k] - above) / upper[k][k];
        }
        let terms = orders.into_iter().zip(factors).collect();
        (Self { terms, missed: math::sqrt(best.press / n as f64), odd: None }, missed)
    }

    /// log₁₀ of the light at a place in parts of the frame, from the far left corner.
    #[must_use]
    pub fn log(&self, x: f64, y: f64) -> f64 {
        let (right, down) = (legendre(x), legendre(y));
        self.terms.iter().map(|([i, j], f)| f * right[*i] * down[*j]).sum()
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Legendre polynomials of order 0 to [`HIGHEST`] at a part of the frame, by Bonnet's recursion (DLMF 18.9.1).
fn legendre(part: f64) -> [f64; HIGHEST + 1] {
    let t = 2.0 * part - 1.0;
    let mut all = [1.0, t, 0.0, 0.0, 0.0];
    for k in 1..HIGHEST {
        let n = k as f64;
        all[k + 1] = ((2.0 * n + 1.0) * t * all[k] - n * all[k - 1]) / (n + 1.0);
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn grid(columns: usize, rows: usize, log: impl Fn(f64, f64) -> f64) -> Grid {
        let part = |k: usize, of: usize| (k as f64 + 0.5) / of as f64;
        let line =
            |j: usize| (0..columns).map(|i| math::exp10(log(part(i, columns), part(j, rows)))).collect();
        Grid::new(&(0..rows).map(line).collect::<Vec<_>>()).unwrap()
    }

    fn worst(s: &Smooth, log: impl Fn(f64, f64) -> f64) -> f64 {
        let places = (0..=10).flat_map(|i| (0..=10).map(move |j| (f64::from(i) / 10.0, f64::from(j) / 10.0)));
        places.map(|(x, y)| (s.log(x, y) - log(x, y)).abs()).fold(0.0, f64::max)
    }

    /// Noise that is the same everywhere: a whole number's hash, −1 … 1.
    fn noise(k: usize) -> f64 {
        let h = (k as u64 + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        ((h ^ (h >> 29)).wrapping_mul(0xBF58_476D_1CE4_E5B9) >> 33) as f64 / f64::from(1_u32 << 30) - 1.0
    }

    #[test]
    fn a_surface_of_each_order_comes_back() {
        let bowl = |x: f64, y: f64| 0.3 - 0.4 * (x - 0.45) * (x - 0.45) - 0.2 * y * y + 0.1 * x * y;
        for (columns, rows) in [(3, 3), (4, 3), (5, 4), (9, 7)] {
            let s = Smooth::fit(&grid(columns, rows, bowl));
            assert!(worst(&s, bowl) < 1e-9, "{columns} × {rows}: {}", worst(&s, bowl));
            assert!(s.missed < 1e-9 && s.odd.is_none());
        }
        let slope = |x: f64, y: f64| 1.0 + 0.2 * x - 0.1 * y;
        assert!(worst(&Smooth::fit(&grid(2, 2, slope)), slope) < 1e-9);
        let flat = |_: f64, _: f64| 2.0;
        for (columns, rows) in [(2, 2), (5, 5)] {
            let s = Smooth::fit(&grid(columns, rows, flat));
            assert_eq!(s.terms.len(), 1);
            assert!(worst(&s, flat) < 1e-12);
        }
    }

    #[test]
    fn noise_alone_makes_no_surface() {
        // Root mean square over the frame, edges included, of what is made of readings of a flat light: against theirs.
        for ((columns, rows), part) in [((3, 3), 0.9), ((5, 4), 0.6), ((6, 6), 0.5)] {
            let (mut strayed, mut scattered) = (0.0, 0.0);
            for seed in 0..40 {
                let mut flat = grid(columns, rows, |_, _| 1.0);
                for (k, e) in flat.levels.iter_mut().enumerate() {
                    let off = 0.005 * noise(1000 * seed + k);
                    *e *= math::exp10(off);
                    scattered += off * off / (columns * rows) as f64;
                }
                let s = Smooth::fit(&flat);
                let square = |k: usize| s.log((k % 11) as f64 / 10.0, (k / 11) as f64 / 10.0) - 1.0;
                strayed += (0..121).map(|k| square(k) * square(k)).sum::<f64>() / 121.0;
            }
            let stray = math::sqrt(strayed / scattered);
            assert!(stray < part, "{columns} × {rows}: {stray} of a reading's own scatter");
        }
    }

    #[test]
    fn the_fall_of_light_under_a_small_lamp_is_met() {
        // Cosine to the fourth (CIE ILV 17-25-104 and the slant), frame 400 × 500 mm, lamp 600 mm above its middle.
        let log = |x: f64, y: f64| {
            let (a, b) = ((x - 0.5) * 400.0 / 600.0, (y - 0.5) * 500.0 / 600.0);
            -2.0 * math::log10(1.0 + a * a + b * b)
        };
        let s = Smooth::fit(&grid(5, 5, log));
        assert!(worst(&s, log) < 0.004, "{}", worst(&s, log));
        let coarse = Smooth::fit(&grid(3, 3, log));
        assert!(worst(&coarse, log) < 0.02, "{}", worst(&coarse, log));
    }

    #[test]
    fn a_slip_of_the_pen_is_told() {
        let bowl = |x: f64, y: f64| -0.4 * (x - 0.5) * (x - 0.5) - 0.2 * (y - 0.5) * (y - 0.5);
        let mut g = grid(5, 4, bowl);
        g.levels[12] *= 1.5;
        let odd = Smooth::fit(&g).odd.unwrap();
        assert_eq!((odd.row, odd.column), (2, 2));
        assert!(odd.by > 0.1, "{odd:?}");
        // And the surface is that of the others.
        assert!(worst(&Smooth::fit(&g), bowl) < 1e-9);
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn any_grid_gives_a_finite_surface(
            columns in 2..8_usize, rows in 2..8_usize, levels in prop::collection::vec(1e-6..1e6_f64, 64)
        ) {
            let lines: Vec<Vec<f64>> = (0..rows).map(|j| levels[j * columns..(j + 1) * columns].to_vec()).collect();
            let grid = Grid::new(&lines).unwrap();
            let s = Smooth::fit(&grid);
            prop_assert!(s.missed.is_finite());
            for (x, y) in [(0.0, 0.0), (1.0, 0.0), (0.3, 0.7), (1.0, 1.0)] {
                prop_assert!(s.log(x, y).is_finite());
            }
        }

        #[test]
        fn a_brighter_lamp_only_lifts_the_surface(
            levels in prop::collection::vec(0.5..2.0_f64, 20), factor in 0.1..10.0_f64
        ) {
            let of = |f: f64| {
                let lines: Vec<Vec<f64>> = levels.chunks(5).map(|r| r.iter().map(|e| e * f).collect()).collect();
                Smooth::fit(&Grid::new(&lines).unwrap())
            };
            let (a, b) = (of(1.0), of(factor));
            for (x, y) in [(0.0, 0.0), (0.5, 0.5), (0.9, 0.2)] {
                prop_assert!((b.log(x, y) - a.log(x, y) - math::log10(factor)).abs() < 1e-9);
            }
        }
    }
}
