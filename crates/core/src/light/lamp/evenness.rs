//! How even the light of a frame is: readings on a grid, the largest rectangle within a tolerance, and what a film
//! would have to hold back for the rest.

use crate::constant::Constant;
use crate::math;

/// Tolerance in stops between the lightest and the darkest place of a print.
pub const TOLERANCE: Constant = Constant::choice(
    0.1,
    "stop",
    1,
    "about 2 L* in the middle tones, which eyes do not see from one edge to the other",
);

/// Readings on a grid, row by row, any unit of light; all above zero.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// Columns.
    pub columns: usize,
    /// Levels, row by row.
    pub levels: Vec<f64>,
}

/// What a grid says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Evenness {
    /// Least level over greatest.
    pub least_over_most: f64,
    /// Least over mean (EN 12464-1: U0).
    pub least_over_mean: f64,
    /// Stops between least and greatest.
    pub stops: f64,
    /// Coefficient of variation.
    pub variation: f64,
}

/// A rectangle of the frame: parts 0 … 1 of its width and height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

impl Grid {
    /// From rows of readings; `None` unless all rows are as long, at least 2 × 2, and all above zero and finite.
    #[must_use]
    pub fn new(rows: &[Vec<f64>]) -> Option<Self> {
        let columns = rows.first()?.len();
        let sound = |r: &Vec<f64>| r.len() == columns && r.iter().all(|v| *v > 0.0 && v.is_finite());
        (rows.len() > 1 && columns > 1 && rows.iter().all(sound))
            .then(|| Self { columns, levels: rows.concat() })
    }

    /// Rows.
    #[must_use]
    pub fn rows(&self) -> usize {
        self.levels.len() / self.columns
    }

    fn ends(&self) -> (f64, f64) {
        let least = self.levels.iter().copied().fold(f64::INFINITY, f64::min);
        (least, self.levels.iter().copied().fold(0.0, f64::max))
    }

    /// How even it is.
    #[must_use]
    pub fn evenness(&self) -> Evenness {
        let (least, most) = self.ends();
        let n = self.levels.len() as f64;
        let mean = self.levels.iter().sum::<f64>() / n;
        let squares: f64 = self.levels.iter().map(|v| (v - mean) * (v - mean)).sum();
        Evenness {
            least_over_most: least / most,
            least_over_mean: least / mean,
            stops: math::log2(most / least),
            variation: math::sqrt(squares / (n - 1.0)) / mean,
        }
    }

    /// Light at a place given in parts of the frame, readings standing in the middles of their fields; straight between
    /// them, level beyond the outermost.
    #[must_use]
    pub fn at(&self, x: f64, y: f64) -> f64 {
        let along = |part: f64, n: usize| {
            let place = (part * n as f64 - 0.5).clamp(0.0, (n - 1) as f64);
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a place in the grid"
            )]
            let i = (place as usize).min(n.saturating_sub(2));
            (i, place - i as f64)
        };
        let ((i, u), (j, v)) = (along(x, self.columns), along(y, self.rows()));
        let level =
            |i: usize, j: usize| self.levels[j.min(self.rows() - 1) * self.columns + i.min(self.columns - 1)];
        let row = |j: usize| level(i, j) + (level(i + 1, j) - level(i, j)) * u;
        row(j) + (row(j + 1) - row(j)) * v
    }

    /// Stops between the lightest and the darkest place of a rectangle. Between four readings the surface is bilinear, so
    /// that both lie at a corner of the rectangle, at a reading, or where an edge passes one.
    #[must_use]
    pub fn stops_within(&self, place: Place) -> f64 {
        let across = stations(place.left, place.width, self.columns);
        self.stops_at(&across, &stations(place.top, place.height, self.rows()))
    }

    fn stops_at(&self, across: &[f64], down: &[f64]) -> f64 {
        let (mut least, mut most) = (f64::INFINITY, 0.0_f64);
        for y in down {
            for x in across {
                let e = self.at(*x, *y);
                least = least.min(e);
                most = most.max(e);
            }
        }
        math::log2(most / least)
    }

    /// The largest rectangle of the frame within a tolerance in stops, on a net of a twenty-fourth of the frame.
    #[must_use]
    pub fn usable(&self, tolerance: f64) -> Option<Place> {
        let net: Vec<f64> = (0..FIELDS * FIELDS)
            .map(|k| {
                let part = |i: usize| (i as f64 + 0.5) / FIELDS as f64;
                math::log2(self.at(part(k % FIELDS), part(k / FIELDS)))
            })
            .collect();
        let mut best: Option<(usize, [usize; 4])> = None;
        for top in 0..FIELDS {
            // Least and greatest of each column, from `top` down.
            let mut columns = [(f64::INFINITY, f64::NEG_INFINITY); FIELDS];
            for bottom in top..FIELDS {
                for (i, c) in columns.iter_mut().enumerate() {
                    let e = net[bottom * FIELDS + i];
                    *c = (c.0.min(e), c.1.max(e));
                }
                for left in 0..FIELDS {
                    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
                    for (right, c) in columns.iter().enumerate().skip(left) {
                        (low, high) = (low.min(c.0), high.max(c.1));
                        if high - low > tolerance {
                            break;
                        }
                        let area = (right - left + 1) * (bottom - top + 1);
                        if best.is_none_or(|b| area > b.0) {
                            best = Some((area, [left, top, right + 1, bottom + 1]));
                        }
                    }
                }
            }
        }
        let (_, [left, top, right, bottom]) = best?;
        let part = |i: usize| i as f64 / FIELDS as f64;
        Some(Place {
            left: part(left),
            top: part(top),
            width: part(right - left),
            height: part(bottom - top),
        })
    }

    /// Where a print of these parts of the frame lies most evenly, and the stops across it there. `None` if it is larger
    /// than the frame.
    #[must_use]
    pub fn best_place(&self, width: f64, height: f64) -> Option<(Place, f64)> {
        if !(width > 0.0 && height > 0.0 && width <= 1.0 && height <= 1.0) {
            return None;
        }
        let part = |k: usize| k as f64 / TRIES as f64;
        let tried = |long: f64, n: usize| -> Vec<(f64, Vec<f64>)> {
            let starts = (0..=TRIES).map(|k| (1.0 - long) * part(k));
            starts.map(|start| (start, stations(start, long, n))).collect()
        };
        let across = tried(width, self.columns);
        let mut best: Option<(Place, f64, f64)> = None;
        for (j, (top, down)) in tried(height, self.rows()).into_iter().enumerate() {
            for (i, (left, across)) in across.iter().enumerate() {
                let stops = self.stops_at(across, &down);
                // Of equal places the one nearer the middle.
                let off = (part(i) - 0.5).abs() + (part(j) - 0.5).abs();
                let cost = stops + 1e-3 * off;
                if best.is_none_or(|b| cost < b.1) {
                    best = Some((Place { left: *left, top, width, height }, cost, stops));
                }
            }
        }
        best.map(|(place, _, stops)| (place, stops))
    }

    /// What a film would have to hold back beyond its picture, at each reading, so that all get as much as the least:
    /// log₁₀(E/E least), row by row.
    #[must_use]
    pub fn film_density(&self) -> Vec<f64> {
        let (least, _) = self.ends();
        self.levels.iter().map(|e| math::log10(e / least)).collect()
    }
}

