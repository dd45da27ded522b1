//! The negative station: what was typed, what is shown.

use super::film::{FilmPlan, correction_version};
use super::size::{Crop, PrintSize, crop_frame, length, print_size, wanted_size};
use super::view::View;
use super::{Drying, drying};
use crate::book::{Book, Change, Film};
use crate::constant::Constant;
use crate::entry::{self, Range};
use crate::fields;
use crate::note::Note;
use crate::quantity::Length;
use crate::show::{LengthUnit, Units, decimals};
use crate::station::{Act, Answer, Deed, Effect, Scene, Station, TicketCell};
use crate::working::Working;

/// Pixels an inch the film writer takes.
/// Resolutions a film may have.
pub(crate) const PPI: Range = Range { low: 240.0, high: 1440.0 };
/// Film around everything.
const BORDER_MM: Range = Range { low: 0.0, high: 100.0 };
/// Sheet of film.
const SHEET_MM: Range = Range { low: 20.0, high: 2000.0 };
/// Drying times.
const HOURS: Range = Range { low: 0.0, high: 500.0 };
/// Share of the largest frame that is used.
const FRAME_PERCENT: Range = Range { low: 5.0, high: 100.0 };
/// Place of the frame.
const PLACE_PERCENT: Range = Range { low: 0.0, high: 100.0 };

/// What most inkjet drivers take without resampling of their own.
pub const START_PPI: Constant =
    Constant::practice(360.0, "px/in", 3, "an integer part of the head's pitch, commonly 360 or 720");
/// Below this the picture itself limits the print's detail.
pub const COARSE_PPI: Constant =
    Constant::practice(150.0, "px/in", 2, "half of what is commonly asked for at reading distance");

/// What the setup fixes here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Preset {
    /// Pixels an inch that the driver takes.
    pub ppi: String,
    /// `tiff` or `png`.
    pub format: String,
    /// The margin strip is printed beside the picture.
    pub strip: bool,
    /// Full ink around the picture, so that its edge prints white.
    pub masked_border: bool,
    /// Film around everything.
    pub border: String,
    /// Width of a sheet of film.
    pub sheet_width: String,
    /// Height of a sheet of film.
    pub sheet_height: String,
    /// Film stock.
    pub stock: String,
    /// Ink.
    pub ink: String,
    /// Printer and the settings of its driver.
    pub printer: String,
    /// Ink limit set in the driver.
    pub ink_limit: String,
    /// Hours until touch-dry.
    pub touch_dry: String,
    /// Hours until fully dry.
    pub full_dry: String,
}

fields!(
    Preset:
    ppi, format, strip, masked_border, border, sheet_width, sheet_height, stock, ink, printer,
    ink_limit, touch_dry, full_dry,
);

impl Default for Preset {
    fn default() -> Self {
        Self {
            ppi: decimals(START_PPI.value, 0),
            format: "tiff".into(),
            strip: true,
            masked_border: false,
            border: "6".into(),
            sheet_width: "210".into(),
            sheet_height: "297".into(),
            stock: String::new(),
            ink: String::new(),
            printer: String::new(),
            ink_limit: String::new(),
            touch_dry: decimals(drying::TOUCH_DRY.value, 0),
            full_dry: decimals(drying::FULLY_DRY.value, 0),
        }
    }
}

/// What was typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// What the setup fixes, as changed on this ticket.
    pub setup: Preset,
    /// Title of the picture.
    pub title: String,
    /// Width of the picture on the print.
    pub width: String,
    /// Height of the picture on the print.
    pub height: String,
    /// `whole` or `crop`.
    pub fit: String,
    /// Share of the largest possible frame, in percent.
    pub frame: String,
    /// Centre of the frame from the left, in percent of the picture.
    pub across: String,
    /// Centre of the frame from the top, in percent of the picture.
    pub down: String,
}

fields!(Ask: setup, title, width, height, fit, frame, across, down);

impl Default for Ask {
    fn default() -> Self {
        Self {
            setup: Preset::default(),
            title: String::new(),
            width: "203".into(),
            height: "254".into(),
            fit: "whole".into(),
            frame: "100".into(),
            across: "50".into(),
            down: "50".into(),
        }
    }
}

/// The negative station.
#[derive(Clone, Copy, Debug)]
pub struct Negative;

impl Station for Negative {
    const ID: &'static str = "negative";
    type Ask = Ask;
    type View = View;

