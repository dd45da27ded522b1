//! What moves the time of a ticket beside what is typed on it: this printer's own prints, and the film in hand.

use super::learned::{self, Learned};
use super::page::in_use;
use super::{Change, evening};
use crate::book::Ticket;
use crate::estimate::Estimate;
use crate::station::Scene;

/// What is known that moves a ticket's time. Nothing by default.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Effects {
    /// What the prints of its setup say.
    pub learned: Option<Learned>,
    /// What a film that evens out the light of the frame moves.
    pub evened: Change,
}

impl Effects {
    /// For a ticket, as the book stands.
    #[must_use]
    pub fn of(ticket: &Ticket, scene: &Scene<'_>) -> Self {
        let curve = in_use(&ticket.asks.light, scene);
        Self {
            learned: learned::learned(scene.book, &ticket.setup, curve.paper()),
            evened: evening::change(scene.book, ticket),
        }
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
