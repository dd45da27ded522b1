//! The scan as it is worked on: read once, row by row, kept as 16-bit values of at most twelve million pixels.
//!
//! A scan at 600 per inch is finer than any patch needs. Averaging whole blocks of pixels while it is read keeps memory
//! at 24 MB and makes a second decode unnecessary; scans below twelve million pixels are kept as they are.

use crate::fault::Fault;
use crate::film::Progress;
use crate::source::Rows;
use crate::tone::lightness;
use sorrel_core::scan::Meaning;

/// Pixels that are kept at most.
const MOST_PIXELS: u64 = 12_000_000;
/// Values this near to 0 or 65535 are taken for clipped; paper and dirt never are as black or white as that.
const CLIPPED: (u16, u16) = (16, 65_490);

/// A scan, reduced by a whole factor.
#[derive(Clone, Debug)]
pub struct Reduced {
    /// Width, pixels.
    pub width: usize,
    /// Height, pixels.
    pub height: usize,
    /// Pixels of the file along one side of a pixel here.
    pub factor: usize,
    /// What the values are.
    pub meaning: Meaning,
    values: Vec<u16>,
}

impl Reduced {
    /// Reads a picture. Its rows must be Y for [`Meaning::Lightness`], plain code for [`Meaning::Code`].
    ///
    /// # Errors
    /// Whatever reading meets; [`Fault::Limit`] when memory is not given, [`Fault::Cancelled`] when `progress` breaks.
    pub fn read(
        mut rows: Box<dyn Rows + '_>,
        meaning: Meaning,
        progress: Progress<'_>,
    ) -> Result<Self, Fault> {
        let (full_width, full_height) = rows.size();
        let mut factor = 1;
        while u64::from(full_width / factor) * u64::from(full_height / factor) > MOST_PIXELS {
            factor += 1;
        }
        let (width, height) = ((full_width / factor).max(1) as usize, (full_height / factor).max(1) as usize);
        let factor = factor as usize;
        let mut values = Vec::new();
        values.try_reserve_exact(width * height).map_err(|_| {
            Fault::limit(
                "The scan takes more memory than this device gave.",
                "Close other pages, or scan at 300 per inch.",
            )
        })?;
        let mut row = vec![0.0_f32; full_width as usize];
        let mut sum = vec![0.0_f32; width];
        let part = 1.0 / (factor * factor) as f32;
        for y in 0..height {
            if y % 32 == 0 && progress(y as f32 / height as f32).is_break() {
                return Err(Fault::Cancelled);
            }
            sum.fill(0.0);
            for _ in 0..factor.min(full_height as usize) {
                rows.next_row(&mut row)?;
                for (s, block) in sum.iter_mut().zip(row.chunks_exact(factor)) {
                    *s += block.iter().sum::<f32>();
                }
            }
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0..=65535")]
            let code = |v: f32| (v.clamp(0.0, 1.0) * 65_535.0 + 0.5) as u16;
            match meaning {
                Meaning::Lightness => values.extend(sum.iter().map(|s| code(lightness(s * part)))),
                Meaning::Code => values.extend(sum.iter().map(|s| code(s * part))),
            }
        }
        Ok(Self { width, height, factor, meaning, values })
    }

    /// Value (0…1) of a pixel; what lies outside is the nearest one inside.
    pub fn at(&self, x: isize, y: isize) -> f64 {
        let x = x.clamp(0, self.width.cast_signed() - 1).cast_unsigned();
        let y = y.clamp(0, self.height.cast_signed() - 1).cast_unsigned();
        self.values.get(y * self.width + x).map_or(0.0, |v| f64::from(*v) / 65_535.0)
    }