    fn load(book: &Book) -> Ask {
        let ticket = book.ticket();
        Ask { title: ticket.title.clone(), ..ticket.asks.negative.clone() }
    }

    fn keep(book: &Book, ask: Ask) -> Change {
        book.on_ticket(|ticket| {
            ticket.title.clone_from(&ask.title);
            ticket.asks.negative = Ask { title: String::new(), ..ask };
        })
    }

    fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
        answer(ask, scene)
    }

    fn act(ask: &Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
        let book = scene.book;
        match deed.verb {
            "open" => Act::effect(Effect::OpenPicture),
            "cancel" => Act::effect(Effect::CancelJob),
            "turn" => Act::change(book.on_ticket(|t| {
                core::mem::swap(&mut t.asks.negative.width, &mut t.asks.negative.height);
            })),
            "make" => {
                let mut notes = Vec::new();
                match plan(ask, scene, &mut notes) {
                    Some(plan) => Act::effect(Effect::MakeFilm(Box::new(plan))),
                    None => Act { notes, ..Act::default() },
                }
            }
            "printed" => Act::change(alter_film(book, |film| film.printed = scene.now)),
            "not-printed" => Act::change(alter_film(book, |film| film.printed = 0)),
            "other-film" => Act::change(book.on_ticket(|t| t.film.clear())),
            "keep-setup" => Act::change(book.on_setup(|s| s.presets.negative = ask.setup.clone())),
            "take-setup" => {
                let preset = book.setup().presets.negative.clone();
                Act::change(book.on_ticket(|t| t.asks.negative.setup = preset))
            }
            _ => Act::default(),
        }
    }

    fn convert(ask: &mut Ask, from: Units, to: Units) {
        for text in [
            &mut ask.width,
            &mut ask.height,
            &mut ask.setup.border,
            &mut ask.setup.sheet_width,
            &mut ask.setup.sheet_height,
        ] {
            convert_length(text, from, to);
        }
    }

    fn sample() -> (Ask, View) {
        (Ask::default(), View::default())
    }
}

/// Rewrites a typed length from one unit to another. What is no plain number, or has its own unit, stays as typed.
pub(crate) fn convert_length(text: &mut String, from: Units, to: Units) {
    if from.length == to.length {
        return;
    }
    if let Ok(typed) = entry::parse(text)
        && typed.unit.is_empty()
    {
        let l = match from.length {
            LengthUnit::Mm => Length::from_mm(typed.value),
            LengthUnit::Inch => Length::from_inches(typed.value),
        };
        *text = to.length_field(l);
    }
}

fn alter_film(book: &Book, alter: impl FnOnce(&mut Film)) -> Change {
    let key = crate::book::Key::new(crate::book::Kind::Film, book.ticket().film.clone());
    match book.film(&key.id) {
        Some(film) => {
            let mut film = film.clone();
            alter(&mut film);
            Change::put(key, crate::book::Object::Film(Box::new(film)))
        }
        None => Change::None,
    }
}

/// The frame asked for, as fractions of the picture.
fn frame(ask: &Ask, scene: &Scene<'_>, size: PrintSize, notes: &mut Vec<Note>) -> Option<Crop> {
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
fn plan(ask: &Ask, scene: &Scene<'_>, notes: &mut Vec<Note>) -> Option<FilmPlan> {
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
        label: vec![format!("FILM {number}  {title}"), format!("{}  {basis}  {date}", book.setup().name)],
        correction,
        measured,
        description: format!(
            "Sorrel film {number}: {title}. Setup {}; {basis}; {date}. Mirrored; 0 = full ink = paper white.",
            book.setup().name
        ),
    })
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

fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
    let book = scene.book;
    let ticket = book.ticket();
    let units = ticket.units;
    let mut notes = Vec::new();
    let mut view = View { cropping: ask.fit == "crop", ..View::default() };
    let mut working = Working::new("film");

    let wanted = wanted_size(ask, units, &mut notes);
    let ppi = entry::number("setup.ppi", "The resolution", &ask.setup.ppi, PPI, &["ppi", "dpi"], &mut notes);
    let border = length("setup.border", "The border", &ask.setup.border, units, BORDER_MM, &mut notes);
    show_picture(&mut view, scene);

    let real = wanted.and(print_size(&with(ticket, ask)));
    if let Some(size) = real {
        view.size = format!("{} × {}", units.length_field(size.width), units.length(size.height));
        view.size_other = in_other_unit(units, size);
        if let Some(ppi) = ppi {
            show_pixels(&mut view, &mut working, ask, scene, size, ppi, &mut notes);
        }
        if let Some(border) = border {
            check_sheet(ask, units, size, border, &mut notes);
        }
    }
    if view.cropping
        && let Some(size) = wanted
    {
        // Only for its notes: the preview takes the frame itself from `used_part`.
        let _ = frame(ask, scene, size, &mut notes);
    }
    show_correction(&mut view, scene);
    let dry_notes = show_film(&mut view, ask, scene, &mut notes);

    view.working = scene.device.job.is_some();
    let sound = wanted.is_some() && ppi.is_some() && border.is_some();
    view.ready = view.in_hand && sound && !view.working;
    view.not_ready = !view.ready && !view.working;
    view.missing = if !view.has_picture {
        "Open a picture first.".into()
    } else if view.again {
        format!("Open {} again; the file itself is not kept here.", ticket.picture.name)
    } else if !sound {
        "Mend the fields with a note first.".into()
    } else {
        String::new()
    };
    view.differs = ask.setup != book.setup().presets.negative;

    let mut cells = Vec::new();
    cells.push(if view.has_picture {
        TicketCell::done(
            "picture",
            if ask.title.trim().is_empty() { &ticket.picture.name } else { ask.title.trim() },
        )
    } else {
        TicketCell::missing("picture", "open one")
    });
    cells.push(match real {
        Some(_) => TicketCell::done("size", view.size.clone()),
        None => TicketCell::missing("size", "type width and height"),
    });
    cells.push(match book.film(&ticket.film) {
        Some(film) => TicketCell::done("film", format!("{}{dry_notes}", film.number)),
        None => TicketCell::missing("film", "make one"),
    });
    Answer { view, notes, workings: vec![working], ticket: cells }
}

/// The ticket as it will be when the ask is kept.
fn with(ticket: &crate::book::Ticket, ask: &Ask) -> crate::book::Ticket {
    let mut ticket = ticket.clone();
    ticket.asks.negative = ask.clone();
    ticket
}

/// The size in the unit the printer does not work in, for a glance.
fn in_other_unit(units: Units, size: PrintSize) -> String {
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

fn show_picture(view: &mut View, scene: &Scene<'_>) {
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

fn show_pixels(
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

fn check_sheet(ask: &Ask, units: Units, size: PrintSize, border: Length, notes: &mut Vec<Note>) {
    let width =
        length("setup.sheet_width", "The sheet's width", &ask.setup.sheet_width, units, SHEET_MM, notes);
    let height =
        length("setup.sheet_height", "The sheet's height", &ask.setup.sheet_height, units, SHEET_MM, notes);
    let (Some(width), Some(height)) = (width, height) else { return };
    let below = if ask.setup.strip { FOOT_WITH_STRIP_MM } else { FOOT_MM };
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

/// Room below the picture for label and bar, in mm; see the film's layout.
const FOOT_MM: f64 = 15.0;
/// Room below the picture for strip, label and bar, in mm.
const FOOT_WITH_STRIP_MM: f64 = 28.0;

fn show_correction(view: &mut View, scene: &Scene<'_>) {
    let version = correction_version(scene.book.setup());
    view.unmeasured = !scene.tone.measured();
    view.correction = if view.unmeasured {
        format!("Correction {version}: a starting correction, not measured, mid tones ± 15 L*")
    } else {
        format!("Correction {version}, from {}", scene.tone.stands_on())
    };
    view.next_film = format!("Film {}", scene.book.next_film_number());
}

/// Shows the ticket's film and how dry it is; returns what the ticket strip adds to the film's number.
fn show_film(view: &mut View, ask: &Ask, scene: &Scene<'_>, notes: &mut Vec<Note>) -> &'static str {
    let touch = entry::number("setup.touch_dry", "Touch-dry", &ask.setup.touch_dry, HOURS, &["h"], notes);
    let full = entry::number("setup.full_dry", "Fully dry", &ask.setup.full_dry, HOURS, &["h"], notes);
    let Some(film) = scene.book.film(&scene.book.ticket().film) else { return "" };
    view.has_film = true;
    let basis = if film.measured { String::new() } else { ", not measured".to_owned() };
    view.film = format!(
        "Film {}: {}, correction {}{basis}, made {}",
        film.number,
        film.title,
        film.correction,
        crate::book::date(film.made, scene.zone_minutes)
    );
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
