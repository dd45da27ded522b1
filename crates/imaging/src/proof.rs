//! The proof picture: white, middle and black side by side, as a positive that goes the way of every picture.

use crate::fault::Fault;
use crate::film::{Format, Sink};
use crate::glyphs;
use crate::png_out::PngWriter;
use crate::tiff_out::{Page, TiffWriter};
use sorrel_core::exchange::proof::Patch;

/// Side of a patch as a part of an inch: 20 mm, enough for a densitometer and for eyes.
const SIDE: f64 = 20.0 / 25.4;
/// Height of the words as a part of the side.
const CAPITAL: u32 = 10;

/// Row `y` of the picture; `row` is three sides long.
fn draw(patches: &[Patch; 3], side: u32, y: u32, row: &mut [u16]) {
    let width = side as usize;
    let capital = side / CAPITAL;
    for (patch, part) in patches.iter().zip(row.chunks_mut(width)) {
        part.fill(patch.grey);
        // A mirrored or turned proof shows it by its words.
        let word = if patch.grey < 32_768 { u16::MAX } else { 0 };
        if let Some(within) = y.checked_sub(capital) {
            glyphs::ink_runs(patch.name, capital, within, &mut |from, to| {
                let place = |x: u32| ((x + capital) as usize).min(width);
                part[place(from)..place(to)].fill(word);
            });
        }
    }
}

/// Size of the picture at a resolution; `description` goes into the file.
fn page(ppi: u32, description: &str) -> (u32, Page) {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped just here")]
    let side = (SIDE * f64::from(ppi)).round().clamp(1.0, 2000.0) as u32;
    (side, Page { width: 3 * side, height: side, ppi, description: description.into() })
}

/// The finished file, 16-bit grey.
///
/// # Errors
/// [`Fault::Caller`] for a resolution outside 72…1440 per inch; otherwise what the writers meet.
pub fn file(patches: &[Patch; 3], description: &str, ppi: u32, format: Format) -> Result<Vec<u8>, Fault> {
    if !(72..=1440).contains(&ppi) {
        return Err(Fault::caller(
            "The pixels per inch of the proof are outside 72 to 1440.",
            "Give what your pictures have.",
        ));
    }
    let (side, page) = page(ppi, description);
    let rows = |sink: &mut dyn Sink| -> Result<(), Fault> {
        let mut row = vec![0; 3 * side as usize];
        for y in 0..side {
            draw(patches, side, y, &mut row);
            sink.row(&row)?;
        }
        sink.finish()
    };
    match format {
        Format::Tiff => {
            let mut writer = TiffWriter::new(Vec::new(), page)?;
            rows(&mut writer)?;
            Ok(writer.into_inner())
        }
        Format::Png => {
            let mut writer = PngWriter::new(Vec::new(), page)?;
            rows(&mut writer)?;
            Ok(writer.into_inner())
        }
    }
}
