//! The shuffle: which patch stands in which place of the field.
//!
//! Random order keeps an uneven coat from passing for a bend of the curve. After a shuffle, random pairs change places
//! where that helps: codes should hang together little with place, repeats stand in different rows and columns, and both
//! ends be found in all four quarters of the field. Common practice for test charts; no source.

use super::Patches;
use crate::math;

/// Pairs that are tried after the shuffle.
const TRIES: usize = 600;
/// Penalty for each pair of repeats in one row or column, in units of correlation.
const SAME_LINE: f64 = 0.5;
/// Penalty for a quarter without one of the ends.
const EMPTY_QUARTER: f64 = 1.0;

/// SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014).
#[derive(Clone, Copy, Debug)]
pub struct SplitMix(u64);

impl SplitMix {
    /// A sequence of its own for each seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next 64 bits.
    pub fn draw(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number below `n` (above 0); the bias is below n/2⁶⁴.
    pub fn below(&mut self, n: u64) -> u64 {
        let wide = u128::from(self.draw()) * u128::from(n.max(1));
        u64::try_from(wide >> 64).unwrap_or(0)
    }
}

/// Level in each place of the field, row by row; `None` is an empty place.
pub fn shuffled(patches: Patches, seed: u16) -> Vec<Option<usize>> {
    let (columns, rows) = patches.grid();
    let mut places: Vec<Option<usize>> = patches.ladder().into_iter().map(Some).collect();
    places.resize(columns * rows, None);
    let mut random = SplitMix::new(u64::from(seed) << 8 | u64::from(patches.number()));
    let mut pick = |n: usize| usize::try_from(random.below(n as u64)).unwrap_or(0);
    for i in (1..places.len()).rev() {
        let j = pick(i + 1);
        places.swap(i, j);
    }
    let mut least = cost(patches, &places);
    for _ in 0..TRIES {
        let (i, j) = (pick(places.len()), pick(places.len()));
        places.swap(i, j);
        let now = cost(patches, &places);
        if now < least {
            least = now;
        } else {
            places.swap(i, j);
        }
    }
    places
}

fn cost(patches: Patches, places: &[Option<usize>]) -> f64 {
    let (columns, rows) = patches.grid();
    let last = patches.levels() - 1;
    let mut quarters = [[0_u32; 4]; 2];
    let mut cost = 0.0;
    let mut taken: Vec<(usize, usize, usize)> = Vec::with_capacity(places.len());
    for (i, level) in places.iter().enumerate() {
        let Some(level) = *level else { continue };
        let (column, row) = (i % columns, i / columns);
        if level == 0 || level == last {
            let quarter = usize::from(2 * column >= columns) + 2 * usize::from(2 * row >= rows);
            quarters[usize::from(level == last)][quarter] += 1;
        } else {
            let repeats = taken.iter().filter(|(l, c, r)| *l == level && (*c == column || *r == row));
            cost += SAME_LINE * repeats.count() as f64;
        }
        taken.push((level, column, row));
    }
    cost += EMPTY_QUARTER * quarters.as_flattened().iter().filter(|n| **n == 0).count() as f64;
    let spots: Vec<(f64, f64, f64)> =
        taken.iter().map(|&(l, c, r)| (patches.code(l), c as f64, r as f64)).collect();
    cost + worst_correlation(&spots)
}

/// Largest |correlation| of the code with x, y, x², y² and xy over patches given as (code, x, y); 0 when nothing
/// varies. An evenness fit may be trusted up to about 0.3.
pub fn worst_correlation(spots: &[(f64, f64, f64)]) -> f64 {
    let span = |axis: fn(&(f64, f64, f64)) -> f64| {
        let low = spots.iter().map(axis).fold(f64::INFINITY, f64::min);
        let high = spots.iter().map(axis).fold(f64::NEG_INFINITY, f64::max);
        (f64::midpoint(low, high), (high - low) / 2.0)
    };
    let (x0, xs) = span(|s| s.1);
    let (y0, ys) = span(|s| s.2);
    let unit = |v: f64, zero: f64, half: f64| if half > 0.0 { (v - zero) / half } else { 0.0 };
    let mut worst = 0.0_f64;
    for kind in 0..5 {
        let column = |s: &(f64, f64, f64)| {
            let (x, y) = (unit(s.1, x0, xs), unit(s.2, y0, ys));
            [x, y, x * x, y * y, x * y][kind]
        };
        let n = spots.len() as f64;
        let (mut a, mut b) = (0.0, 0.0);
        for s in spots {
            a += s.0;
            b += column(s);
        }
        let (a, b) = (a / n, b / n);
        let (mut aa, mut bb, mut ab) = (0.0, 0.0, 0.0);
        for s in spots {
            let (p, q) = (s.0 - a, column(s) - b);
            aa += p * p;
            bb += q * q;
            ab += p * q;
        }
        if aa > 0.0 && bb > 0.0 {
            worst = worst.max((ab / math::sqrt(aa * bb)).abs());
        }
    }
    worst
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn the_generator_is_the_published_one() {
        // Seed 42, first outputs of the public-domain reference code (S. Vigna), computed outside this project.
        let mut r = SplitMix::new(42);
        assert_eq!([r.draw(), r.draw()], [13_679_457_532_755_275_413, 2_949_826_092_126_892_291]);
    }

    #[test]
    fn every_shuffle_holds_all_patches_and_spreads_them() {
        for patches in Patches::ALL {
            let (columns, rows) = patches.grid();
            for seed in [0, 1, 2, 777, 40_213, u16::MAX] {
                let places = shuffled(patches, seed);
                assert_eq!(places.len(), columns * rows);
                let mut levels: Vec<usize> = places.iter().flatten().copied().collect();
                levels.sort_unstable();
                assert_eq!(levels, patches.ladder());
                assert_eq!(places, shuffled(patches, seed));
                let spots: Vec<_> = places
                    .iter()
                    .enumerate()
                    .filter_map(|(i, l)| {
                        l.map(|l| (patches.code(l), (i % columns) as f64, (i / columns) as f64))
                    })
                    .collect();
                let worst = worst_correlation(&spots);
                assert!(worst < 0.2, "{patches:?} {seed}: {worst}");
                // Both ends in all quarters, repeats of one level never in one line.
                let cost = cost(patches, &places);
                assert!(cost < SAME_LINE, "{patches:?} {seed}: {cost}");
            }
            assert_ne!(shuffled(patches, 1), shuffled(patches, 2));
        }
    }

    /// Printed charts must read for ever: this sum over many shuffles never changes.
    #[test]
    fn the_shuffle_is_frozen() {
        let mut sum = 0xCBF2_9CE4_8422_2325_u64; // FNV-1a
        for patches in Patches::ALL {
            for seed in 0..40 {
                for place in shuffled(patches, seed * 1637) {
                    sum = (sum ^ place.map_or(255, |l| l as u64)).wrapping_mul(0x0000_0100_0000_01B3);
                }
            }
        }
        assert_eq!(sum, 4_474_739_976_469_274_471);
    }

    #[test]
    fn a_sequential_wedge_hangs_together_with_place() {
        let spots: Vec<_> =
            (0..60).map(|i| (f64::from(i) / 59.0, f64::from(i % 10), f64::from(i / 10))).collect();
        assert!(worst_correlation(&spots) > 0.9);
        assert_eq!(worst_correlation(&[]), 0.0);
        assert_eq!(worst_correlation(&[(0.5, 1.0, 1.0); 3]), 0.0);
    }
}
