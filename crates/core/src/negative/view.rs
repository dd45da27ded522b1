//! What is shown at the negative.

use crate::fields;

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// Name and facts of the picture.
    pub picture: String,
    /// What to know of the file.
    pub remarks: String,
    /// No picture was opened on this ticket yet.
    pub no_picture: bool,
    /// A picture was opened on this ticket.
    pub has_picture: bool,
    /// The picture was opened earlier and its file must be chosen again to make a film.
    pub again: bool,
    /// The picture's file is in hand.
    pub in_hand: bool,
    /// The size the picture gets on the print.
    pub size: String,
    /// The same in the other unit.
    pub size_other: String,
    /// Pixels of the picture on the film.
    pub pixels: String,
    /// Pixels of the source an inch of print.
    pub detail: String,
    /// What the next print shows at the picture's own tones.
    pub tones: Vec<ToneRow>,
    /// The frame's fields are shown.
    pub cropping: bool,
    /// The correction the film will carry.
    pub correction: String,
    /// The correction does not rest on readings.
    pub unmeasured: bool,
    /// What the film will be called.
    pub next_film: String,
    /// A film can be made now.
    pub ready: bool,
    /// What is still missing for a film.
    pub missing: String,
    /// Something is missing.
    pub not_ready: bool,
    /// A long job is running.
    pub working: bool,
    /// The film this ticket is printed from.
    pub film: String,
    /// There is such a film.
    pub has_film: bool,
    /// How dry it is.
    pub dryness: String,
    /// The printer has not said when it was printed.
    pub not_printed: bool,
    /// This ticket differs from its setup.
    pub differs: bool,
    /// Evening out the light can be chosen.
    pub can_even: bool,
    /// What a film that evens the light would do.
    pub even: String,
}

fields!(
    out View:
    picture, remarks, no_picture, has_picture, again, in_hand, size, size_other, pixels, detail, tones,
    cropping, correction, unmeasured, next_film, ready, missing, not_ready, working, film, has_film,
    dryness, not_printed, differs, can_even, even,
);

/// What the next print shows at one of the picture's tones.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ToneRow {
    /// Which tone.
    pub name: String,
    /// L* and its band.
    pub text: String,
}

fields!(out ToneRow: name, text);
