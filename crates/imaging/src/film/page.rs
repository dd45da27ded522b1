//! The film's rows: picture, marks and ground, mirrored once at the very end.

use super::codes::{CLEAR, Codes, FULL, raw};
use super::layout::{Layout, Rect, STRIP_PERCENT};
use crate::fault::Fault;
use crate::glyphs;
use crate::resample::Resampler;
use crate::source::Rows;
use std::ops::ControlFlow;

/// Takes finished rows, top to bottom.
pub trait Sink {
    /// One row of file values.
    ///
    /// # Errors
    /// Whatever keeps it from being written.
    fn row(&mut self, row: &[u16]) -> Result<(), Fault>;

    /// After the last row.
    ///
    /// # Errors
    /// Whatever keeps the end from being written.
    fn finish(&mut self) -> Result<(), Fault>;
}

/// Told how much is done (0…1); `Break` cancels.
pub type Progress<'p> = &'p mut dyn FnMut(f32) -> ControlFlow<()>;

/// A film that is being made.
pub struct Film<'a> {
    layout: Layout,
    picture: Resampler<'a>,
    codes: Codes,
    tones: Vec<f32>,
    /// Levels of light of a row; empty where nothing is evened.
    light: Vec<f32>,
    row: Vec<u16>,
    next: u32,
}

impl<'a> Film<'a> {
    /// From the rows of an upright picture, a layout made for it and the 4,096 ink codes of the correction.
    ///
    /// # Errors
    /// [`Fault::Caller`] for an odd correction.
    pub fn new(rows: Box<dyn Rows + 'a>, layout: Layout, correction: &[f32]) -> Result<Self, Fault> {
        Ok(Self::of(rows, layout, Codes::new(correction)?))
    }

    /// The same from a correction made ready.
    pub fn of(rows: Box<dyn Rows + 'a>, layout: Layout, codes: Codes) -> Self {
        let picture = Resampler::for_layout(rows, &layout);
        let width = layout.picture.width as usize;
        let light = vec![0.0; if codes.evens() { width } else { 0 }];
        let row = vec![0; layout.width as usize];
        Self { layout, picture, codes, tones: vec![0.0; width], light, row, next: 0 }
    }

    /// Its layout.
    pub fn layout(&self) -> &Layout {
        &self.layout
    }

    /// The next row of file values as it lies on the film, that is mirrored.
    ///
    /// # Errors
    /// Whatever the picture meets.
    pub fn next_row(&mut self) -> Result<&[u16], Fault> {
        let y = self.next;
        self.next += 1;
        marks(&self.layout, y, &mut self.row);
        let place = self.layout.picture;
        if (place.y..place.bottom()).contains(&y) {
            self.picture.next_row(&mut self.tones)?;
            let row = &mut self.row[place.x as usize..place.right() as usize];
            if self.codes.evens() {
                let v = ((y - place.y) as f32 + 0.5) / place.height as f32;
                self.codes.evened_row(&self.tones, v, &mut self.light, row);
            } else {
                self.codes.row(&self.tones, row);
            }
        }
        self.row.reverse();
        Ok(&self.row)
    }

    /// Writes all rows.
    ///
    /// # Errors
    /// Whatever reading and writing meet; [`Fault::Cancelled`] when `progress` breaks.
    pub fn write(mut self, sink: &mut dyn Sink, progress: Progress<'_>) -> Result<Layout, Fault> {
        let height = self.layout.height;
        for y in 0..height {
            if y % 32 == 0 && progress(y as f32 / height as f32).is_break() {
                return Err(Fault::Cancelled);
            }
            sink.row(self.next_row()?)?;
        }
        sink.finish()?;
        Ok(self.layout)
    }
}

/// Ground, strip, label and bar of one row, as seen on the print.
fn marks(layout: &Layout, y: u32, row: &mut [u16]) {
    let (ground, ink) = if layout.masked_border { (FULL, CLEAR) } else { (CLEAR, FULL) };
    row.fill(ground);
    let mut fill = |rect: &Rect, value: u16| {
        if (rect.y..rect.bottom()).contains(&y) {
            row[rect.x as usize..rect.right() as usize].fill(value);
        }
    };
    for (rect, percent) in layout.strip.iter().zip(STRIP_PERCENT) {
        fill(rect, raw(percent));
    }
    if let Some(bar) = &layout.bar {
        fill(bar, ink);
    }
    if let Some((from, to)) = layout.corner.and_then(|corner| corner.run(y)) {
        row[from as usize..to as usize].fill(ink);
    }
    let width = layout.width;
    for line in &layout.text {
        if let Some(within) = y.checked_sub(line.y) {
            glyphs::ink_runs(&line.text, line.capital, within, &mut |from, to| {
                let (from, to) = ((line.x + from).min(width), (line.x + to).min(width));
                row[from as usize..to as usize].fill(ink);
            });
        }
    }
}
