//! The stations of the page, in the order of a print, each in a file of its own beside its kind in core and in `www`.

mod baths;
mod book;
mod coat;
mod light;
mod make;
mod negative;
mod pointing;
mod stores;
mod tone;
mod workroom;

use std::marker::PhantomData;

use sorrel_core::book::{Book, Change};
use sorrel_core::station::{Act, Deed, Scene, Station, TicketCell};
use sorrel_core::tree::{Mismatch, ToTree, Tree, from_tree};
use web_sys::Element;

use crate::binder::{self, Shown};

/// A station as the app sees it: its types hidden, its text in trees.
pub(crate) trait Room: Sync {
    /// Its name.
    fn id(&self) -> &'static str;
    /// Whether it has cells on the ticket strip, and so is answered at every change.
    fn on_ticket(&self) -> bool;
    /// The change that keeps what its section of the page holds now.
    ///
    /// # Errors
    /// When the section holds something that its ask has no shape for.
    fn typed(&self, section: &Element, book: &Book) -> Result<Change, Mismatch>;
    /// As [`Room::typed`], for some controls only: those typed in before the book was open.
    ///
    /// # Errors
    /// As there.
    fn typed_early(&self, controls: &[Element], book: &Book) -> Result<Change, Mismatch>;
    /// What it shows.
    fn show(&self, scene: &Scene<'_>) -> (Shown, Vec<TicketCell>);
    /// Only its part of the ticket strip.
    fn ticket(&self, scene: &Scene<'_>) -> Vec<TicketCell>;
    /// What a button does.
    fn act(&self, deed: Deed<'_>, scene: &Scene<'_>) -> Act;
    /// What the page does beside filling: pointer work that only sets named fields.
    fn dress(&self, section: &Element);
}

struct Of<S> {
    dress: fn(&Element),
    on_ticket: bool,
    station: PhantomData<fn() -> S>,
}

impl<S: Station> Room for Of<S> {
    fn id(&self) -> &'static str {
        S::ID
    }

    fn on_ticket(&self) -> bool {
        self.on_ticket
    }

    fn typed(&self, section: &Element, book: &Book) -> Result<Change, Mismatch> {
        kept::<S>(binder::read(section, &S::load(book)), book)
    }

    fn typed_early(&self, controls: &[Element], book: &Book) -> Result<Change, Mismatch> {
        kept::<S>(binder::read_some(controls, &S::load(book)), book)
    }

    fn show(&self, scene: &Scene<'_>) -> (Shown, Vec<TicketCell>) {
        let ask = S::load(scene.book);
        let answer = S::answer(&ask, scene);
        let shown = Shown {
            ask: ask.to_tree(),
            view: answer.view.to_tree(),
            notes: answer.notes,
            workings: answer.workings,
        };
        (shown, answer.ticket)
    }

    fn ticket(&self, scene: &Scene<'_>) -> Vec<TicketCell> {
        S::answer(&S::load(scene.book), scene).ticket
    }

    fn act(&self, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
        S::act(&S::load(scene.book), deed, scene)
    }

    fn dress(&self, section: &Element) {
        (self.dress)(section);
    }
}

/// The change that keeps what a section holds.
fn kept<S: Station>(typed: Tree, book: &Book) -> Result<Change, Mismatch> {
    from_tree(typed).map(|ask| S::keep(book, ask))
}

const fn of<S: Station>(on_ticket: bool, dress: fn(&Element)) -> Of<S> {
    Of { dress, on_ticket, station: PhantomData }
}

/// Every station, in the order of the page.
pub(crate) static ROOMS: [&dyn Room; 9] = [
    &negative::ROOM,
    &coat::ROOM,
    &light::ROOM,
    &baths::ROOM,
    &book::ROOM,
    &tone::ROOM,
    &stores::ROOM,
    &make::ROOM,
    &workroom::ROOM,
];

/// The place of the station that a first look at an empty book shows, answered without the rest of the module.
pub(crate) const FIRST: usize = 0;

/// The place of a station among [`ROOMS`].
pub(crate) fn place(id: &str) -> Option<usize> {
    ROOMS.iter().position(|room| room.id() == id)
}

/// Nothing to do beside filling.
fn plain(_: &Element) {}
