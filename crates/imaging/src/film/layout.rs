//! Where every part of a film lies, in pixels.
//!
//! Everything here is described as it appears on the *print*. The film itself is the mirror image of it; mirroring
//! happens once, when rows are written.

use sorrel_core::light::lamp::lie::Top;
use sorrel_core::negative::foot;

use super::{FilmSpec, Fit};
use crate::fault::Fault;

/// Millimetres in an inch, exact (international yard and pound agreement, 1959).
const MM_PER_INCH: f64 = 25.4;
/// Widest patch of the margin strip, mm.
const STRIP_PATCH_MAX_MM: f64 = 20.0;
/// Narrowest patch that eyes or a scanner still read well, mm (common practice, no source).
const STRIP_PATCH_MIN_MM: f64 = 6.0;
/// Letters a label may have in all; what is beyond is cut, with a note.
const LABEL_MAX: usize = 600;
/// Below this the picture has visibly fewer details than the print could show, pixels per inch (common practice, no source).
const COARSE_PPI: f64 = 150.0;
/// Pixels a film may have: what fits in the 4 GB of a plain TIFF at 2 bytes each, less room for its head.
const MAX_PIXELS: u64 = 2_147_000_000;

/// Raw ink codes of the margin strip, in percent, from left to right on the print.
pub const STRIP_PERCENT: [u8; 7] = [0, 10, 20, 35, 50, 70, 100];

/// A rectangle of whole pixels.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Rect {
    /// Left edge.
    pub x: u32,
    /// Upper edge.
    pub y: u32,
    /// Width.
    pub width: u32,
    /// Height.
    pub height: u32,
}

impl Rect {
    /// First row below it.
    pub fn bottom(&self) -> u32 {
        self.y + self.height
    }

    /// First column right of it.
    pub fn right(&self) -> u32 {
        self.x + self.width
    }
}

/// A part of the upright picture, in fractional source pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// Left edge.
    pub x: f64,
    /// Upper edge.
    pub y: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

impl Window {
    /// The whole of a picture.
    pub fn whole(width: u32, height: u32) -> Self {
        Self { x: 0.0, y: 0.0, width: f64::from(width), height: f64::from(height) }
    }
}

/// One line of the label.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextLine {
    /// What it says.
    pub text: String,
    /// Left edge of the first letter.
    pub x: u32,
    /// Upper edge of the capitals.
    pub y: u32,
    /// Height of the capitals, pixels.
    pub capital: u32,
}

/// A corner of the film that is filled: a triangle, its right angle outwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Corner {
    /// The square it is half of.
    pub square: Rect,
    /// At the right.
    pub right: bool,
    /// At the lower edge.
    pub lower: bool,
}

impl Corner {
    /// In a film of that size with that border, for a print whose top points so in the frame. `None` if the border has no
    /// room for it.
    fn new(top: Top, (width, height): (u32, u32), border_mm: f64, ppi: u32) -> Option<Self> {
        if border_mm < foot::CORNER_BORDER.value {
            return None;
        }
        // In the middle of the border, so that it survives scissors and touches nothing.
        let side = to_px(foot::CORNER.value.min(0.75 * border_mm), ppi);
        let inset = (to_px(border_mm, ppi) - side) / 2;
        let (right, lower) = top.far_left();
        let at = |far: bool, whole: u32| if far { whole - inset - side } else { inset };
        let square = Rect { x: at(right, width), y: at(lower, height), width: side, height: side };
        Some(Self { square, right, lower })
    }

    /// What of a row of the film it fills: from and to.
    pub fn run(&self, y: u32) -> Option<(u32, u32)> {
        let square = &self.square;
        let row = y.checked_sub(square.y).filter(|row| *row < square.height)?;
        let outer = if self.lower { square.height - 1 - row } else { row };
        let long = square.width.saturating_sub(outer);
        let from = if self.right { square.right() - long } else { square.x };
        Some((from, from + long))
    }
}

/// A film, laid out: sizes in pixels, as seen on the print.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// Pixels per inch of the film.
    pub ppi: u32,
    /// Width of the film.
    pub width: u32,
    /// Height of the film.
    pub height: u32,
    /// Where the picture lies.
    pub picture: Rect,
    /// Which part of the upright picture is shown.
    pub source: Window,
    /// The seven patches of the margin strip, codes [`STRIP_PERCENT`]; empty when there is none.
    pub strip: Vec<Rect>,
    /// Label and the words beside the bar.
    pub text: Vec<TextLine>,
    /// The check bar.
    pub bar: Option<Rect>,
    /// The filled corner of a film that is right only one way.
    pub corner: Option<Corner>,
    /// `true`: full ink outside everything.
    pub masked_border: bool,
    /// Source pixels per inch of print.
    pub source_ppi: f64,
    /// What the printer should know.
    pub notes: Vec<String>,
}

