//! The proof picture: white, middle and black side by side, as a positive that goes the way of every picture.

use crate::fault::Fault;
use crate::film::Sink;
use crate::glyphs;
use crate::tiff_out::Page;
pub use sorrel_core::exchange::proof::Patch;

/// The patches from left to right: place and name.
pub const NAMES: [(usize, &str); 3] = [(0, "White"), (1, "Middle"), (2, "Black")];
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

/// The page of the picture at a resolution; `description` goes into the file.
///
/// # Errors
/// [`Fault::Caller`] for a resolution outside 72…1440 per inch.
pub fn page(ppi: u32, description: &str) -> Result<Page, Fault> {
    if !(72..=1440).contains(&ppi) {
        return Err(Fault::caller(
            "The pixels per inch of the proof are outside 72 to 1440.",
            "Give what your pictures have.",
        ));
    }
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "57 to 1134")]
    let side = (SIDE * f64::from(ppi)).round() as u32;
    Ok(Page { width: 3 * side, height: side, ppi, description: description.into() })
}

/// Writes all rows of a picture of that height.
///
/// # Errors
/// What the sink meets.
pub fn write(patches: &[Patch; 3], height: u32, sink: &mut dyn Sink) -> Result<(), Fault> {
    let mut row = vec![0; 3 * height as usize];
    for y in 0..height {
        draw(patches, height, y, &mut row);
        sink.row(&row)?;
    }
    sink.finish()
}