    /// Value (0…1) at a place, between pixels by straight lines. The middle of the first pixel is (0.5, 0.5).
    pub fn between(&self, (x, y): (f64, f64)) -> f64 {
        let (x, y) = (x - 0.5, y - 0.5);
        let (fx, fy) = (x.floor(), y.floor());
        #[allow(clippy::cast_possible_truncation, reason = "clamped when the pixel is taken")]
        let (i, j) = (fx as isize, fy as isize);
        let (s, t) = (x - fx, y - fy);
        let line = |j| self.at(i, j) * (1.0 - s) + self.at(i.saturating_add(1), j) * s;
        line(j) * (1.0 - t) + line(j.saturating_add(1)) * t
    }

    /// The values of columns `from..to` of a row; empty outside.
    pub fn part(&self, y: usize, from: usize, to: usize) -> &[u16] {
        let start = y.saturating_mul(self.width);
        if y >= self.height || from >= to || to > self.width {
            return &[];
        }
        self.values.get(start + from..start + to).unwrap_or(&[])
    }

    /// Is a value at the end of the scale?
    pub fn is_clipped(value: u16) -> bool {
        value <= CLIPPED.0 || value >= CLIPPED.1
    }

    /// Is a place inside?
    pub fn holds(&self, (x, y): (f64, f64)) -> bool {
        x >= 0.0 && y >= 0.0 && x <= self.width as f64 && y <= self.height as f64
    }

    /// A small copy with at most `side` pixels along its longer side, and its factor.
    pub fn small(&self, side: usize) -> (Small, usize) {
        let factor = self.width.max(self.height).div_ceil(side.max(1)).max(1);
        let (width, height) = ((self.width / factor).max(1), (self.height / factor).max(1));
        let mut values = vec![0.0_f32; width * height];
        let part = 1.0 / (65_535.0 * (factor * factor) as f32);
        for (y, out) in values.chunks_exact_mut(width).enumerate() {
            for row in y * factor..((y + 1) * factor).min(self.height) {
                for (o, block) in out.iter_mut().zip(self.part(row, 0, self.width).chunks(factor)) {
                    *o += block.iter().map(|v| f32::from(*v)).sum::<f32>() * part;
                }
            }
        }
        (Small { width, height, values }, factor)
    }
}

/// A small picture of f32 values.
#[derive(Clone, Debug)]
pub struct Small {
    /// Width, pixels.
    pub width: usize,
    /// Height, pixels.
    pub height: usize,
    /// Values (0…1), row by row.
    pub values: Vec<f32>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo_picture::DemoPicture;
    use std::ops::ControlFlow;

    #[test]
    fn values_are_lightness_and_places_count_from_edges() {
        let rows = Box::new(DemoPicture::new(60, 40));
        let picture = Reduced::read(rows, Meaning::Lightness, &mut |_| ControlFlow::Continue(())).unwrap();
        let mut plain = DemoPicture::new(60, 40);
        let mut row = [0.0; 60];
        plain.next_row(&mut row).unwrap();
        for (x, y) in row.iter().enumerate() {
            let expected = f64::from(lightness(*y));
            assert!((picture.at(x.cast_signed(), 0) - expected).abs() < 1e-5);
            assert!((picture.between((x as f64 + 0.5, 0.5)) - expected).abs() < 1e-5);
        }
        assert_eq!(picture.at(-5, -5), picture.at(0, 0));
        assert!(picture.between((f64::NAN, 1.0)).is_nan() || picture.between((f64::NAN, 1.0)) >= 0.0);
        assert!(picture.holds((60.0, 40.0)) && !picture.holds((60.1, 4.0)));
        assert_eq!(picture.part(3, 10, 20).len(), 10);
        assert!(picture.part(40, 0, 5).is_empty() && picture.part(0, 50, 61).is_empty());
    }

    #[test]
    fn can_be_cancelled() {
        let rows = Box::new(DemoPicture::new(60, 40));
        assert_eq!(
            Reduced::read(rows, Meaning::Code, &mut |_| ControlFlow::Break(())).unwrap_err(),
            Fault::Cancelled
        );
    }
}
