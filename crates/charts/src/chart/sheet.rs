//! A film of plain areas and lines of text, row by row, mirrored once at the very end like every film.

use sorrel_core::tone::chart_plan::Area;
use sorrel_imaging::fault::Fault;
use sorrel_imaging::film::{Progress, Rect, Sink, TextLine};
use sorrel_imaging::glyphs;

/// Millimetres in an inch, exact (international yard and pound agreement, 1959).
const MM_PER_INCH: f64 = 25.4;

/// A film, described as the print shows it. Later areas lie over earlier ones, text over all.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// Pixels per inch.
    pub ppi: u32,
    /// Width, pixels.
    pub width: u32,
    /// Height, pixels.
    pub height: u32,
    ground: u16,
    areas: Vec<(Rect, u16)>,
    text: Vec<(TextLine, u16)>,
}

impl Sheet {
    /// An even sheet of `size` mm with the file value `ground`.
    ///
    /// # Errors
    /// [`Fault::Caller`] for a resolution outside 240…1440 per inch.
    pub fn new(size: (f64, f64), ppi: u32, ground: u16) -> Result<Self, Fault> {
        if !(240..=1440).contains(&ppi) {
            return Err(Fault::caller(
                "The pixels per inch of the film are outside 240 to 1440.",
                "Give what the printer's driver takes.",
            ));
        }
        let mut sheet = Self { ppi, width: 0, height: 0, ground, areas: Vec::new(), text: Vec::new() };
        (sheet.width, sheet.height) = (sheet.px(size.0).max(1), sheet.px(size.1).max(1));
        Ok(sheet)
    }

    /// Whole pixels of a place, `round(mm / 25.4 · ppi)`.
    pub fn px(&self, mm: f64) -> u32 {
        let px = (mm / MM_PER_INCH * f64::from(self.ppi)).round();
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped just here")]
        let px = px.clamp(0.0, f64::from(u32::MAX >> 4)) as u32;
        px
    }

    /// Fills an area. Each edge is rounded for itself, so that areas which touch in mm touch in pixels.
    pub fn fill(&mut self, area: Area, value: u16) {
        let (x, right) = (self.px(area.x).min(self.width), self.px(area.x + area.width).min(self.width));
        let (y, bottom) = (self.px(area.y).min(self.height), self.px(area.y + area.height).min(self.height));
        self.areas.push((Rect { x, y, width: right - x, height: bottom - y }, value));
    }

    /// Writes a line with its upper left corner at (x, y), cut at `room` mm.
    pub fn write_line(&mut self, text: &str, (x, y): (f64, f64), capital: f64, room: f64, value: u16) {
        let (capital, room) = (self.px(capital), self.px(room));
        let mut text = text.to_owned();
        while glyphs::text_width(&text, capital) > room && text.pop().is_some() {}
        if !text.is_empty() {
            self.text.push((TextLine { text, x: self.px(x), y: self.px(y), capital }, value));
        }
    }

    /// Row `y` of file values as it lies on the film, that is mirrored. `row` is `width` long.
    pub fn row(&self, y: u32, row: &mut [u16]) {
        row.fill(self.ground);
        for (rect, value) in &self.areas {
            if (rect.y..rect.bottom()).contains(&y)
                && let Some(part) = row.get_mut(rect.x as usize..rect.right() as usize)
            {
                part.fill(*value);
            }
        }
        for (line, value) in &self.text {
            if let Some(within) = y.checked_sub(line.y) {
                glyphs::ink_runs(&line.text, line.capital, within, &mut |from, to| {
                    let (from, to) = ((line.x + from).min(self.width), (line.x + to).min(self.width));
                    if let Some(part) = row.get_mut(from as usize..to as usize) {
                        part.fill(*value);
                    }
                });
            }
        }
        row.reverse();
    }

    /// Writes all rows.
    ///
    /// # Errors
    /// Whatever writing meets; [`Fault::Cancelled`] when `progress` breaks.
    pub fn write(&self, sink: &mut dyn Sink, progress: Progress<'_>) -> Result<(), Fault> {
        let mut row = vec![0; self.width as usize];
        for y in 0..self.height {
            if y % 32 == 0 && progress(y as f32 / self.height as f32).is_break() {
                return Err(Fault::Cancelled);
            }
            self.row(y, &mut row);
            sink.row(&row)?;
        }
        sink.finish()
    }
}
