//! The film that would be made now, and the part of the picture it would show.

use super::ask::{Ask, BORDER_MM, PPI};
use super::film::{FilmPlan, correction_version};
use super::foot::CORNER_BORDER;
use super::size::{Crop, PrintSize, crop_frame, length, print_size, wanted_size};
use crate::entry::{self, Range};
use crate::light::evening::{self, Tables};
use crate::note::Note;
use crate::show::decimals;
use crate::station::Scene;

/// Share of the largest frame that is used.
const FRAME_PERCENT: Range = Range { low: 5.0, high: 100.0 };
/// Place of the frame.
const PLACE_PERCENT: Range = Range { low: 0.0, high: 100.0 };

/// The frame asked for, as fractions of the picture.
pub(super) fn frame(ask: &Ask, scene: &Scene<'_>, size: PrintSize, notes: &mut Vec<Note>) -> Option<Crop> {
    let percent = |name, label, text: &str, range, notes: &mut Vec<Note>| {
        entry::number(name, label, text, range, &["%"], notes).map(|p| p / 100.0)
    };
    let share = percent("frame", "The frame", &ask.frame, FRAME_PERCENT, notes);
    let across = percent("across", "The frame's place across", &ask.across, PLACE_PERCENT, notes);
    let down = percent("down", "The frame's place down", &ask.down, PLACE_PERCENT, notes);
    let picture = &scene.book.ticket().picture;
    let pixels = (f64::from(picture.width.max(1)), f64::from(picture.height.max(1)));
    Some(crop_frame(size, pixels, share?, (across?, down?)))
}

/// The part of the upright picture that the ticket's film would use now, for its previews; the whole where the frame
/// cannot be read.
#[must_use]
pub fn used_part(scene: &Scene<'_>) -> Crop {
    let ticket = scene.book.ticket();
    let ask = &ticket.asks.negative;
    let size = wanted_size(ask, ticket.units, &mut Vec::new());
    let part = size.filter(|_| ask.fit == "crop").and_then(|size| frame(ask, scene, size, &mut Vec::new()));
    part.unwrap_or(Crop::WHOLE)
}

/// The plan of the film that would be made now; pushes notes for what is missing.
pub(super) fn plan(ask: &Ask, scene: &Scene<'_>, notes: &mut Vec<Note>) -> Option<FilmPlan> {
    let book = scene.book;
    let ticket = book.ticket();
    let units = ticket.units;
    let size = wanted_size(ask, units, notes);
    let ppi = entry::number("setup.ppi", "The resolution", &ask.setup.ppi, PPI, &["ppi", "dpi"], notes);
    let border = length("setup.border", "The border", &ask.setup.border, units, BORDER_MM, notes);
    let crop = match (ask.fit.as_str(), size) {
        ("crop", Some(size)) => Some(frame(ask, scene, size, notes)?),
        _ => None,
    };
    if scene.device.picture.is_none() {
        notes.push(Note::error(
            "",
            "No picture file is in hand.",
            "Open the picture file, then make the film.",
        ));
        return None;
    }
    let number = book.next_film_number();
    let correction = correction_version(book.setup());
    let measured = scene.tone.measured();
    let (size, ppi, border) = (size?, ppi?, border?);
    let title = if ask.title.trim().is_empty() { "untitled" } else { ask.title.trim() };
    let basis = if measured {
        format!("correction {correction}, {}", scene.tone.stands_on())
    } else {
        format!("correction {correction}, NOT MEASURED")
    };
    let date = crate::book::date(scene.now, scene.zone_minutes);
    let ending = if ask.setup.format == "png" { "png" } else { "tif" };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "240 to 1440, checked above")]
    let ppi = ppi.round() as u32;
    let even = if ask.setup.even {
        print_size(ticket).and_then(|size| evening::evening(size, scene).ok()).map(|e| e.evened.clone())
    } else {
        None
    };
    let mut label =
        vec![format!("FILM {number}  {title}"), format!("{}  {basis}  {date}", book.setup().name)];
    let mut evened = String::new();
    if let Some(even) = &even {
        label.push(format!(
            "EVENED, map of {}. Lay it {}",
            crate::book::date(even.map.made, scene.zone_minutes),
            even.lain(units)
        ));
        evened = format!(
            " Evened by {}, for {}: up to {} D more ink, {} times the exposure.",
            even.by(units, scene.zone_minutes),
            even.lain(units),
            decimals(even.most, 2),
            decimals(even.change().to_factor(), 3)
        );
    }
    Some(FilmPlan {
        number,
        file_name: format!("film-{number}-{}.{ending}", slug(title)),
        format: if ending == "png" { "png".into() } else { "tiff".into() },
        width_mm: size.width.to_mm(),
        height_mm: size.height.to_mm(),
        ppi,
        crop: crop.map(|c| [c.left, c.top, c.width, c.height]),
        border_mm: border.to_mm(),
        masked_border: ask.setup.masked_border,
        strip: ask.setup.strip,
        label,
        correction,
        measured,
        description: format!(
            "Sorrel film {number}: {title}. Setup {}; {basis}; {date}. Mirrored; 0 = full ink = paper white.{evened}",
            book.setup().name
        ),
        corner: even.is_some() && border.to_mm() >= CORNER_BORDER.value,
        even,
    })
}

/// What the writer needs to even out the light as a plan of this moment says; `None` where it is not to be evened.
#[must_use]
pub fn evening_tables(plan: &FilmPlan, scene: &Scene<'_>) -> Option<Tables> {
    plan.even.as_ref()?;
    Some(evening::evening(print_size(scene.book.ticket())?, scene).ok()?.tables())
}

/// Lower-case letters, digits and dashes of a title, for a file name.
fn slug(title: &str) -> String {
    let mut out = String::new();
    for c in title.chars().flat_map(char::to_lowercase) {
        if c.is_alphanumeric() && out.len() < 40 {
            out.push(c);
        } else if !out.is_empty() && !out.ends_with('-') && out.len() < 40 {
            out.push('-');
        }
    }
    let out = out.trim_end_matches('-');
    if out.is_empty() { "picture".into() } else { out.into() }
}
