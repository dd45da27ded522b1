//! A picture held whole as it was decoded, read as upright rows of Y.
//!
//! Nothing is turned in memory: upright rows are picked from the stored pixels, so no second full copy exists.

use super::{Orientation, Rows, past_the_end};
use crate::fault::Fault;
use crate::grey::Greyer;

/// Columns taken at once from a picture whose rows and columns change places: a cache line holds about that many
/// pixels, so each line is fetched once instead of once a column.
const COLUMNS: usize = 16;

/// Upright rows of a decoded picture.
pub(crate) struct Upright {
    bytes: Vec<u8>,
    width: usize,
    height: usize,
    orientation: Orientation,
    greyer: Greyer,
    next: usize,
    /// Columns `first..first + COLUMNS` of the stored picture as rows of Y.
    block: Vec<f32>,
    first: Option<usize>,
}

impl Upright {
    /// `bytes` holds the stored picture without padding; a short one reads as black at its end.
    pub(crate) fn new(bytes: Vec<u8>, size: (u32, u32), orientation: Orientation, greyer: Greyer) -> Self {
        let (width, height) = (size.0 as usize, size.1 as usize);
        Self { bytes, width, height, orientation, greyer, next: 0, block: Vec::new(), first: None }
    }

    fn column(&mut self, column: usize, out: &mut [f32]) -> Result<(), Fault> {
        let first = column - column % COLUMNS;
        if self.first != Some(first) {
            let many = COLUMNS.min(self.width - first);
            self.block.resize(COLUMNS * self.height, 0.0);
            let mut part = [0.0_f32; COLUMNS];
            let pixel = self.greyer.pixels().bytes();
            for row in 0..self.height {
                let start = (row * self.width + first) * pixel;
                let raw = self.bytes.get(start..start + many * pixel).unwrap_or(&[]);
                self.greyer.row(raw, &mut part[..many])?;
                for (i, y) in part[..many].iter().enumerate() {
                    self.block[i * self.height + row] = *y;
                }
            }
            self.first = Some(first);
        }
        let start = (column - first) * self.height;
        out.copy_from_slice(&self.block[start..start + self.height]);
        Ok(())
    }
}

impl Rows for Upright {
    fn size(&self) -> (u32, u32) {
        #[allow(clippy::cast_possible_truncation, reason = "made from u32")]
        self.orientation.size((self.width as u32, self.height as u32))
    }

    fn next_row(&mut self, out: &mut [f32]) -> Result<(), Fault> {
        let (width, height) = self.size();
        if self.next >= height as usize {
            return Err(past_the_end());
        }
        let out = &mut out[..width as usize];
        let row = if self.orientation.reverses_down() { height as usize - 1 - self.next } else { self.next };
        self.next += 1;
        if self.orientation.transposes() {
            self.column(row, out)?;
        } else {
            let pixel = self.greyer.pixels().bytes();
            let start = row * self.width * pixel;
            let raw = self.bytes.get(start..start + self.width * pixel).unwrap_or(&[]);
            self.greyer.row(raw, out)?;
        }
        if self.orientation.reverses_across() {
            out.reverse();
        }
        Ok(())
    }
}

#[cfg(test)]
#[allow(clippy::cast_possible_truncation, reason = "test data are small")]
mod tests {
    use super::*;
    use crate::grey::{Pixels, Samples, Tones};

    /// The eight pictures of an L: a 2 × 3 upright picture with values 1..6, stored as each orientation says.
    /// Source of the placements: Exif 2.32, tag 274, "the 0th row / the 0th column is the visual …".
    #[test]
    fn all_eight_orientations() {
        let upright = [[1, 2], [3, 4], [5, 6]];
        let stored: [(u16, usize, Vec<u8>); 8] = [
            (1, 2, vec![1, 2, 3, 4, 5, 6]),
            (2, 2, vec![2, 1, 4, 3, 6, 5]),
            (3, 2, vec![6, 5, 4, 3, 2, 1]),
            (4, 2, vec![5, 6, 3, 4, 1, 2]),
            (5, 3, vec![1, 3, 5, 2, 4, 6]),
            (6, 3, vec![2, 4, 6, 1, 3, 5]),
            (7, 3, vec![6, 4, 2, 5, 3, 1]),
            (8, 3, vec![5, 3, 1, 6, 4, 2]),
        ];
        for (value, width, bytes) in stored {
            let greyer = Greyer::new(
                Pixels { channels: 1, samples: Samples::Eight },
                Tones::grey(Samples::Eight, |v| v * 255.0),
            );
            let size = (u32::try_from(width).unwrap(), u32::try_from(bytes.len() / width).unwrap());
            let mut rows = Upright::new(bytes, size, Orientation::new(value), greyer);
            assert_eq!(rows.size(), (2, 3), "{value}");
            for expected in upright {
                let mut row = [0.0; 2];
                rows.next_row(&mut row).unwrap();
                assert_eq!(row.map(|v| v.round() as i32), expected, "{value}");
            }
            assert!(rows.next_row(&mut [0.0; 2]).is_err());
        }
    }

    #[test]
    fn wide_turned_pictures_cross_block_borders() {
        let (w, h) = (53_usize, 7_usize);
        let bytes: Vec<u8> = (0..w * h).map(|i| (i % 251) as u8).collect();
        let greyer = Greyer::new(
            Pixels { channels: 1, samples: Samples::Eight },
            Tones::grey(Samples::Eight, |v| v * 255.0),
        );
        let mut rows = Upright::new(bytes.clone(), (53, 7), Orientation::new(8), greyer);
        let mut row = vec![0.0; h];
        for y in 0..w {
            rows.next_row(&mut row).unwrap();
            for (x, v) in row.iter().enumerate() {
                assert_eq!(v.round() as u8, bytes[x * w + (w - 1 - y)]);
            }
        }
    }
}
