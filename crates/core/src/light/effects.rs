//! What moves the time of a ticket beside what is typed on it: this printer's own prints, how faint light counts, and the
//! film in hand.

use super::lamp::law::Law;
use super::learned::{self, Learned};
use super::page::{in_use, law};
use super::{Change, evening};
use crate::book::{Book, Ticket};
use crate::estimate::Estimate;
use crate::station::Scene;

/// What is known that moves a ticket's time. Nothing by default.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Effects {
    /// What the prints of its setup say.
    pub learned: Option<Learned>,
    /// What a film that evens out the light of the frame moves.
    pub evened: Change,
    /// Whether half the light takes twice the time.
    pub law: Option<Law>,
}

impl Effects {
    /// For a ticket, as the book stands.
    #[must_use]
    pub fn of(ticket: &Ticket, scene: &Scene<'_>) -> Self {
        let curve = in_use(&ticket.asks.light, scene);
        Self {
            learned: learned::learned(scene.book, &ticket.setup, curve.paper()),
            evened: evening::change(scene.book, ticket),
            law: Self::law_of(scene.book, &ticket.setup),
        }
    }

    /// The law alone, of a setup.
    pub(super) fn law_of(book: &Book, setup: &str) -> Option<Law> {
        law::law(&book.setup_of(setup)?.light.law, &mut Vec::new())
    }

    /// What the law adds where the meter asks for so much more, in log exposure.
    pub(super) fn law_adds(&self, ask: &super::Ask, log: f64) -> Option<Estimate> {
        self.law.filter(|_| !ask.leave_law && log != 0.0).map(|law| law.adds(log))
    }

    /// What own prints move the time by, in log exposure; `None` if nothing, or if the ticket leaves them out.
    #[must_use]
    pub fn own(&self, ask: &super::Ask) -> Option<Estimate> {
        self.learned.filter(|_| !ask.leave_own)?.moves(&ask.setup)
    }

    /// The same as a change.
    pub(super) fn own_change(&self, ask: &super::Ask) -> Option<Change> {
        self.own(ask).map(|e| Change::from_log(e.value))
    }
}
