//! What the negative station shows of picture, pixels, sheet and film.

use super::ask::Ask;
use super::film::correction_version;
use super::foot;
use super::plan::frame;
use super::size::{PrintSize, length, wanted_size};
use super::view::View;
use super::{Drying, drying};
use crate::book::Film;
use crate::constant::Constant;
use crate::entry::{self, Range};
use crate::light::evening::{Evened, evening};
use crate::light::page::signed;
use crate::note::Note;
use crate::quantity::Length;
use crate::show::{LengthUnit, Units};
use crate::station::Scene;
use crate::working::Working;

/// Sheet of film.
const SHEET_MM: Range = Range { low: 20.0, high: 2000.0 };
/// Drying times.
const HOURS: Range = Range { low: 0.0, high: 500.0 };
/// Sizes nearer than this are one size: fields are shown to a tenth of a millimetre.
const SAME_MM: f64 = 0.11;
/// Lines of a film's label: number and title, setup and correction; and of one that evens the light, how to lay it.
const LABEL_LINES: u32 = 2;

/// Below this the picture itself limits the print's detail.
pub const COARSE_PPI: Constant =
    Constant::practice(150.0, "px/in", 2, "half of what is commonly asked for at reading distance");

/// The size in the unit the printer does not work in, for a glance.
pub(super) fn in_other_unit(units: Units, size: PrintSize) -> String {
    match units.length {
        LengthUnit::Mm => {
            let inches = |l: Length| units.figures(l.to_inches(), 3);
            format!("{} × {} in", inches(size.width), inches(size.height))
        }
        LengthUnit::Inch => {
            let mm = |l: Length| units.number(l.to_mm(), 0);
            format!("{} × {} mm", mm(size.width), mm(size.height))
        }
    }
}

pub(super) fn picture(view: &mut View, scene: &Scene<'_>) {
    let picture = &scene.book.ticket().picture;
    view.has_picture = picture.width > 0;
    view.no_picture = !view.has_picture;
    view.in_hand = view.has_picture && scene.device.picture.as_ref() == Some(picture);
    view.again = view.has_picture && !view.in_hand;
    if view.has_picture {
        view.picture = format!(
            "{}: {} × {} px, {} bit, {}, {}",
            picture.name, picture.width, picture.height, picture.bits, picture.format, picture.profile
        );
        view.remarks = picture.remarks.join(" ");
    }
}

pub(super) fn pixels(
    view: &mut View,
    working: &mut Working,
    ask: &Ask,
    scene: &Scene<'_>,
    size: PrintSize,
    ppi: f64,
    notes: &mut Vec<Note>,
) {
    let across = (size.width.to_inches() * ppi).round();
    let down = (size.height.to_inches() * ppi).round();
    view.pixels = format!("{across:.0} × {down:.0} px");
    working.step(
        "Pixels of the picture on the film",
        "size ÷ 25.4 mm × resolution, rounded",
        format!("{:.1} × {:.1} mm; {ppi:.0} px/in", size.width.to_mm(), size.height.to_mm()),
        view.pixels.clone(),
    );
    let picture = &scene.book.ticket().picture;
    if picture.width == 0 {
        return;
    }
    let used = if ask.fit == "crop" {
        frame(ask, scene, size, &mut Vec::new()).map_or(1.0, |c| c.width)
    } else {
        1.0
    };
    let source = f64::from(picture.width) * used / size.width.to_inches();
    view.detail = format!("{source:.0} px/in of the picture itself");
    working.step(
        "Detail the picture brings",
        "pixels used ÷ width",
        format!("{:.0} px; {:.2} in", f64::from(picture.width) * used, size.width.to_inches()),
        view.detail.clone(),
    );
    working.sourced(
        "How it is resized",
        "",
        "",
        if source < ppi { "enlarged in L*" } else { "reduced in linear light" },
        "averages of light are what the eye sees; enlarging in L* keeps the halos of edges small",
    );
    if source < COARSE_PPI.value {
        notes.push(Note::warning(
            "width",
            format!("The picture brings only {source:.0} pixels an inch at this size, so it will look soft."),
            "Choose a smaller print, a wider frame or a larger file.",
        ));
    }
}

pub(super) fn check_sheet(ask: &Ask, units: Units, size: PrintSize, border: Length, notes: &mut Vec<Note>) {
    let width =
        length("setup.sheet_width", "The sheet's width", &ask.setup.sheet_width, units, SHEET_MM, notes);
    let height =
        length("setup.sheet_height", "The sheet's height", &ask.setup.sheet_height, units, SHEET_MM, notes);
    let (Some(width), Some(height)) = (width, height) else { return };
    let below = foot::height(ask.setup.strip, LABEL_LINES + u32::from(ask.setup.even)).to_mm();
    let need = ((size.width + border * 2.0).to_mm(), (size.height + border * 2.0).to_mm() + below);
    let fits = |w: f64, h: f64| need.0 <= w + 0.5 && need.1 <= h + 0.5;
    if !fits(width.to_mm(), height.to_mm()) && !fits(height.to_mm(), width.to_mm()) {
        let l = |mm| units.length_field(Length::from_mm(mm));
        notes.push(Note::warning(
            "setup.sheet_width",
            format!(
                "The film needs {} × {} {} with its border, strip and label, more than the sheet has.",
                l(need.0),
                l(need.1),
                units.length_sign()
            ),
            "Use a larger sheet, a smaller picture, a narrower border, or leave out the strip.",
        ));
    }
}

