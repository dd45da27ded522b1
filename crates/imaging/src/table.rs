//! A profile's colour look-up table, read for Y alone.
//!
//! Source: ICC.1:2022, 10.10 (lut16Type), 10.11 (lut8Type), 10.12 (lutAToBType), 6.3.4 (encodings of the connection
//! space). Between grid points: tetrahedra, after J. Kasson, S. Nin, W. Plouffe and J. Hafner, "Performing color space
//! conversions with three-dimensional linear interpolation", Journal of Electronic Imaging 4 (3), 1995; they keep
//! neutral colours on the grid's diagonal neutral.

use crate::tone::luminance;

/// Steps of a curve.
const STEPS: usize = 4096;

/// A curve of one channel, 0..1 to 0..1, as a table.
#[derive(Clone, Debug)]
pub struct Curve1(Vec<f32>);

impl Curve1 {
    /// Samples a function.
    pub fn new(f: impl Fn(f64) -> f64) -> Self {
        let value = |i: usize| {
            let y = f(f64::from(u32::try_from(i).unwrap_or(0)) / (STEPS - 1) as f64);
            #[allow(clippy::cast_possible_truncation, reason = "pixels are f32")]
            let y = y as f32;
            if y.is_finite() { y } else { 0.0 }
        };
        Self((0..STEPS).map(value).collect())
    }

    /// Straight lines between values at equal steps; one alone is constant, none at all passes everything.
    pub fn through(values: &[f64]) -> Self {
        match values {
            [] => Self::new(|v| v),
            [one] => Self::new(|_| *one),
            many => Self::new(|v| {
                let place = v.clamp(0.0, 1.0) * (many.len() - 1) as f64;
                #[allow(clippy::cast_possible_truncation, reason = "0..len")]
                let i = (place as usize).min(many.len() - 2);
                many[i] + (many[i + 1] - many[i]) * (place - i as f64)
            }),
        }
    }

    #[inline(always)]
    fn at(&self, v: f32) -> f32 {
        let place = v.clamp(0.0, 1.0) * (STEPS - 1) as f32;
        #[allow(clippy::cast_possible_truncation, reason = "0..STEPS")]
        let i = (place as usize).min(STEPS - 2);
        match self.0.get(i..i + 2) {
            Some([a, b]) => a + (b - a) * (place - i as f32),
            _ => 0.0,
        }
    }
}

/// What the connection space's numbers mean.
#[derive(Clone, Copy, Debug)]
pub enum Space {
    /// The first channel is L*; its full scale in units of L* = 100.
    Lab(f32),
    /// The second channel is Y; its full scale.
    Xyz(f32),
}

impl Space {
    fn channel(self) -> usize {
        match self {
            Self::Lab(_) => 0,
            Self::Xyz(_) => 1,
        }
    }
}

/// What follows the grid.
#[derive(Clone, Debug)]
pub enum After {
    /// One curve for the channel that matters.
    Curve(Curve1),
    /// Curves for all three, one row of a matrix and its offset, then a curve.
    Matrix {
        /// Curves before the matrix.
        curves: Box<[Curve1; 3]>,
        /// Three factors and the offset.
        row: [f32; 4],
        /// Curve behind the matrix.
        last: Curve1,
    },
}

/// From RGB (0..1) to Y.
#[derive(Clone, Debug)]
pub struct Table {
    /// Curves before the grid.
    pub before: Box<[Curve1; 3]>,
    /// Grid points along red, green, blue; red changes slowest. Empty `grid` = no grid.
    pub points: [usize; 3],
    /// Three values (0..1) a grid point.
    pub grid: Vec<[f32; 3]>,
    /// What follows.
    pub after: After,
    /// What the result means.
    pub space: Space,
}

impl Table {
    /// Y of a colour.
    pub fn y(&self, rgb: [f32; 3]) -> f32 {
        let v: [f32; 3] = std::array::from_fn(|c| self.before[c].at(rgb[c]));
        let v = if self.grid.is_empty() { v } else { self.inside(v) };
        let value = match &self.after {
            After::Curve(curve) => curve.at(v[self.space.channel()]),
            After::Matrix { curves, row, last } => {
                let sum: f32 = (0..3).map(|c| row[c] * curves[c].at(v[c])).sum();
                last.at(sum + row[3])
            }
        };
        match self.space {
            Space::Lab(scale) => luminance(value * scale),
            Space::Xyz(scale) => value * scale,
        }
    }

    fn inside(&self, v: [f32; 3]) -> [f32; 3] {
        let [_, green, blue] = self.points;
        let stride = [green * blue, blue, 1];
        let mut base = 0;
        let mut part = [(0.0_f32, 0_usize); 3];
        for c in 0..3 {
            let last = self.points[c].saturating_sub(1);
            let place = v[c].clamp(0.0, 1.0) * last as f32;
            #[allow(clippy::cast_possible_truncation, reason = "within the grid")]
            let i = (place as usize).min(last.saturating_sub(1));
            base += i * stride[c];
            part[c] = (place - i as f32, stride[c]);
        }
        // From the corner, one step along each axis, the one with the largest part first.
        for (a, b) in [(0, 1), (1, 2), (0, 1)] {
            if part[b].0 > part[a].0 {
                part.swap(a, b);
            }
        }
        let point = |i: usize| self.grid.get(i).copied().unwrap_or([0.0; 3]);
        let mut here = point(base);
        let mut out = here;
        for (t, step) in part {
            base += step;
            let next = point(base);
            for k in 0..3 {
                out[k] += t * (next[k] - here[k]);
            }
            here = next;
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn straight() -> Box<[Curve1; 3]> {
        Box::new(std::array::from_fn(|_| Curve1::through(&[])))
    }

    /// A grid of a linear function must give it back anywhere.
    #[test]
    fn linear_functions_pass_unchanged() {
        let points = [3, 4, 5];
        let f = |r: f32, g: f32, b: f32| 0.1 + 0.2 * r + 0.3 * g + 0.25 * b;
        let mut grid = Vec::new();
        for r in 0..3_u8 {
            for g in 0..4_u8 {
                for b in 0..5_u8 {
                    let y = f(f32::from(r) / 2.0, f32::from(g) / 3.0, f32::from(b) / 4.0);
                    grid.push([0.0, y, 1.0]);
                }
            }
        }
        let after = After::Curve(Curve1::through(&[]));
        let table = Table { before: straight(), points, grid, after, space: Space::Xyz(2.0) };
        for rgb in [[0.0; 3], [1.0; 3], [0.3, 0.7, 0.1], [0.5, 0.5, 0.5], [0.9, 0.05, 0.66], [-1.0, 2.0, 0.5]]
        {
            let [r, g, b] = rgb.map(|v: f32| v.clamp(0.0, 1.0));
            assert!((table.y(rgb) - 2.0 * f(r, g, b)).abs() < 1e-5, "{rgb:?}");
        }
    }

    #[test]
    fn a_matrix_without_a_grid() {
        let after = After::Matrix {
            curves: Box::new(std::array::from_fn(|_| Curve1::new(|v| v * v))),
            row: [0.2, 0.7, 0.1, 0.0],
            last: Curve1::through(&[]),
        };
        let table =
            Table { before: straight(), points: [0; 3], grid: Vec::new(), after, space: Space::Xyz(1.0) };
        assert!((table.y([0.5, 0.2, 1.0]) - (0.05 + 0.028 + 0.1)).abs() < 1e-5);
    }
}
