//! One `App`, one [`dispatch`]. Whatever happens, a keystroke, a stored commit, a picture that was read, comes in as a
//! [`Msg`]; what comes while another is handled waits its turn.

mod card;
mod effects;
mod handle;
mod imaging;
mod keeping;
pub(crate) mod lanes;
mod opening;
mod scan;
mod screen;

use std::cell::{Cell, RefCell};
use std::collections::VecDeque;

use sorrel_core::book::{Book, Change, Key, Put, Stored};
use sorrel_core::light;
use sorrel_core::note::Note;
use sorrel_core::station::{Device, Effect, Scene};
use sorrel_core::tone;
use sorrel_core::tone::page::scan::ScanWish;
use web_sys::File;

use crate::platform::worker::{Imaging, Said};
use crate::platform::{clock, random, tabs::Tabs};
use crate::store::{Queue, Store, Trouble};

pub(crate) use opening::open;
pub(crate) use screen::section;

/// Everything that can happen to the page.
pub(crate) enum Msg {
    /// The rest of a large book was read.
    Rest(Vec<(Key, Stored)>),
    /// The rest of the module is here.
    Whole,
    /// The rest of the module could not be loaded, and why.
    NotWhole(String),
    /// Something was typed, ticked or chosen at a station.
    Input(usize),
    /// A button of a station was pressed.
    Press {
        /// Which station.
        station: usize,
        /// The button's name.
        verb: String,
        /// The button's value.
        place: String,
    },
    /// Time has passed.
    Tick,
    /// A commit lies in the store.
    Stored,
    /// A commit does not.
    Unstored(Trouble),
    /// A commit takes longer than a lane may wait; the number tells which press it was.
    Late(u32),
    /// Another tab has written these keys.
    OtherTab(Vec<String>),
    /// Objects were read again; `clash` if because a commit met a newer revision: what it was to put.
    Again {
        /// What was read.
        objects: Vec<(Key, Option<Stored>)>,
        /// What of our own is to be laid over it: the commit's puts.
        clash: Option<Vec<Put>>,
    },
    /// The address's fragment changed.
    Hash,
    /// Another look was chosen.
    Look(String),
    /// Another unit was chosen: which family, which word.
    Units(String, String),
    /// Take the last change back.
    Undo,
    /// What is typed from now on is not joined with what was typed before.
    Apart,
    /// The undo button has stood long enough; the number tells which.
    UndoOver(u32),
    /// A picture file was chosen.
    Picked(File),
    /// A scan of a chart was chosen, to be read so.
    ScanPicked(File, Box<ScanWish>),
    /// A scan of blank paper was chosen.
    BlankPicked(File, Box<ScanWish>),
    /// A text file was read for a station's verb.
    TextRead(usize, &'static str, Result<String, String>),
    /// A book file was read.
    BookRead(BookText),
    /// The imaging worker says something.
    Worker(Said),
    /// The imaging worker has been idle long enough.
    WorkerIdle,
    /// A file was handed over, or could not be: its job's number if it was a film.
    Saved(Option<u32>, Result<(), String>),
    /// A film's file is complete and can be handed over.
    Handover(u32, Result<web_sys::Blob, String>, String),
    /// Every event, for the book file that is to be saved.
    Events(Result<Vec<sorrel_core::book::Event>, Trouble>),
    /// The long job is to be ended.
    CancelJob,
    /// The page is hidden or shown.
    Visible(bool),
    /// The browser says whether it keeps the book.
    Kept(Option<bool>),
    /// A newer build is ready.
    Update,
    /// Take the newer build.
    UseUpdate,
    /// The site lies on this device (empty), or why not.
    Offline(String),
    /// Something to say.
    Say(String),
    /// A button of the page itself that does what an effect does.
    Do(Effect),
    /// Show again what is shown, e.g. because a working was opened.
    Refresh,
    /// Save a test file of so many bytes.
    #[cfg(feature = "test-clock")]
    TestFile(f64),
}

/// The text of a chosen book file, or why there is none.
pub(crate) enum BookText {
    /// Its text.
    Text(String),
    /// It is too large to be read.
    TooLarge(sorrel_core::book::exchange::ImportError),
    /// Why it could not be read.
    Unread(String),
}

/// The page's whole state.
pub(crate) struct App {
    book: Book,
    /// The printer's own book, and what of it still waits for the disk, while the demo is open.
    own: Option<Box<(Book, Queue)>>,
    store: Store,
    queue: Queue,
    tabs: Tabs,
    tone: (tone::Ask, tone::Solved),
    /// What the step print in it was learned from.
    light: light::Rests,
    /// The station shown, among `ROOMS`.
    shown: usize,
    device: Device,
    /// What the last button had to say, and at which station.
    said: Option<(usize, Vec<Note>)>,
    undo: Vec<Step>,
    undo_number: u32,
    /// Effects that wait for their change to be stored, and the number of the press they belong to.
    waiting: Option<(u32, Vec<Effect>)>,
    presses: u32,
    /// What waits for the rest of the module.
    held: Vec<Msg>,
    /// Presses made before the whole book was read.
    early: Vec<Msg>,
    /// What was thrown away before the whole book was read.
    gone: Vec<String>,
    whole: bool,
    /// A newer build has written the book: nothing is changed here.
    read_only: bool,
    imaging: Imaging,
    job: Option<imaging::Job>,
    picture: Option<imaging::Picture>,
    /// The scan of a chart in hand.
    scan: Option<imaging::Picture>,
    /// A newer build is ready; it is offered when no lane is running.
    update: bool,
    /// The part of the picture in hand that the canvases show through the present correction.
    drawn: Option<crate::preview::Part>,
    /// The demo's own picture was asked for.
    demo_drawn: bool,
    /// The second the clocks on screen show.
    second: i64,
    /// Steps whose end was already signalled: lane and end.
    signalled: Vec<(String, i64)>,
}

/// One step back.
struct Step {
    inverse: Change,
    keys: Vec<String>,
    verb: String,
    typed: bool,
}

thread_local! {
    static APP: RefCell<Option<App>> = const { RefCell::new(None) };
    static LINE: RefCell<VecDeque<Msg>> = const { RefCell::new(VecDeque::new()) };
    static BUSY: Cell<bool> = const { Cell::new(false) };
    static DEAD: Cell<bool> = const { Cell::new(false) };
}

/// The one way in. During another dispatch the message waits; after a panic nothing is taken any more.
pub(crate) fn dispatch(msg: Msg) {
    if DEAD.get() {
        return;
    }
    LINE.with_borrow_mut(|line| line.push_back(msg));
    if BUSY.replace(true) {
        return;
    }
    while let Some(msg) = LINE.with_borrow_mut(VecDeque::pop_front) {
        APP.with_borrow_mut(|app| {
            if let Some(app) = app {
                app.handle(msg);
            }
        });
    }
    BUSY.set(false);
}

/// The instance is dead: a panic may have left anything half done.
pub(crate) fn die() {
    DEAD.set(true);
}

impl App {
    /// What holds around a station while it answers.
    fn scene(&self) -> Scene<'_> {
        Scene {
            book: &self.book,
            now: clock::now(),
            zone_minutes: clock::zone_minutes(),
            luck: random::luck(),
            tone: &self.tone.1,
            device: &self.device,
        }
    }

    /// Solves the setup's readings again if they have changed.
    fn fit(&mut self) {
        let ask = &self.book.setup().tone;
        if !ask.solves_as(&self.tone.0) {
            let mut solved = tone::solve(ask);
            solved.replace_paper(self.tone.1.replace_paper(light::Learnt::default()));
            self.tone = (ask.clone(), solved);
            self.drawn = None;
        }
        if !self.light.holds(self.book.setup()) {
            self.light = light::Rests::of(self.book.setup());
            self.tone.1.replace_paper(light::learn(&self.light));
        }
    }
}