impl Layout {
    /// Lays a film out for an upright picture of `picture` = (width, height) pixels.
    ///
    /// # Errors
    /// [`Fault::Caller`] for lengths or frames that make no sense, [`Fault::Limit`] for a film too large for one file.
    pub fn new(spec: &FilmSpec, picture: (u32, u32)) -> Result<Self, Fault> {
        check(spec)?;
        if picture.0 == 0 || picture.1 == 0 {
            return Err(Fault::caller("The picture has no pixels.", "Open another picture."));
        }
        let ppi = spec.ppi;
        let px = |mm: f64| to_px(mm, ppi);
        let mut notes = Vec::new();

        let (size, source) = place(spec, picture);
        let border = px(spec.border_mm);
        let gap = px(foot::GAP.value);
        let inner = size.0.max(if spec.bar { px(foot::BAR.value) } else { 0 });
        let picture_rect =
            Rect { x: border + (inner - size.0) / 2, y: border, width: size.0, height: size.1 };
        let mut y = picture_rect.bottom();

        let mut strip = Vec::new();
        if spec.strip {
            y += gap;
            let width = (inner / 7).min(px(STRIP_PATCH_MAX_MM));
            if width < px(STRIP_PATCH_MIN_MM) {
                notes.push(format!(
                    "The margin strip's patches are only {:.1} mm wide; they are hard to read.",
                    to_mm(width, ppi)
                ));
            }
            let height = px(foot::STRIP.value);
            for i in 0..7 {
                strip.push(Rect { x: border + i * width, y, width, height });
            }
            y += height;
        }

        let capital = px(foot::CAPITAL.value);
        let line = px(foot::LINE.value);
        let mut text = Vec::new();
        let (lines, cut) = wrap(&spec.label, letters_in(inner, capital));
        if cut {
            notes.push("The label is too long and was cut.".into());
        }
        if !lines.is_empty() {
            y += gap;
            for words in lines {
                text.push(TextLine { text: words, x: border, y, capital });
                y += line;
            }
            y -= line - capital;
        }

        let mut bar = None;
        if spec.bar {
            y += gap;
            let rect = Rect { x: border, y, width: px(foot::BAR.value), height: px(foot::BAR_HEIGHT.value) };
            let words = "50 mm";
            let beside = TextLine { text: words.into(), x: rect.right() + gap, y, capital };
            bar = Some(rect);
            if beside.x + crate::glyphs::text_width(words, capital) <= border + inner {
                text.push(beside);
                y += capital;
            } else {
                y += rect.height;
            }
        }

        let width = inner + 2 * border;
        let height = y + border;
        if u64::from(width) * u64::from(height) > MAX_PIXELS {
            return Err(Fault::limit(
                format!(
                    "A film of {width} × {height} pixels takes {}; one file holds at most 4 GB.",
                    crate::fault::size_text(u64::from(width) * u64::from(height) * 2)
                ),
                "Choose fewer pixels per inch or a smaller print.",
            ));
        }
        let mut corner = None;
        if !spec.top.is_empty() {
            corner = Corner::new(Top::of(&spec.top), (width, height), spec.border_mm, ppi);
            if corner.is_none() {
                notes.push("The border is too narrow for the filled corner that shows how the film lies; go by its label.".into());
            }
        }
        let source_ppi = source.width / to_mm(size.0, ppi) * MM_PER_INCH;
        if source_ppi < COARSE_PPI {
            notes.push(format!(
                "At this size the picture has only {source_ppi:.0} pixels per inch; fine detail will look soft."
            ));
        }
        Ok(Self {
            ppi,
            width,
            height,
            picture: picture_rect,
            source,
            strip,
            text,
            bar,
            corner,
            masked_border: spec.masked_border,
            source_ppi,
            notes,
        })
    }

    /// A length on the film in mm.
    pub fn mm(&self, px: u32) -> f64 {
        to_mm(px, self.ppi)
    }

    /// Pixels of the film.
    pub fn pixels(&self) -> u64 {
        u64::from(self.width) * u64::from(self.height)
    }

    /// Is the picture made larger in both directions? Then it is resampled in L*, otherwise in linear light.
    pub fn enlarges(&self) -> bool {
        f64::from(self.picture.width) >= self.source.width
            && f64::from(self.picture.height) >= self.source.height
    }
}

