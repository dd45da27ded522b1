//! Share links: a setup's preset values in the fragment of an address, `#v=1&key=value…`.
//!
//! A link never overwrites: what it brings is offered as a new setup, its exposure time empty.

use crate::book::Setup;
use crate::note::Note;

/// What a link brought.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Linked {
    /// A new setup, in millimetres and degrees Celsius, its exposure time empty.
    pub setup: Setup,
    /// What could not be taken, and that it was not measured here.
    pub notes: Vec<Note>,
}
