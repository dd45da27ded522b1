//! What every station of the page is: text as typed in, text as shown out.
//!
//! The binder of the page knows five HTML attributes and this trait, nothing else. A station's [`Station::Ask`]
//! holds everything as typed (texts, ticks, rows), all fields defaulted, so that one odd field cannot take the
//! others with it and no typing is lost. [`Station::answer`] parses it and gives a [`Station::View`] of text as
//! shown, with notes and workings. [`Station::act`] answers a button.

use crate::fields;

use crate::book::{Book, Change};
use crate::note::Note;
use crate::show::Units;
use crate::tone::Solved;
use crate::tree::{FromTree, ToTree};
use crate::working::Working;

/// A station: one section of the page.
pub trait Station {
    /// Its name: the fragment of the page, the file in `www/stations`, the folder here.
    const ID: &'static str;
    /// Everything typed at this station. Every field has a default; texts stay as typed.
    type Ask: FromTree + Default + Clone + PartialEq;
    /// Everything shown at this station, as text; flags for `data-show`.
    type View: ToTree + Default;

    /// What was typed, from where the book keeps it.
    fn load(book: &Book) -> Self::Ask;
    /// The change that keeps what is typed now.
    fn keep(book: &Book, ask: Self::Ask) -> Change;
    /// What is shown for what was typed. Pure, total, quick.
    fn answer(ask: &Self::Ask, scene: &Scene<'_>) -> Answer<Self::View>;
    /// What a button does.
    fn act(ask: &Self::Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
        let _ = (ask, deed, scene);
        Act::default()
    }
    /// Rewrites lengths and temperatures as typed, when the printer changes units.
    fn convert(ask: &mut Self::Ask, from: Units, to: Units) {
        let _ = (ask, from, to);
    }
    /// An ask and a view with one row in every list, so that the names in the HTML can be checked.
    fn sample() -> (Self::Ask, Self::View);
}

/// What holds around a station while it answers.
#[derive(Clone, Copy)]
pub struct Scene<'a> {
    /// The book as it stands.
    pub book: &'a Book,
    /// Milliseconds since 1970, UTC.
    pub now: i64,
    /// Minutes to add to UTC for the wall clock of the room.
    pub zone_minutes: i32,
    /// A fresh random number, for new identities.
    pub luck: u64,
    /// The tone fit of the current setup, computed once per change of its readings.
    pub tone: &'a Solved,
    /// What the device says of itself.
    pub device: &'a Device,
}

impl Scene<'_> {
    /// The printer's units.
    #[must_use]
    pub fn units(&self) -> Units {
        self.book.desk().units
    }
}

/// What the device says of itself; filled by the platform.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Device {
    /// The address the page was opened from, without fragment; for share links.
    pub address: String,
    /// Whether the browser promised to keep the book: unknown until asked.
    pub kept: Option<bool>,
    /// Whether changes can be stored at all (false in some private windows, or when storage is full).
    pub storing: bool,
    /// The demo book is open; nothing is stored.
    pub demo: bool,
    /// The picture file in hand, if it was opened since the page was loaded.
    pub picture: Option<crate::negative::PictureFacts>,
    /// Its tones, of the part that is used: see [`crate::negative::picture_tones`].
    pub picture_tones: Option<[f64; 3]>,
    /// The scan of a chart in hand, if one was opened since the page was loaded.
    pub scan: Option<crate::tone::page::scan::ScanInHand>,
    /// The long job that is running, if any: its label and progress 0..1.
    pub job: Option<(String, f64)>,
    /// A book file that was chosen and read, or why it could not be; until [`Effect::CloseIncoming`].
    pub incoming: Option<Result<crate::book::exchange::Incoming, crate::book::exchange::ImportError>>,
    /// What the page's address brought: `link::decode` of a fragment that begins `v=`; until
    /// [`Effect::CloseLinked`].
    pub linked: Option<crate::link::Linked>,
    /// How many events the store holds.
    pub events: u32,
}

/// A button that was pressed: its `name` and its `value`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Deed<'a> {
    /// The button's name.
    pub verb: &'a str,
    /// The button's value: a row number, an identity, or empty.
    pub place: &'a str,
}

/// What a station shows.
#[derive(Clone, Debug, Default)]
pub struct Answer<V> {
    /// Text and flags for the outputs.
    pub view: V,
    /// Remarks, each to its field.
    pub notes: Vec<Note>,
    /// Workings, each to the `data-working` slot of its name.
    pub workings: Vec<Working>,
    /// This station's part of the ticket strip.
    pub ticket: Vec<TicketCell>,
}

