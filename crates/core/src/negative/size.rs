//! The size of the picture on the film, and the part of the picture that is used.

use super::ask::Ask;
use crate::book::Ticket;
use crate::decimal;
use crate::entry::{self, Range};
use crate::math::bounded;
use crate::note::Note;
use crate::quantity::Length;
use crate::show::{LengthUnit, Units};

/// Smallest and largest side of a print, in mm: what the film writer takes.
pub(super) const SIDE_MM: Range = Range { low: 5.0, high: 2000.0 };

/// The size of the picture on the film.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PrintSize {
    /// Width of the picture.
    pub width: Length,
    /// Height of the picture.
    pub height: Length,
}

/// The part of the upright picture that is used, as fractions of its sides.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crop {
    /// Left edge.
    pub left: f64,
    /// Top edge.
    pub top: f64,
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
}

impl Crop {
    /// The whole picture.
    pub const WHOLE: Self = Self { left: 0.0, top: 0.0, width: 1.0, height: 1.0 };
}

/// Reads a length typed in the ticket's units; a unit typed behind it (`mm`, `cm`, `in`) wins.
pub(crate) fn length(
    name: &str,
    label: &str,
    text: &str,
    units: Units,
    mm: Range,
    notes: &mut Vec<Note>,
) -> Option<Length> {
    let typed = match entry::parse(text) {
        Ok(typed) => typed,
        Err(e) => {
            notes.push(e.note(name, label));
            return None;
        }
    };
    let l = match (typed.unit.as_str(), units.length) {
        ("mm", _) | ("", LengthUnit::Mm) => Length::from_mm(typed.value),
        ("cm", _) => Length::from_mm(typed.value * 10.0),
        ("in" | "inch" | "\"" | "″", _) | ("", LengthUnit::Inch) => Length::from_inches(typed.value),
        (other, _) => {
            notes.push(Note::error(
                name,
                format!("{label} has a unit that is not known here: {other}."),
                "Type mm, cm or in behind the number, or nothing.",
            ));
            return None;
        }
    };
    if l.to_mm() >= mm.low && l.to_mm() <= mm.high {
        return Some(l);
    }
    notes.push(Note::error(
        name,
        format!("{label} is {}.", units.length(l)),
        format!(
            "Type a length from {} to {}.",
            units.length(Length::from_mm(mm.low)),
            units.length(Length::from_mm(mm.high))
        ),
    ));
    None
}

/// The size asked for on a ticket, with notes for the fields; `None` while a side is missing or odd.
#[must_use]
pub fn wanted_size(ask: &Ask, units: Units, notes: &mut Vec<Note>) -> Option<PrintSize> {
    let width = length("width", "The width", &ask.width, units, SIDE_MM, notes);
    let height = length("height", "The height", &ask.height, units, SIDE_MM, notes);
    Some(PrintSize { width: width?, height: height? })
}

/// The size the picture really gets: where the whole picture is fitted, one side may come out shorter.
#[must_use]
pub fn print_size(ticket: &Ticket) -> Option<PrintSize> {
    let wanted = wanted_size(&ticket.asks.negative, ticket.units, &mut Vec::new())?;
    let (w, h) = (f64::from(ticket.picture.width), f64::from(ticket.picture.height));
    if ticket.asks.negative.fit == "crop" || w < 1.0 || h < 1.0 {
        return Some(wanted);
    }
    let scale = (wanted.width.to_mm() / w).min(wanted.height.to_mm() / h);
    Some(PrintSize { width: Length::from_mm(w * scale), height: Length::from_mm(h * scale) })
}

/// The size a whole picture of `w × h` pixels would get with width and height swapped, if it gains more than a tenth.
pub(super) fn turned(wanted: PrintSize, (w, h): (f64, f64)) -> Option<PrintSize> {
    if w < 1.0 || h < 1.0 {
        return None;
    }
    let scale = |across: Length, down: Length| (across.to_mm() / w).min(down.to_mm() / h);
    let (now, swapped) = (scale(wanted.width, wanted.height), scale(wanted.height, wanted.width));
    (swapped > 1.1 * now)
        .then(|| PrintSize { width: Length::from_mm(w * swapped), height: Length::from_mm(h * swapped) })
}

