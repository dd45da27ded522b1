//! A PNG writer for film: 16-bit grey, quick, and the same bytes however the work is divided.
//!
//! Rows are filtered, packed in bands of 256 that know nothing of each other, and written as one IDAT chunk a band.
//! Source: W3C Portable Network Graphics, third edition (filters 9, chunks 11).

use crate::deflate::{Adler, END_OF_STREAM, pack};
use crate::fault::Fault;
use crate::film::Sink;
use crate::tiff_out::{Page, unwritten};
use std::io::Write;

/// Rows of a band.
const BAND_ROWS: u32 = 256;
/// Bytes of a pixel.
const PIXEL: usize = 2;
/// Every how many bytes a row is looked at when its filter is chosen: whole 64-byte pieces, one in four.
const LOOK: usize = 256;

/// Writes one PNG.
pub struct PngWriter<W: Write> {
    out: W,
    page: Page,
    /// Bytes of the row before and of this row, with a pixel of zeros in front.
    before: Vec<u8>,
    row: Vec<u8>,
    filtered: Vec<u8>,
    packed: Vec<u8>,
    adler: Adler,
    rows: u32,
}

/// Size that no finished file exceeds, bytes: noise takes 8 bits a byte, one byte in 256 may take 9, and each block of
/// 64 kB has a head of less than 300 bytes; together below 1/64.
pub fn largest_size(page: &Page) -> u64 {
    let raw = u64::from(page.height) * (u64::from(page.width) * PIXEL as u64 + 1);
    raw + raw / 64 + 65_536
}

impl<W: Write> PngWriter<W> {
    /// Writes everything before the pixels.
    ///
    /// # Errors
    /// [`Fault::Device`] when `out` fails.
    pub fn new(mut out: W, page: Page) -> Result<Self, Fault> {
        let mut head = b"\x89PNG\r\n\x1a\n".to_vec();
        let mut size = [page.width.to_be_bytes(), page.height.to_be_bytes()].concat();
        // 16 bits, grey, deflate, adaptive filters, not interlaced.
        size.extend([16, 0, 0, 0, 0]);
        chunk(*b"IHDR", &size, &mut head);
        let metre = per_metre(page.ppi).to_be_bytes();
        chunk(*b"pHYs", &[metre.as_slice(), &metre, &[1]].concat(), &mut head);
        chunk(*b"tEXt", b"Software\0Sorrel", &mut head);
        if !page.description.is_empty() {
            let text = [b"Description\0", crate::glyphs::ascii(&page.description).as_bytes()].concat();
            chunk(*b"tEXt", &text, &mut head);
        }
        out.write_all(&head).map_err(|e| unwritten(&e))?;
        let bytes = page.width as usize * PIXEL;
        Ok(Self {
            out,
            before: vec![0; PIXEL + bytes],
            row: vec![0; PIXEL + bytes],
            filtered: Vec::new(),
            // Head of the zlib stream: deflate, 32 kB window, no dictionary (RFC 1950).
            packed: vec![0x78, 0x01],
            adler: Adler::default(),
            rows: 0,
            page,
        })
    }

    /// Gives the writer back.
    pub fn into_inner(self) -> W {
        self.out
    }

    fn band(&mut self) -> Result<(), Fault> {
        if !self.filtered.is_empty() {
            self.adler.add(&self.filtered);
            pack(&self.filtered, &mut self.packed);
            self.filtered.clear();
        }
        self.idat()
    }

    fn idat(&mut self) -> Result<(), Fault> {
        if self.packed.is_empty() {
            return Ok(());
        }
        let mut out = Vec::with_capacity(self.packed.len() + 12);
        chunk(*b"IDAT", &self.packed, &mut out);
        self.packed.clear();
        self.out.write_all(&out).map_err(|e| unwritten(&e))
    }
}

impl<W: Write> Sink for PngWriter<W> {
    fn row(&mut self, row: &[u16]) -> Result<(), Fault> {
        std::mem::swap(&mut self.before, &mut self.row);
        let (bytes, _) = self.row[PIXEL..].as_chunks_mut::<PIXEL>();
        for (b, v) in bytes.iter_mut().zip(row) {
            *b = v.to_be_bytes();
        }
        filter(&self.before, &self.row, &mut self.filtered);
        self.rows += 1;
        if self.rows.is_multiple_of(BAND_ROWS) { self.band() } else { Ok(()) }
    }