/// One cell of the strip along the top of the page.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TicketCell {
    /// Which cell: `picture`, `size`, `film`, `mix`, `time`, `baths`.
    pub slot: String,
    /// What it says: the answer if there is one, else what is missing.
    pub text: String,
    /// Whether it is answered.
    pub done: bool,
}

fields!(out TicketCell: slot, text, done);

impl TicketCell {
    /// An answered cell.
    #[must_use]
    pub fn done(slot: &str, text: impl Into<String>) -> Self {
        Self { slot: slot.into(), text: text.into(), done: true }
    }

    /// A cell that still misses something; `text` says what.
    #[must_use]
    pub fn missing(slot: &str, text: impl Into<String>) -> Self {
        Self { slot: slot.into(), text: text.into(), done: false }
    }
}

/// What a button does: a change of the book, and what the page must do beside it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Act {
    /// What changes in the book.
    pub change: Option<Change>,
    /// What the page does after the change is stored.
    pub effects: Vec<Effect>,
    /// Why nothing happened, or what else to know.
    pub notes: Vec<Note>,
}

impl Act {
    /// Only a change of the book.
    #[must_use]
    pub fn change(change: Change) -> Self {
        Self { change: Some(change), ..Self::default() }
    }

    /// Only something for the page to do.
    #[must_use]
    pub fn effect(effect: Effect) -> Self {
        Self { effects: vec![effect], ..Self::default() }
    }

    /// Only a remark.
    #[must_use]
    pub fn note(note: Note) -> Self {
        Self { notes: vec![note], ..Self::default() }
    }
}

/// What a button does where something may stand against it; then only the remarks.
impl From<Result<Self, Vec<Note>>> for Act {
    fn from(act: Result<Self, Vec<Note>>) -> Self {
        act.unwrap_or_else(|notes| Self { notes, ..Self::default() })
    }
}

/// What only the page can do.
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// Show another station.
    Go(&'static str),
    /// Let the printer choose a picture file and read its head in the worker; then apply
    /// [`crate::negative::picture_opened`].
    OpenPicture,
    /// Make the film file from the picture in hand with the correction of [`Scene::tone`] and save it; when it is in
    /// the printer's hands, apply [`crate::negative::film_made`].
    MakeFilm(Box<crate::negative::FilmPlan>),
    /// Make the film file of a tone chart or an ink ramp and save it.
    MakeChart(Box<crate::tone::page::chart::ChartFilm>),
    /// Let the printer choose a scan or photo of a chart and read it so; what is found comes into [`Device::scan`].
    OpenScan(Box<crate::tone::page::scan::ScanWish>),
    /// Let the printer choose a scan of blank paper; its shading comes back into the ask.
    OpenBlank(Box<crate::tone::page::scan::ScanWish>),
    /// Make the proof picture and save it.
    MakeProof(Box<crate::tone::page::carry::ProofFile>),
    /// Read the scan in hand again.
    ReadScan(Box<crate::tone::page::scan::ScanWish>),
    /// Put the scan aside.
    CloseScan,
    /// End the running long job.
    CancelJob,
    /// Save a file as it is.
    SaveBytes(crate::exchange::OutFile),
    /// Let the printer choose a text file; its content comes back to this station as `verb`.
    OpenText {
        /// The verb under which the content comes back, as the deed's place.
        verb: &'static str,
        /// What the file dialog accepts.
        accept: &'static str,
    },
    /// Save the whole book as a file.
    Export,
    /// Let the printer choose a book file. The page checks its size (`exchange::check_size`), reads its text as
    /// JSON (`ImportError::not_json` if that fails), passes it through `exchange::read`, puts what comes out into
    /// [`Device::incoming`] and asks the book station again. Core then shows what would change and asks.
    Import,
    /// The book file was taken or put aside: [`Device::incoming`] becomes `None`. If it was taken, the store first
    /// appends the events that came with it.
    CloseIncoming {
        /// It was taken.
        taken: bool,
    },
    /// The setup of a share link was taken or put aside: [`Device::linked`] becomes `None`.
    CloseLinked,
    /// Copy a text to the clipboard.
    Copy(String),
    /// Print the page.
    Print,
    /// Print the work card of the ticket: what coat, light and baths answer, on one page.
    PrintCard,
    /// Ask the browser to keep the book.
    AskToKeep,
    /// Open the demo book.
    OpenDemo,
    /// Close the demo book and go back to one's own.
    CloseDemo,
    /// Take back the last change.
    Undo,
    /// Sound the signal of a lane once, which also unlocks sound.
    SoundCheck,
}