/// `round(mm / 25.4 · ppi)`.
pub fn to_px(mm: f64, ppi: u32) -> u32 {
    let px = (mm / MM_PER_INCH * f64::from(ppi)).round();
    #[allow(clippy::cast_possible_truncation, reason = "clamped just here")]
    let px = px.clamp(0.0, f64::from(u32::MAX >> 4)) as u32;
    px
}

/// Pixels as mm.
pub fn to_mm(px: u32, ppi: u32) -> f64 {
    f64::from(px) * MM_PER_INCH / f64::from(ppi)
}

fn check(spec: &FilmSpec) -> Result<(), Fault> {
    let size = |name: &str, mm: f64| {
        if mm.is_finite() && (5.0..=2000.0).contains(&mm) {
            Ok(())
        } else {
            Err(Fault::caller(
                format!("The {name} of the picture is {mm} mm."),
                "Give a length between 5 and 2000 mm.",
            ))
        }
    };
    size("width", spec.width_mm)?;
    size("height", spec.height_mm)?;
    if !(240..=1440).contains(&spec.ppi) {
        return Err(Fault::caller(
            format!("{} pixels per inch were asked for.", spec.ppi),
            "Give what the printer's driver takes, between 240 and 1440.",
        ));
    }
    if !(spec.border_mm.is_finite() && (0.0..=100.0).contains(&spec.border_mm)) {
        return Err(Fault::caller(
            format!("The border is {} mm.", spec.border_mm),
            "Give a width between 0 and 100 mm.",
        ));
    }
    if let Fit::Crop { left, top, width, height } = spec.fit {
        let inside = |start: f64, length: f64| {
            start.is_finite() && start >= 0.0 && length > 0.0 && start + length <= 1.0 + 1e-9
        };
        if !inside(left, width) || !inside(top, height) {
            return Err(Fault::caller(
                "The crop frame lies outside the picture or is empty.",
                "Draw the frame again.",
            ));
        }
    }
    Ok(())
}

/// Size of the picture on the film in pixels, and the part of the source it shows.
fn place(spec: &FilmSpec, (w, h): (u32, u32)) -> ((u32, u32), Window) {
    let (w, h) = (f64::from(w), f64::from(h));
    match spec.fit {
        Fit::Whole => {
            let scale = (spec.width_mm / w).min(spec.height_mm / h);
            let size = (to_px(w * scale, spec.ppi).max(1), to_px(h * scale, spec.ppi).max(1));
            (size, Window { x: 0.0, y: 0.0, width: w, height: h })
        }
        Fit::Crop { left, top, width, height } => {
            let frame = (width * w, height * h);
            let shape = spec.width_mm / spec.height_mm;
            let part = if frame.0 / frame.1 > shape {
                (frame.1 * shape, frame.1)
            } else {
                (frame.0, frame.0 / shape)
            };
            let x = left * w + (frame.0 - part.0) / 2.0;
            let y = top * h + (frame.1 - part.1) / 2.0;
            let size = (to_px(spec.width_mm, spec.ppi).max(1), to_px(spec.height_mm, spec.ppi).max(1));
            // Rounding must not carry the window over the picture's edge.
            let (x, y) = (x.clamp(0.0, w), y.clamp(0.0, h));
            (size, Window { x, y, width: part.0.min(w - x), height: part.1.min(h - y) })
        }
    }
}

/// Letters of the given height that fit into a width.
fn letters_in(width: u32, capital: u32) -> usize {
    let one = crate::glyphs::text_width("M", capital);
    let step = (crate::glyphs::text_width("MM", capital) - one).max(1);
    (width.saturating_sub(one) / step) as usize + 1
}