    fn finish(&mut self) -> Result<(), Fault> {
        if self.rows != self.page.height {
            return Err(Fault::caller(
                format!("{} rows of {} were written.", self.rows, self.page.height),
                "Make the film again.",
            ));
        }
        self.band()?;
        self.packed.extend(END_OF_STREAM);
        self.packed.extend(self.adler.value().to_be_bytes());
        self.idat()?;
        let mut end = Vec::new();
        chunk(*b"IEND", &[], &mut end);
        self.out.write_all(&end).map_err(|e| unwritten(&e))?;
        self.out.flush().map_err(|e| unwritten(&e))
    }
}

/// Pixels per metre, rounded: PNG can say no inches.
fn per_metre(ppi: u32) -> u32 {
    (ppi * 10_000 + 127) / 254
}

fn chunk(name: [u8; 4], data: &[u8], out: &mut Vec<u8>) {
    out.extend(u32::try_from(data.len()).unwrap_or(0).to_be_bytes());
    let start = out.len();
    out.extend(name);
    out.extend(data);
    let crc = crc32fast::hash(&out[start..]);
    out.extend(crc.to_be_bytes());
}

/// Filters that are tried: "up" is best where rows repeat (margins), Paeth and average in pictures.
#[derive(Clone, Copy)]
enum Kind {
    Sub,
    Up,
    Paeth,
}

/// Chooses the filter with the smallest sum of absolute values on a part of the row and adds the filtered row.
fn filter(before: &[u8], row: &[u8], out: &mut Vec<u8>) {
    let n = row.len() - PIXEL;
    let mut piece = [0_u8; 64];
    let mut costs = [0_u32; 3];
    let step = if n > 4 * LOOK { LOOK } else { 64 };
    for start in (0..n.saturating_sub(63)).step_by(step) {
        let part = &row[start..start + PIXEL + 64];
        let above = &before[start..start + PIXEL + 64];
        for (cost, kind) in costs.iter_mut().zip([Kind::Sub, Kind::Up, Kind::Paeth]) {
            apply(kind, above, part, &mut piece);
            *cost += piece.iter().map(|b| u32::from(b.cast_signed().unsigned_abs())).sum::<u32>();
        }
    }
    let [sub, up, paeth] = costs;
    let (kind, number) = if up <= sub && up <= paeth {
        (Kind::Up, 2)
    } else if sub <= paeth {
        (Kind::Sub, 1)
    } else {
        (Kind::Paeth, 4)
    };
    out.push(number);
    let start = out.len();
    out.resize(start + n, 0);
    apply(kind, before, row, &mut out[start..]);
}

/// Filters a row; `row` and `above` carry one pixel more in front than `out` is long.
#[inline(always)]
fn apply(kind: Kind, above: &[u8], row: &[u8], out: &mut [u8]) {
    let n = out.len();
    let (now, left) = (&row[PIXEL..PIXEL + n], &row[..n]);
    let (up, corner) = (&above[PIXEL..PIXEL + n], &above[..n]);
    match kind {
        Kind::Sub => {
            for i in 0..n {
                out[i] = now[i].wrapping_sub(left[i]);
            }
        }
        Kind::Up => {
            for i in 0..n {
                out[i] = now[i].wrapping_sub(up[i]);
            }
        }
        Kind::Paeth => {
            for i in 0..n {
                out[i] = now[i].wrapping_sub(paeth(left[i], up[i], corner[i]));
            }
        }
    }
}

/// The predictor of the standard (9.4), without branches so that it becomes SIMD.
#[inline(always)]
fn paeth(a: u8, b: u8, c: u8) -> u8 {
    let (x, y, z) = (i16::from(a), i16::from(b), i16::from(c));
    let (pa, pb, pc) = ((y - z).abs(), (x - z).abs(), (x + y - 2 * z).abs());
    let first = if pb <= pc { b } else { c };
    if pa <= pb && pa <= pc { a } else { first }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn resolution_is_rounded_like_the_vectors() {
        // 360 and 720 per inch in pixels per metre: 14173 and 28346 (exact inch of 25.4 mm, rounded).
        assert_eq!((per_metre(360), per_metre(720), per_metre(1440)), (14_173, 28_346, 56_693));
    }

    #[test]
    fn paeth_agrees_with_the_text_of_the_standard() {
        for a in (0..=255).step_by(5) {
            for b in (0..=255).step_by(3) {
                for c in (0..=255).step_by(7) {
                    let p = i32::from(a) + i32::from(b) - i32::from(c);
                    let distance = |v: u8| (p - i32::from(v)).abs();
                    let expected = if distance(a) <= distance(b) && distance(a) <= distance(c) {
                        a
                    } else if distance(b) <= distance(c) {
                        b
                    } else {
                        c
                    };
                    assert_eq!(paeth(a, b, c), expected);
                }
            }
        }
    }
}