/// The ends of a stretch, and the readings between them; of `n` readings in all.
fn stations(from: f64, long: f64, n: usize) -> Vec<f64> {
    let readings = (0..n).map(|k| (k as f64 + 0.5) / n as f64);
    let within = readings.filter(|x| from < *x && *x < from + long);
    within.chain([from, from + long]).collect()
}

/// Fields of the net along a side.
const FIELDS: usize = 24;
/// Places tried along a side.
const TRIES: usize = 12;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use serde_json::Value;

    fn grids() -> Vec<(Value, Grid)> {
        let all: Value =
            serde_json::from_str(include_str!("../../../../../tests/reference/radiometry/radiometry.json"))
                .unwrap();
        let rows = all["evenness"]["vectors"].as_array().unwrap().clone();
        assert_eq!(rows.len(), 3);
        rows.into_iter()
            .map(|row| {
                let grid: Vec<Vec<f64>> = row["grid"]
                    .as_array()
                    .unwrap()
                    .iter()
                    .map(|r| r.as_array().unwrap().iter().map(|x| x.as_f64().unwrap()).collect())
                    .collect();
                let grid = Grid::new(&grid).unwrap();
                (row, grid)
            })
            .collect()
    }

    #[test]
    fn figures_of_three_grids() {
        for (row, grid) in grids() {
            let e = grid.evenness();
            let of = |key: &str| row[key].as_f64().unwrap();
            assert!((e.least_over_mean - of("U0_min_over_mean")).abs() < 1e-8);
            assert!((e.least_over_most - of("Ud_min_over_max")).abs() < 1e-8);
            assert!((e.stops - of("spread_stops_log2_max_over_min")).abs() < 1e-6);
            assert!((e.variation - of("cv_sample")).abs() < 1e-8);
            let most = grid.film_density().into_iter().fold(0.0, f64::max);
            assert!((most - of("spread_density")).abs() < 1e-6);
        }
    }

    #[test]
    fn no_point_of_a_fine_net_lies_beyond_what_is_found() {
        for (_, grid) in grids() {
            for (left, top, width, height) in
                [(0.0, 0.0, 1.0, 1.0), (0.13, 0.31, 0.42, 0.5), (0.7, 0.05, 0.1, 0.9)]
            {
                let found = grid.stops_within(Place { left, top, width, height });
                let net = (0..=120)
                    .flat_map(|j| (0..=120).map(move |i| (f64::from(i) / 120.0, f64::from(j) / 120.0)));
                let (least, most) = net.fold((f64::INFINITY, 0.0_f64), |(least, most), (u, v)| {
                    let e = grid.at(left + width * u, top + height * v);
                    (least.min(e), most.max(e))
                });
                let stops = math::log2(most / least);
                assert!(stops <= found + 1e-12 && found < stops + 0.01, "{found} {stops}");
            }
        }
    }

    #[test]
    fn a_hot_centre_has_a_small_usable_place() {
        let (_, hot) = &grids()[1];
        let place = hot.usable(0.1).unwrap();
        assert!(place.width < 0.9 && place.height < 0.9, "{place:?}");
        assert!(hot.stops_within(place) < 0.15);
        let (_, even) = &grids()[0];
        assert_eq!(even.usable(0.1).unwrap().width, 1.0);
        let (_, stops) = hot.best_place(0.4, 0.3).unwrap();
        assert!(stops < 0.6 * hot.evenness().stops, "{stops}");
        assert_eq!(hot.best_place(1.2, 0.3), None);
        assert_eq!(Grid::new(&[vec![1.0, 2.0], vec![1.0]]), None);
        assert_eq!(Grid::new(&[vec![1.0, 2.0], vec![0.0, 1.0]]), None);
    }
}