pub(super) fn correction(view: &mut View, scene: &Scene<'_>) {
    let version = correction_version(scene.book.setup());
    view.unmeasured = !scene.tone.measured();
    view.correction = if view.unmeasured {
        format!("Correction {version}: a starting correction, not measured, mid tones ± 15 L*")
    } else {
        format!("Correction {version}, from {}", scene.tone.stands_on())
    };
    view.next_film = format!("Film {}", scene.book.next_film_number());
}

/// What an evened film was evened by, and how it lies.
#[inline(never)] // the page loads it when there is one
fn evened_by(even: &Evened, corner: bool, scene: &Scene<'_>) -> String {
    let units = scene.units();
    let by = even.by(units, scene.zone_minutes);
    let mark = if corner { ". Its filled corner goes far left" } else { "" };
    format!(". Evened by {by}; lay the picture {}{mark}", even.lain(units))
}

/// What a film that evens the light would do, or why it would not.
#[inline(never)] // the page loads it when it was chosen
pub(super) fn evened(
    view: &mut View,
    working: &mut Working,
    size: PrintSize,
    scene: &Scene<'_>,
    notes: &mut Vec<Note>,
) {
    let units = scene.units();
    let evening = match evening(size, scene) {
        Ok(evening) => evening,
        Err(note) => {
            notes.push(*note);
            return;
        }
    };
    evening.notes(scene, notes);
    let Evened { most, .. } = evening.evened;
    let change = evening.evened.change();
    view.even = format!(
        "Evened by {}: up to {} D more ink where there is most light, and {} times the time of the setup ({} stop). Lay the picture {}.",
        evening.evened.by(units, scene.zone_minutes),
        units.number(most, 2),
        units.figures(change.to_factor(), 3),
        signed(units, change.to_stops(), 2),
        evening.evened.lain(units)
    );
    working.sourced(
        "Ink added where there is more light",
        "curve⁻¹(curve(code) + log₁₀(light ÷ light at the dimmest place of the print))",
        format!("full ink {} D", units.number(evening.ink.full(), 2)),
        format!("0 to {} D", units.number(most, 3)),
        evening.from.words(),
    );
    working.step(
        "What the smooth map leaves",
        "root mean square of readings that were left out",
        "",
        format!("± {} D", units.number(evening.missed, 3)),
    );
}

/// Whether the film still is what the ticket would get if it were made now.
#[inline(never)] // the page loads it when there is one
fn outdated(film: &Film, ask: &Ask, scene: &Scene<'_>, notes: &mut Vec<Note>) {
    let (number, book) = (film.number, scene.book);
    if film.setup != book.ticket().setup {
        // The book says what is the matter with a film of another setup.
        return;
    }
    let now = correction_version(book.setup());
    if film.correction != now {
        notes.push(Note::warning(
            "",
            format!(
                "Film {number} carries correction {}, and the setup has correction {now}.",
                film.correction
            ),
            "Make the film file again to print with the newer one.",
        ));
    }
    let far = |a: Length, mm: f64| (a.to_mm() - mm).abs() > SAME_MM;
    if let Some(size) = wanted_size(ask, scene.units(), &mut Vec::new())
        && (far(size.width, film.plan.width_mm) || far(size.height, film.plan.height_mm))
    {
        let length = |mm| scene.units().length(Length::from_mm(mm));
        notes.push(Note::warning(
            "",
            format!(
                "Film {number} was made for {} × {}, not for the size asked for now.",
                length(film.plan.width_mm),
                length(film.plan.height_mm)
            ),
            "Make the film file again, or go back to its size.",
        ));
    }
}

/// Shows the ticket's film and how dry it is; returns what the ticket strip adds to the film's number.
pub(super) fn film(view: &mut View, ask: &Ask, scene: &Scene<'_>, notes: &mut Vec<Note>) -> &'static str {
    let touch = entry::number("setup.touch_dry", "Touch-dry", &ask.setup.touch_dry, HOURS, &["h"], notes);
    let full = entry::number("setup.full_dry", "Fully dry", &ask.setup.full_dry, HOURS, &["h"], notes);
    let Some(film) = scene.book.film(&scene.book.ticket().film) else { return "" };
    view.has_film = true;
    outdated(film, ask, scene, notes);
    let basis = if film.measured { String::new() } else { ", not measured".to_owned() };
    view.film = format!(
        "Film {}: {}, correction {}{basis}, made {}",
        film.number,
        film.title,
        film.correction,
        crate::book::date(film.made, scene.zone_minutes)
    );
    if let Some(even) = &film.plan.even {
        view.film += &evened_by(even, film.plan.corner, scene);
    }
    let (Some(touch), Some(full)) = (touch, full) else { return "" };
    let hours = |h: f64| crate::show::clock(h * 3600.0);
    match drying::drying(film.printed, scene.now, touch, full) {
        Drying::Unknown => {
            view.not_printed = true;
            view.dryness = "Not printed yet, as far as is known here.".into();
            ""
        }
        Drying::Wet { touch_in, full_in } => {
            view.dryness =
                format!("Wet: touch-dry in {}, fully dry in {} (h:mm:ss).", hours(touch_in), hours(full_in));
            ", wet"
        }
        Drying::TouchDry { full_in } => {
            view.dryness = format!("Touch-dry; fully dry in {} (h:mm:ss).", hours(full_in));
            ", drying"
        }
        Drying::Dry => {
            view.dryness = "Dry.".into();
            ""
        }
    }
}
