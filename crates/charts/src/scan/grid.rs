//! Any other chart or grey scale: rows, columns, four corners and the order of its patches.

use super::area::{self, ALL, AreaReading};
use sorrel_core::scan::Refusal;
use sorrel_core::scan::order::INNER;
use sorrel_core::scan::{Homography, Order, Point};
use sorrel_core::tone::chart_plan::Area;
use sorrel_imaging::reduced::Reduced;

/// Most patches of a chart.
pub const MOST: usize = 4000;

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
    /// From columns and rows to pixels of the reduced picture; `None` for corners that form no figure.
    pub fn map(&self) -> Option<Homography> {
        let (w, h) = (self.columns as f64, self.rows as f64);
        Homography::new(&[(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)], &self.corners)
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
        let map = self.map().ok_or(Refusal::Skewed)?;
        let back = map.inverse().ok_or(Refusal::Skewed)?;
        (0..count)
            .map(|i| {
                let (c, r) = self.order.place(columns, rows, i);
                let cell = Area { x: c as f64, y: r as f64, width: 1.0, height: 1.0 };
                area::read(picture, &map, &back, cell.inner(INNER), ALL).ok_or(Refusal::Cropped)
            })
            .collect()
    }
}
