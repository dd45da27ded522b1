//! Any other chart or grey scale: rows, columns, four corners, the order of its patches, and what its numbers mean.

use super::area::{self, ALL, AreaReading};
use sorrel_core::scan::Refusal;
use sorrel_core::scan::{Homography, Point};
use sorrel_core::tone::chart_plan::Area;
use sorrel_imaging::reduced::Reduced;

/// Part of a cell's side that is read when nothing is known about gaps: the middle 60 %.
pub const INNER: f64 = 0.6;
/// Most patches of a chart.
pub const MOST: usize = 4000;

/// In which order the patches are counted, beginning at the upper left one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Order {
    /// Along the rows, each from the left.
    #[default]
    Rows,
    /// Down the columns, each from the top.
    Columns,
    /// Along the rows, every other one from the right.
    RowsToAndFro,
    /// Down the columns, every other one from the bottom.
    ColumnsToAndFro,
}

/// What the numbers of a chart mean.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Numbers {
    /// Ink in percent: 0 clear film, 100 full ink.
    #[default]
    InkPercent,
    /// Grey of the positive picture: 0 black, 255 white; the film is its plain inversion.
    GreyOfPositive,
    /// Grey of the film file: 0 full ink, 255 clear film.
    GreyOfFilm,
}

impl Numbers {
    /// Ink code (0…1) of a number; `None` outside its range.
    pub fn code(self, number: f64) -> Option<f64> {
        let code = match self {
            Self::InkPercent => number / 100.0,
            Self::GreyOfPositive => number / 255.0,
            Self::GreyOfFilm => 1.0 - number / 255.0,
        };
        (0.0..=1.0).contains(&code).then_some(code)
    }
}

/// Where a regular field of patches lies in a picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grid {
    /// Outer corners of the field: upper left, upper right, lower right, lower left, in pixels of the reduced picture.
    pub corners: [Point; 4],
    /// Columns.
    pub columns: usize,
    /// Rows.
    pub rows: usize,
    /// How patches are counted.
    pub order: Order,
}

impl Grid {
    /// Column and row of a patch.
    pub fn place(&self, patch: usize) -> (usize, usize) {
        let (columns, rows) = (self.columns.max(1), self.rows.max(1));
        match self.order {
            Order::Rows => (patch % columns, patch / columns),
            Order::Columns => (patch / rows, patch % rows),
            Order::RowsToAndFro => {
                let (c, r) = (patch % columns, patch / columns);
                (if r % 2 == 1 { columns - 1 - c } else { c }, r)
            }
            Order::ColumnsToAndFro => {
                let (c, r) = (patch / rows, patch % rows);
                (c, if c % 2 == 1 { rows - 1 - r } else { r })
            }
        }
    }

    /// Reads the first `count` patches in their order.
    ///
    /// # Errors
    /// [`Refusal::Counts`] when there are not so many, [`Refusal::Skewed`] for corners that form no figure,
    /// [`Refusal::Cropped`] when a patch lies outside the picture.
    pub fn read(&self, picture: &Reduced, count: usize) -> Result<Vec<AreaReading>, Refusal> {
        let (columns, rows) = (self.columns, self.rows);
        if columns == 0 || rows == 0 || columns.saturating_mul(rows) > MOST || count > columns * rows {
            return Err(Refusal::Counts);
        }
        let (w, h) = (columns as f64, rows as f64);
        let from = [(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)];
        let map = Homography::new(&from, &self.corners).ok_or(Refusal::Skewed)?;
        let back = map.inverse().ok_or(Refusal::Skewed)?;
        (0..count)
            .map(|i| {
                let (c, r) = self.place(i);
                let cell = Area { x: c as f64, y: r as f64, width: 1.0, height: 1.0 };
                area::read(picture, &map, &back, cell.inner(INNER), ALL).ok_or(Refusal::Cropped)
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_follow_the_order() {
        let grid = |order| Grid { corners: [(0.0, 0.0); 4], columns: 3, rows: 2, order };
        let places = |order| (0..6).map(|i| grid(order).place(i)).collect::<Vec<_>>();
        assert_eq!(places(Order::Rows), [(0, 0), (1, 0), (2, 0), (0, 1), (1, 1), (2, 1)]);
        assert_eq!(places(Order::Columns), [(0, 0), (0, 1), (1, 0), (1, 1), (2, 0), (2, 1)]);
        assert_eq!(places(Order::RowsToAndFro), [(0, 0), (1, 0), (2, 0), (2, 1), (1, 1), (0, 1)]);
        assert_eq!(places(Order::ColumnsToAndFro), [(0, 0), (0, 1), (1, 1), (1, 0), (2, 0), (2, 1)]);
    }

    #[test]
    fn numbers_become_ink_codes() {
        assert_eq!(Numbers::InkPercent.code(25.0), Some(0.25));
        assert_eq!(Numbers::GreyOfPositive.code(255.0), Some(1.0));
        assert_eq!(Numbers::GreyOfFilm.code(255.0), Some(0.0));
        for odd in [-1.0, 300.0, f64::NAN] {
            assert_eq!(Numbers::InkPercent.code(odd), None);
        }
    }
}
