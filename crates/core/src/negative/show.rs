//! What the negative station shows of picture, pixels, sheet and film.

use super::ask::Ask;
use super::film::correction_version;
use super::foot;
use super::plan::frame;
use super::size::{Crop, PrintSize, length, wanted_size};
use super::view::View;
use super::{Drying, drying};
use crate::book::Film;
use crate::constant::Constant;
use crate::decimal::fixed;
use crate::entry::{self, Range};
use crate::light::evening::{Evened, evening};
use crate::light::page::signed;
use crate::note::Note;
use crate::quantity::Length;
use crate::show::{LengthUnit, Units, unbroken};
use crate::station::Scene;
use crate::working::Working;

/// Sheet of film.
const SHEET_MM: Range = Range { low: 20.0, high: 2000.0 };
/// Drying times.
const HOURS: Range = Range { low: 0.0, high: 500.0 };
/// Sizes nearer than this are one size: fields are shown to a tenth of a millimetre.
const SAME_MM: f64 = 0.11;
/// Edges of a frame nearer than this are one: sizes that are one size may move them by twice their difference.
const SAME_EDGE_MM: f64 = 0.25;
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
    view.pixels = format!("{} × {} px", fixed(across, 0), fixed(down, 0));
    working.step(
        "Pixels of the picture on the film",
        "size ÷ 25.4 mm × resolution, rounded",
        format!(
            "{} × {} mm; {} px/in",
            fixed(size.width.to_mm(), 1),
            fixed(size.height.to_mm(), 1),
            fixed(ppi, 0)
        ),
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
    let an_inch = fixed(source, 0);
    view.detail = format!("{an_inch} px/in of the picture itself");
    working.step(
        "Detail the picture brings",
        "pixels used ÷ width",
        format!("{} px; {} in", fixed(f64::from(picture.width) * used, 0), fixed(size.width.to_inches(), 2)),
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
            format!("The picture brings only {an_inch} pixels an inch at this size, so it will look soft."),
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
    let Some(size) = wanted_size(ask, scene.units(), &mut Vec::new()) else { return };
    if far(size.width, film.plan.width_mm) || far(size.height, film.plan.height_mm) {
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
    } else if let Some(what) = other_part(film, ask, scene, size) {
        notes.push(Note::warning(
            "",
            format!("Film {number} shows {what}."),
            "Make the film file again, or go back to its frame.",
        ));
    }
}

/// What the film shows of the picture, if that is not what is asked for now. `None` too where nobody knows.
fn other_part(film: &Film, ask: &Ask, scene: &Scene<'_>, size: PrintSize) -> Option<&'static str> {
    let picture = &scene.book.ticket().picture;
    if picture.width == 0 || picture.height == 0 || film.plan.file_name.is_empty() {
        return None;
    }
    let whole = Crop::WHOLE;
    let made = match film.plan.crop {
        Some([left, top, width, height]) if width > 0.0 && height > 0.0 => Crop { left, top, width, height },
        Some(_) => return None,
        None => whole,
    };
    let now = if ask.fit == "crop" { frame(ask, scene, size, &mut Vec::new())? } else { whole };
    // Where the edges of the frame lie, in mm of the print that is asked for.
    let (across, down) = (size.width.to_mm() / now.width, size.height.to_mm() / now.height);
    let differ = |a: Crop, b: Crop| {
        [
            (a.left - b.left) * across,
            (a.left + a.width - b.left - b.width) * across,
            (a.top - b.top) * down,
            (a.top + a.height - b.top - b.height) * down,
        ]
        .iter()
        .any(|mm| mm.abs() > SAME_EDGE_MM)
    };
    match (differ(made, now), differ(made, whole), differ(now, whole)) {
        (false, ..) => None,
        (_, false, _) => Some("the whole picture, not the frame that is asked for now"),
        (_, _, false) => Some("a part of the picture, not the whole that is asked for now"),
        _ => Some("another part of the picture than the frame that is asked for now"),
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
        unbroken(&crate::book::date(film.made, scene.zone_minutes))
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::Book;
    use crate::negative::{Negative, PictureFacts, film_made, picture_opened};
    use crate::station::{Deed, Device, Effect, Station};
    use crate::testing::test; // the compiler's own #[test] natively, the wasm runner's as wasm
    use crate::tone::Solved;

    struct Desk {
        book: Book,
        device: Device,
        tone: Solved,
    }

    impl Desk {
        /// A ticket with a picture in hand.
        fn new() -> Self {
            let picture = PictureFacts {
                name: "quay.tif".into(),
                width: 6000,
                height: 4000,
                ..PictureFacts::default()
            };
            let device = Device { picture: Some(picture.clone()), ..Device::default() };
            let mut desk = Self { book: Book::fresh(1, 2), device, tone: Solved::default() };
            desk.change(|scene| picture_opened(&picture, scene));
            desk
        }

        fn with<T>(&self, run: impl FnOnce(&Scene<'_>) -> T) -> T {
            let (book, tone, device) = (&self.book, &self.tone, &self.device);
            run(&Scene { book, now: 5, zone_minutes: 0, luck: 9, tone, device })
        }

        fn change(&mut self, what: impl FnOnce(&Scene<'_>) -> crate::book::Change) {
            let change = self.with(what);
            self.book.apply(change, 5, "test");
        }

        fn typed(&mut self, fit: &str, frame: &str, across: &str) {
            self.change(|scene| {
                scene.book.on_ticket(|t| {
                    let ask = &mut t.asks.negative;
                    (ask.fit, ask.frame, ask.across) = (fit.into(), frame.into(), across.into());
                })
            });
        }

        /// Makes the film as the page does.
        fn film(&mut self) {
            let ask = Negative::load(&self.book);
            let act = self.with(|scene| Negative::act(&ask, Deed { verb: "make", place: "" }, scene));
            let Some(Effect::MakeFilm(plan)) = act.effects.into_iter().next() else {
                panic!("no film: {:?}", act.notes)
            };
            self.change(|scene| film_made(&plan, scene));
        }

        /// What is said of the film.
        fn said(&self) -> String {
            let ask = Negative::load(&self.book);
            let notes = self.with(|scene| Negative::answer(&ask, scene).notes);
            notes.into_iter().filter(|n| n.text.starts_with("Film 1")).map(|n| n.text).collect()
        }
    }

    #[test]
    fn a_film_of_another_frame_is_named() {
        let mut desk = Desk::new();
        desk.film();
        assert_eq!(desk.said(), "");
        desk.typed("crop", "100", "50");
        assert_eq!(desk.said(), "Film 1 shows the whole picture, not the frame that is asked for now.");

        let mut desk = Desk::new();
        desk.typed("crop", "80", "50");
        desk.film();
        assert_eq!(desk.said(), "");
        desk.typed("crop", "80", "40");
        assert!(desk.said().contains("another part of the picture"), "{}", desk.said());
        desk.typed("crop", "79", "50");
        assert!(desk.said().contains("another part of the picture"), "{}", desk.said());
        desk.typed("whole", "80", "50");
        assert!(desk.said().contains("not the whole that is asked for"), "{}", desk.said());
        desk.typed("crop", "80", "50");
        assert_eq!(desk.said(), "");
        // A film for another size is named for that alone.
        desk.change(|scene| scene.book.on_ticket(|t| t.asks.negative.width = "100".into()));
        assert!(desk.said().contains("not for the size asked for now") && !desk.said().contains("shows"));
    }

    #[test]
    fn units_move_no_frame() {
        use crate::show::LengthUnit;
        let mut desk = Desk::new();
        desk.change(|scene| scene.book.on_ticket(|t| t.asks.negative.width = "177.77".into()));
        desk.typed("crop", "90", "10");
        desk.film();
        for length in [LengthUnit::Inch, LengthUnit::Mm] {
            let units = Units { length, ..Units::default() };
            desk.change(|scene| scene.book.in_units(units));
            assert_eq!(desk.said(), "");
        }
    }

    #[test]
    fn a_film_whose_frame_nobody_knows_is_left_alone() {
        let mut desk = Desk::new();
        desk.film();
        desk.typed("crop", "50", "50");
        assert_ne!(desk.said(), "");
        let id = desk.book.ticket().film.clone();
        let put = |film: Film| {
            let key = crate::book::Key::new(crate::book::Kind::Film, id.clone());
            crate::book::Change::put(key, crate::book::Object::Film(Box::new(film)))
        };
        let film = desk.book.film(&id).unwrap().clone();
        let size = crate::negative::FilmPlan {
            width_mm: film.plan.width_mm,
            height_mm: film.plan.height_mm,
            ..crate::negative::FilmPlan::default()
        };
        desk.change(|_| put(Film { plan: size, ..film.clone() }));
        assert_eq!(desk.said(), "");
        let plan = crate::negative::FilmPlan { crop: Some([0.0; 4]), ..film.plan.clone() };
        desk.change(|_| put(Film { plan, ..film }));
        assert_eq!(desk.said(), "");
    }
}
