//! Grey of a picture: CIE Y of the profile connection space (D50), as f32 rows.
//!
//! A matrix profile is folded into three tables whose sum is Y, a grey profile into one; what was linearised,
//! weighted and added per pixel is then three look-ups. Profiles built on colour look-up tables go through them.

use crate::fault::Fault;
use crate::table::Table;
use std::sync::Arc;

/// How samples lie in memory.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Samples {
    /// One byte each.
    Eight,
    /// Two bytes each, high byte first.
    SixteenBig,
    /// Two bytes each, in the machine's order.
    SixteenNative,
}

impl Samples {
    /// Bytes of one sample.
    pub fn bytes(self) -> usize {
        match self {
            Self::Eight => 1,
            Self::SixteenBig | Self::SixteenNative => 2,
        }
    }

    /// Largest value.
    pub fn top(self) -> u16 {
        match self {
            Self::Eight => 255,
            Self::SixteenBig | Self::SixteenNative => u16::MAX,
        }
    }
}

/// How pixels lie in memory: interleaved, without padding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pixels {
    /// 1 grey, 2 grey and opacity, 3 RGB, 4 RGB and opacity.
    pub channels: usize,
    /// Kind of sample.
    pub samples: Samples,
}

impl Pixels {
    /// Bytes of one pixel.
    pub fn bytes(self) -> usize {
        self.channels * self.samples.bytes()
    }

    /// Is there colour, not only grey?
    pub fn colour(self) -> bool {
        self.channels >= 3
    }
}

/// From samples to Y.
#[derive(Clone)]
pub enum Tones {
    /// Y of each grey value.
    Grey(Vec<f32>),
    /// The parts of Y that red, green and blue contribute.
    Sum(Box<[Vec<f32>; 3]>),
    /// A profile's colour table.
    Table(Arc<Table>),
}

impl Tones {
    /// Folds one curve a channel (0..1 -> linear 0..1) and its share of Y into tables for `samples`.
    pub fn sum(samples: Samples, share: [f64; 3], curve: impl Fn(usize, f64) -> f64) -> Self {
        let table = |c: usize| {
            (0..=samples.top())
                .map(|i| {
                    let y = share[c] * curve(c, f64::from(i) / f64::from(samples.top()));
                    #[allow(clippy::cast_possible_truncation, reason = "pixels are f32")]
                    let y = y as f32;
                    if y.is_finite() { y } else { 0.0 }
                })
                .collect::<Vec<f32>>()
        };
        Self::Sum(Box::new([table(0), table(1), table(2)]))
    }

    /// Folds one curve (0..1 -> Y) into a table for `samples`.
    pub fn grey(samples: Samples, curve: impl Fn(f64) -> f64) -> Self {
        let Self::Sum(tables) =
            Self::sum(samples, [1.0, 0.0, 0.0], |c, v| if c == 0 { curve(v) } else { 0.0 })
        else {
            return Self::Grey(vec![0.0; usize::from(samples.top()) + 1]);
        };
        let [first, ..] = *tables;
        Self::Grey(first)
    }
}

/// Makes Y of rows of raw pixels.
#[derive(Clone)]
pub struct Greyer {
    pixels: Pixels,
    tones: Tones,
}

impl Greyer {
    /// For pixels of one kind. `tones` must be made for the same samples and colour.
    pub fn new(pixels: Pixels, tones: Tones) -> Self {
        Self { pixels, tones }
    }

    /// Kind of pixel it reads.
    pub fn pixels(&self) -> Pixels {
        self.pixels
    }

    /// Y of `out.len()` pixels in `raw`; opacity lays the picture over white.
    ///
    /// # Errors
    /// [`Fault::File`] when the profile's table cannot be applied.
    pub fn row(&self, raw: &[u8], out: &mut [f32]) -> Result<(), Fault> {
        let raw = &raw[..(out.len() * self.pixels.bytes()).min(raw.len())];
        match self.pixels.samples {
            Samples::Eight => self.fill::<1>(raw, out, |b| usize::from(b[0])),
            Samples::SixteenBig => self.fill::<2>(raw, out, |b| usize::from(u16::from_be_bytes(b))),
            Samples::SixteenNative => self.fill::<2>(raw, out, |b| usize::from(u16::from_ne_bytes(b))),
        }
    }