/// Breaks lines at spaces so that none is longer than `room` letters. The flag says that something was cut.
fn wrap(lines: &[String], room: usize) -> (Vec<String>, bool) {
    let mut out = Vec::new();
    let mut left = LABEL_MAX;
    for line in lines {
        let mut now = String::new();
        let mut length = 0;
        for word in line.split_whitespace() {
            let mut letters: Vec<char> = word.chars().collect();
            if letters.len() > left {
                return (out, true);
            }
            left -= letters.len();
            if length > 0 && length + 1 + letters.len() > room {
                out.push(std::mem::take(&mut now));
                length = 0;
            }
            while letters.len() > room {
                out.push(letters.drain(..room).collect());
            }
            if length > 0 {
                now.push(' ');
                length += 1;
            }
            length += letters.len();
            now.extend(letters);
        }
        if !now.is_empty() {
            out.push(now);
        }
    }
    (out, false)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spec() -> FilmSpec {
        FilmSpec { label: vec!["Film 12 · Harbour".into()], ..FilmSpec::default() }
    }

    #[test]
    fn pixels_follow_the_rule() {
        // round(mm/25.4·ppi): 8 × 10 inch at 360 ppi.
        assert_eq!((to_px(203.2, 360), to_px(254.0, 360)), (2880, 3600));
        assert_eq!(to_px(100.0, 720), 2835);
    }

    #[test]
    fn a_whole_picture_keeps_its_shape() {
        let layout = Layout::new(&spec(), (6000, 4000)).unwrap();
        assert_eq!((layout.picture.width, layout.picture.height), (2880, 1920));
        assert_eq!(layout.source, Window::whole(6000, 4000));
        assert!(!layout.enlarges());
    }

    #[test]
    fn a_crop_fills_the_size_and_stays_inside() {
        let fit = Fit::Crop { left: 0.25, top: 0.0, width: 0.75, height: 1.0 };
        let layout = Layout::new(&FilmSpec { fit, ..spec() }, (6000, 4000)).unwrap();
        assert_eq!((layout.picture.width, layout.picture.height), (2880, 3600));
        let s = layout.source;
        assert!((s.width / s.height - 0.8).abs() < 1e-12);
        assert!(s.x >= 1500.0 && s.x + s.width <= 6000.0 && s.y >= 0.0 && s.y + s.height <= 4000.0);
    }

    #[test]
    fn below_the_picture_lies_what_the_sheet_is_checked_for() {
        for strip in [false, true] {
            let label = vec!["Film 12 · Harbour".into(), "Warm · correction 3".into()];
            let layout = Layout::new(&FilmSpec { strip, label, ..spec() }, (4000, 5000)).unwrap();
            let below = layout.mm(layout.height - layout.picture.bottom() - layout.picture.y);
            let expected = foot::height(strip, 2).to_mm();
            assert!((below - expected).abs() < 0.3, "{below} mm for {expected}");
        }
    }

    #[test]
    fn nothing_overlaps_and_all_lies_on_the_film() {
        for (w, h) in [(203.2, 254.0), (60.0, 30.0), (20.0, 20.0), (1000.0, 5.0)] {
            let s = FilmSpec {
                width_mm: w,
                height_mm: h,
                label: vec!["A long label line that has to be broken on a small film".into(), "x".repeat(80)],
                ..FilmSpec::default()
            };
            let layout = Layout::new(&s, (400, 300)).unwrap();
            let mut rects = vec![layout.picture];
            rects.extend(&layout.strip);
            rects.extend(layout.bar);
            for t in &layout.text {
                let width = crate::glyphs::text_width(&t.text, t.capital);
                rects.push(Rect { x: t.x, y: t.y, width, height: t.capital });
            }
            for (i, a) in rects.iter().enumerate() {
                assert!(a.right() <= layout.width && a.bottom() <= layout.height, "{a:?}");
                for b in &rects[i + 1..] {
                    let apart =
                        a.right() <= b.x || b.right() <= a.x || a.bottom() <= b.y || b.bottom() <= a.y;
                    assert!(apart, "{a:?} {b:?}");
                }
            }
        }
    }

    #[test]
    fn the_bar_is_fifty_millimetres() {
        let layout = Layout::new(&FilmSpec { ppi: 720, ..spec() }, (600, 400)).unwrap();
        assert_eq!(layout.bar.unwrap().width, to_px(50.0, 720));
    }

    #[test]
    fn odd_wishes_are_refused_with_a_mend() {
        let bad = [
            FilmSpec { width_mm: 0.0, ..spec() },
            FilmSpec { height_mm: f64::NAN, ..spec() },
            FilmSpec { width_mm: -10.0, ..spec() },
            FilmSpec { ppi: 100, ..spec() },
            FilmSpec { border_mm: f64::INFINITY, ..spec() },
            FilmSpec { fit: Fit::Crop { left: 0.9, top: 0.0, width: 0.5, height: 1.0 }, ..spec() },
            FilmSpec { fit: Fit::Crop { left: 0.0, top: 0.0, width: 0.0, height: f64::NAN }, ..spec() },
        ];
        for s in bad {
            let fault = Layout::new(&s, (600, 400)).unwrap_err();
            assert_eq!(fault.culprit(), "caller", "{s:?}");
        }
        let huge = FilmSpec { width_mm: 2000.0, height_mm: 2000.0, ppi: 1440, ..spec() };
        assert_eq!(Layout::new(&huge, (4000, 4000)).unwrap_err().culprit(), "limit");
    }

    #[test]
    fn a_coarse_picture_is_noted() {
        let layout = Layout::new(&spec(), (600, 800)).unwrap();
        assert!(layout.notes.iter().any(|n| n.contains("pixels per inch")), "{:?}", layout.notes);
    }
}
