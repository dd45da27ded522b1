//! What a film is made by, and what is known of a picture file.

use crate::book::{Change, CorrectionVersion, Film, Key, Kind, Object, Setup};
use crate::fields;
use crate::light::evening::Evened;
use crate::station::Scene;

/// What the head of a picture file says.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PictureFacts {
    /// File name; for the demo's own picture its title.
    pub name: String,
    /// Width in pixels, upright.
    pub width: u32,
    /// Height in pixels, upright.
    pub height: u32,
    /// Bits a channel.
    pub bits: u8,
    /// Format: `JPEG`, `PNG`, `TIFF` or `demo`.
    pub format: String,
    /// The profile that was used, e.g. `sRGB (none embedded)`.
    pub profile: String,
    /// What the printer should know of the file, a sentence each.
    pub remarks: Vec<String>,
}

fields!(PictureFacts: name, width, height, bits, format, profile, remarks);

/// Everything a film file is made by, except the correction itself; kept with the film. Lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct FilmPlan {
    /// Number of the film.
    pub number: u32,
    /// File name with its ending.
    pub file_name: String,
    /// `tiff` or `png`.
    pub format: String,
    /// Width of the size asked for.
    pub width_mm: f64,
    /// Height of the size asked for.
    pub height_mm: f64,
    /// Pixels an inch that the printer's driver takes, 240 to 1440.
    pub ppi: u32,
    /// The part of the upright picture that is used, as fractions: left, top, width, height; `None` for the whole.
    pub crop: Option<[f64; 4]>,
    /// Film around everything.
    pub border_mm: f64,
    /// Full ink outside the picture, which prints paper white; else clear film, which prints black.
    pub masked_border: bool,
    /// The margin strip of raw ink codes below the picture.
    pub strip: bool,
    /// Lines of the label.
    pub label: Vec<String>,
    /// Version of the setup's correction.
    pub correction: u32,
    /// Whether that correction rests on readings.
    pub measured: bool,
    /// Written into the file's description.
    pub description: String,
    /// How the light of the frame is evened; `None` if it is not.
    pub even: Option<Evened>,
    /// A filled corner on it shows how it lies in the frame.
    pub corner: bool,
}

fields!(
    FilmPlan:
    number, file_name, format, width_mm, height_mm, ppi, crop, border_mm, masked_border, strip,
    label, correction, measured, description, even, corner,
);

impl Default for FilmPlan {
    fn default() -> Self {
        Self {
            number: 0,
            file_name: String::new(),
            format: "tiff".into(),
            width_mm: 203.2,
            height_mm: 254.0,
            ppi: 360,
            crop: None,
            border_mm: 6.0,
            masked_border: false,
            strip: true,
            label: Vec::new(),
            correction: 1,
            measured: false,
            description: String::new(),
            even: None,
            corner: false,
        }
    }
}

/// The version a correction from the setup's present readings has: that of an earlier film if nothing changed since,
/// else the next number.
#[must_use]
pub fn correction_version(setup: &Setup) -> u32 {
    match setup.corrections.iter().rev().find(|c| c.tone.solves_as(&setup.tone)) {
        Some(c) => c.version,
        None => 1 + setup.corrections.iter().map(|c| c.version).max().unwrap_or(0),
    }
}

/// The change when a picture file was opened: the ticket knows it, and takes its title from it if it has none.
///
/// The page calls this when the worker has read the file's head.
#[must_use]
pub fn picture_opened(facts: &PictureFacts, scene: &Scene<'_>) -> Change {
    scene.book.on_ticket(|ticket| {
        if ticket.title.trim().is_empty() {
            let stem = facts.name.rsplit_once('.').map_or(facts.name.as_str(), |(stem, _)| stem);
            ticket.title = stem.to_owned();
        }
        ticket.picture = facts.clone();
        // A film shows the picture it was made from; another picture needs another film.
        ticket.film.clear();
    })
}

/// The change when a film file was written and saved: the book gets the film, the ticket is printed from it, and the
/// setup remembers the correction it carries.
///
/// The page calls this when the file is in the printer's hands.
#[must_use]
pub fn film_made(plan: &FilmPlan, scene: &Scene<'_>) -> Change {
    let book = scene.book;
    let key = Key::fresh(Kind::Film, scene.now, scene.luck);
    let film = Film {
        number: plan.number,
        title: book.ticket().title.clone(),
        setup: book.ticket().setup.clone(),
        correction: plan.correction,
        measured: plan.measured,
        plan: plan.clone(),
        made: scene.now,
        ..Film::default()
    };
    let id = key.id.clone();
    let known = book.setup().corrections.iter().any(|c| c.version == plan.correction);
    let remember = if known {
        Change::None
    } else {
        book.on_setup(|setup| {
            setup.corrections.push(CorrectionVersion {
                version: plan.correction,
                made: scene.now,
                tone: setup.tone.clone(),
                readings: scene.tone.readings(),
            });
        })
    };
    Change::put(key, Object::Film(Box::new(film))).and(book.on_ticket(|t| t.film = id)).and(remember)
}