/// The largest frame of the print's shape inside a picture of `w × h` pixels, narrowed by `share` (0…1] and placed with
/// its centre as near as possible to `(x, y)`, fractions of the picture.
#[must_use]
pub fn crop_frame(size: PrintSize, (w, h): (f64, f64), share: f64, (x, y): (f64, f64)) -> Crop {
    let shape = (size.width / size.height) * h / w;
    let (width, height) = if shape > 1.0 { (1.0, 1.0 / shape) } else { (shape, 1.0) };
    let (width, height) = (width * share, height * share);
    Crop {
        left: bounded(x - width / 2.0, 0.0, 1.0 - width),
        top: bounded(y - height / 2.0, 0.0, 1.0 - height),
        width,
        height,
    }
}

/// Rewrites a typed length from one unit to another, so that changing back gives the same figure again. What is no plain
/// number, or has its own unit, stays as typed.
pub(crate) fn convert_length(text: &mut String, from: Units, to: Units) {
    if (from.length, from.mark) == (to.length, to.mark) {
        return;
    }
    if let Ok(typed) = entry::parse(text)
        && typed.unit.is_empty()
    {
        if from.length == to.length {
            *text = to.marked(text.replace(',', "."));
        } else {
            *text = to.marked(decimal::short(from.length.carried(typed.value, to.length), 3));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn size(w: f64, h: f64) -> PrintSize {
        PrintSize { width: Length::from_mm(w), height: Length::from_mm(h) }
    }

    #[test]
    fn a_picture_across_an_upright_sheet_is_better_turned() {
        let eight_by_ten = size(203.2, 254.0);
        let got = turned(eight_by_ten, (3000.0, 2000.0)).unwrap();
        assert!((got.width.to_mm() - 254.0).abs() < 1e-9 && (got.height.to_mm() - 254.0 / 1.5).abs() < 1e-9);
        assert_eq!(turned(eight_by_ten, (2000.0, 3000.0)), None, "it stands already");
        assert_eq!(turned(eight_by_ten, (2000.0, 2000.0)), None, "a square gains nothing");
        assert_eq!(turned(size(240.0, 254.0), (3000.0, 2000.0)), None, "a twentieth is not worth it");
        assert_eq!(turned(eight_by_ten, (0.0, 0.0)), None, "no picture");
    }

    #[test]
    fn a_frame_has_the_prints_shape_and_lies_inside() {
        for (w, h, x, y, share) in
            [(6000.0, 4000.0, 0.5, 0.5, 1.0), (4000.0, 6000.0, 0.0, 1.0, 0.4), (100.0, 100.0, 1.0, 0.0, 0.9)]
        {
            let c = crop_frame(size(203.0, 254.0), (w, h), share, (x, y));
            let shape = c.width * w / (c.height * h);
            assert!((shape - 203.0 / 254.0).abs() < 1e-12);
            assert!(c.left >= 0.0 && c.top >= 0.0 && c.left + c.width <= 1.0 + 1e-12);
            assert!(c.top + c.height <= 1.0 + 1e-12);
        }
    }

    #[test]
    fn lengths_take_their_typed_unit() {
        let mm = Units::default();
        let read = |text| length("w", "The width", text, mm, SIDE_MM, &mut Vec::new());
        assert_eq!(read("8 in"), Some(Length::from_inches(8.0)));
        assert_eq!(read("20,3 cm"), Some(Length::from_mm(203.0)));
        assert_eq!(read("203"), Some(Length::from_mm(203.0)));
        assert_eq!(read("8 ft"), None);
        assert_eq!(read("0"), None);
        assert_eq!(read("-4"), None);
    }
}
