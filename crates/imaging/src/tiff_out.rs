//! A small TIFF writer: 16-bit grey, uncompressed, everything known before the first byte.
//!
//! Directory first, strips of 64 rows, little-endian. Source of the tags: TIFF Revision 6.0 (1992), baseline
//! grey-scale images, p. 17 ff.; SampleFormat p. 80.

use crate::fault::{Fault, size_text};
use crate::film::Sink;
use std::io::Write;

/// Rows of a strip.
const STRIP_ROWS: u32 = 64;
/// A classic TIFF addresses 32 bits.
const MAX_BYTES: u64 = u32::MAX as u64;

/// What is written into a file besides its pixels.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Page {
    /// Width, pixels.
    pub width: u32,
    /// Height, pixels.
    pub height: u32,
    /// Pixels per inch.
    pub ppi: u32,
    /// What the file is; letters beyond ASCII lose their accents or become `?`.
    pub description: String,
}

/// Writes one TIFF.
pub struct TiffWriter<W: Write> {
    out: W,
    page: Page,
    strip: Vec<u8>,
    rows: u32,
}

struct Entry {
    tag: u16,
    kind: u16,
    count: u32,
    value: Vec<u8>,
}

impl Entry {
    fn short(tag: u16, value: u16) -> Self {
        Self { tag, kind: 3, count: 1, value: value.to_le_bytes().to_vec() }
    }

    fn longs(tag: u16, values: &[u32]) -> Self {
        let value = values.iter().flat_map(|v| v.to_le_bytes()).collect();
        Self { tag, kind: 4, count: u32::try_from(values.len()).unwrap_or(0), value }
    }

    fn text(tag: u16, text: &str) -> Self {
        let mut value: Vec<u8> = crate::glyphs::ascii(text).into_bytes();
        value.push(0);
        Self { tag, kind: 2, count: u32::try_from(value.len()).unwrap_or(0), value }
    }

    fn ratio(tag: u16, value: u32) -> Self {
        let value = [value.to_le_bytes(), 1_u32.to_le_bytes()].concat();
        Self { tag, kind: 5, count: 1, value }
    }
}

/// Head of the file with the directory; its length is where the pixels begin.
fn head(page: &Page) -> Result<Vec<u8>, Fault> {
    let strips = page.height.div_ceil(STRIP_ROWS);
    let line = u64::from(page.width) * 2;
    let build = |first: u64| -> Vec<u8> {
        #[allow(clippy::cast_possible_truncation, reason = "checked against MAX_BYTES before use")]
        let offsets: Vec<u32> =
            (0..strips).map(|i| (first + u64::from(i * STRIP_ROWS) * line) as u32).collect();
        #[allow(clippy::cast_possible_truncation, reason = "checked against MAX_BYTES before use")]
        let counts: Vec<u32> = (0..strips)
            .map(|i| (u64::from(STRIP_ROWS.min(page.height - i * STRIP_ROWS)) * line) as u32)
            .collect();
        let entries = [
            Entry::longs(254, &[0]),
            Entry::longs(256, &[page.width]),
            Entry::longs(257, &[page.height]),
            Entry::short(258, 16),
            Entry::short(259, 1),
            Entry::short(262, 1),
            Entry::text(270, &page.description),
            Entry::longs(273, &offsets),
            Entry::short(274, 1),
            Entry::short(277, 1),
            Entry::longs(278, &[STRIP_ROWS]),
            Entry::longs(279, &counts),
            Entry::ratio(282, page.ppi),
            Entry::ratio(283, page.ppi),
            Entry::short(296, 2),
            Entry::text(305, "Sorrel"),
            Entry::short(339, 1),
        ];
        let mut out = b"II*\0\x08\0\0\0".to_vec();
        let directory = 2 + 12 * entries.len() + 4;
        let mut behind: Vec<u8> = Vec::new();
        #[allow(clippy::cast_possible_truncation, reason = "17 entries")]
        out.extend((entries.len() as u16).to_le_bytes());
        for e in entries {
            out.extend(e.tag.to_le_bytes());
            out.extend(e.kind.to_le_bytes());
            out.extend(e.count.to_le_bytes());
            if e.value.len() <= 4 {
                let mut value = e.value;
                value.resize(4, 0);
                out.extend(value);
            } else {
                let at = u32::try_from(8 + directory + behind.len()).unwrap_or(u32::MAX);
                out.extend(at.to_le_bytes());
                behind.extend(e.value);
                // Every value begins on an even byte.
                if behind.len() % 2 == 1 {
                    behind.push(0);
                }
            }
        }
        out.extend(0_u32.to_le_bytes());
        out.extend(behind);
        out.resize(out.len().next_multiple_of(16), 0);
        out
    };
    let first = build(0).len() as u64;
    let bytes = first + line * u64::from(page.height);
    if bytes > MAX_BYTES {
        return Err(Fault::limit(
            format!("The TIFF would take {}; such a file holds at most 4 GB.", size_text(bytes)),
            "Choose fewer pixels per inch or a smaller print.",
        ));
    }
    Ok(build(first))
}

/// Size of the finished file in bytes.
///
/// # Errors
/// [`Fault::Limit`] above 4 GB.
pub fn file_size(page: &Page) -> Result<u64, Fault> {
    Ok(head(page)?.len() as u64 + u64::from(page.width) * u64::from(page.height) * 2)
}

/// A sink that did not take what was written.
pub(crate) fn unwritten(e: &std::io::Error) -> Fault {
    Fault::device(
        format!("The file could not be written ({e})."),
        "Free some space on this device and try again.",
    )
}

impl<W: Write> TiffWriter<W> {
    /// Writes the head.
    ///
    /// # Errors
    /// [`Fault::Limit`] above 4 GB, [`Fault::Device`] when `out` fails.
    pub fn new(mut out: W, page: Page) -> Result<Self, Fault> {
        out.write_all(&head(&page)?).map_err(|e| unwritten(&e))?;
        let strip = Vec::with_capacity(page.width as usize * 2 * STRIP_ROWS as usize);
        Ok(Self { out, page, strip, rows: 0 })
    }

    /// Gives the writer back.
    pub fn into_inner(self) -> W {
        self.out
    }

    fn flush(&mut self) -> Result<(), Fault> {
        self.out.write_all(&self.strip).map_err(|e| unwritten(&e))?;
        self.strip.clear();
        Ok(())
    }
}

impl<W: Write> Sink for TiffWriter<W> {
    fn row(&mut self, row: &[u16]) -> Result<(), Fault> {
        let start = self.strip.len();
        self.strip.resize(start + row.len() * 2, 0);
        let (bytes, _) = self.strip[start..].as_chunks_mut::<2>();
        for (b, v) in bytes.iter_mut().zip(row) {
            *b = v.to_le_bytes();
        }
        self.rows += 1;
        if self.rows.is_multiple_of(STRIP_ROWS) { self.flush() } else { Ok(()) }
    }

    fn finish(&mut self) -> Result<(), Fault> {
        self.flush()?;
        if self.rows != self.page.height {
            return Err(Fault::caller(
                format!("{} rows of {} were written.", self.rows, self.page.height),
                "Make the film again.",
            ));
        }
        self.out.flush().map_err(|e| unwritten(&e))
    }
}