    #[inline(always)]
    fn fill<const B: usize>(
        &self,
        raw: &[u8],
        out: &mut [f32],
        value: impl Fn([u8; B]) -> usize + Copy,
    ) -> Result<(), Fault> {
        let (samples, _) = raw.as_chunks::<B>();
        let top = f32::from(self.pixels.samples.top());
        match (&self.tones, self.pixels.channels) {
            (Tones::Grey(table), 1) => grey::<1, B>(samples, table, out, value),
            (Tones::Grey(table), 2) => grey::<2, B>(samples, table, out, value),
            (Tones::Sum(tables), 3) => colour::<3, B>(samples, tables, out, value),
            (Tones::Sum(tables), 4) => colour::<4, B>(samples, tables, out, value),
            (Tones::Table(table), channels @ 3..=4) => {
                for (o, pixel) in out.iter_mut().zip(samples.chunks_exact(channels)) {
                    *o = table.y(std::array::from_fn(|c| value(pixel[c]) as f32 / top));
                }
            }
            _ => {
                return Err(Fault::file(
                    "The picture's channels do not fit its colour profile.",
                    "Export it again as RGB or grey.",
                ));
            }
        }
        let channels = self.pixels.channels;
        if channels == 2 || channels == 4 {
            for (o, pixel) in out.iter_mut().zip(samples.chunks_exact(channels)) {
                let opacity = value(pixel[channels - 1]) as f32 / top;
                *o = *o * opacity + (1.0 - opacity);
            }
        }
        Ok(())
    }
}

#[inline(always)]
fn grey<const C: usize, const B: usize>(
    samples: &[[u8; B]],
    table: &[f32],
    out: &mut [f32],
    value: impl Fn([u8; B]) -> usize,
) {
    let (pixels, _) = samples.as_chunks::<C>();
    for (o, p) in out.iter_mut().zip(pixels) {
        *o = table.get(value(p[0])).copied().unwrap_or(0.0);
    }
}

#[inline(always)]
fn colour<const C: usize, const B: usize>(
    samples: &[[u8; B]],
    tables: &[Vec<f32>; 3],
    out: &mut [f32],
    value: impl Fn([u8; B]) -> usize,
) {
    // One length for all three lets the compiler drop two of the bounds checks.
    let n = tables[0].len().min(tables[1].len()).min(tables[2].len());
    let (red, green, blue) = (&tables[0][..n], &tables[1][..n], &tables[2][..n]);
    let (pixels, _) = samples.as_chunks::<C>();
    for (o, p) in out.iter_mut().zip(pixels) {
        let (r, g, b) = (value(p[0]), value(p[1]), value(p[2]));
        *o = if r < n && g < n && b < n { red[r] + green[g] + blue[b] } else { 0.0 };
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(pixels: Pixels, tones: Tones, raw: &[u8]) -> Vec<f32> {
        let mut out = vec![9.0; raw.len() / pixels.bytes()];
        Greyer::new(pixels, tones).row(raw, &mut out).unwrap();
        out
    }

    #[test]
    fn three_tables_add_up() {
        let tones = Tones::sum(Samples::Eight, [0.2, 0.7, 0.1], |_, v| v * v);
        let y = rows(
            Pixels { channels: 3, samples: Samples::Eight },
            tones,
            &[255, 255, 255, 0, 0, 0, 51, 102, 204],
        );
        assert!((y[0] - 1.0).abs() < 1e-6 && y[1] == 0.0);
        assert!((y[2] - (0.2 * 0.04 + 0.7 * 0.16 + 0.1 * 0.64)).abs() < 1e-6);
    }

    #[test]
    fn both_byte_orders() {
        let tones = Tones::grey(Samples::SixteenBig, |v| v);
        let big = rows(Pixels { channels: 1, samples: Samples::SixteenBig }, tones.clone(), &[0x12, 0x34]);
        let native =
            rows(Pixels { channels: 1, samples: Samples::SixteenNative }, tones, &0x1234_u16.to_ne_bytes());
        assert_eq!(big, native);
        assert!((big[0] - 4660.0 / 65535.0).abs() < 1e-7);
    }

    #[test]
    fn opacity_lies_over_white() {
        let tones = Tones::grey(Samples::Eight, |v| v);
        let y = rows(Pixels { channels: 2, samples: Samples::Eight }, tones, &[0, 0, 0, 255, 0, 51]);
        assert_eq!(&y[..2], &[1.0, 0.0]);
        assert!((y[2] - 0.8).abs() < 1e-6);
    }

    #[test]
    fn a_short_row_or_wrong_channels_is_no_panic() {
        let tones = Tones::grey(Samples::Eight, |v| v);
        let mut out = [5.0; 4];
        Greyer::new(Pixels { channels: 1, samples: Samples::Eight }, tones.clone())
            .row(&[255], &mut out)
            .unwrap();
        assert_eq!(out[0], 1.0);
        let bad =
            Greyer::new(Pixels { channels: 3, samples: Samples::Eight }, tones).row(&[1, 2, 3], &mut out);
        assert!(bad.is_err());
    }
}
