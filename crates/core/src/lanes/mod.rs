//! Lanes: running prints and their clocks.
//!
//! What is kept is the plan and the marks of what happened ([`Lane`]); everything shown is read from them and the
//! moment ([`read`]), so that a page that was closed and opened again shows the same as one that stayed open.

mod course;
mod dose;
mod lane;
mod state;

pub use course::{planned, really, record, steps};
pub use lane::{Lane, LaneStep, Mark, MarkKind};
pub use state::{Done, LaneState, Phase, QUESTION_AFTER_MS, UNDO_MS, dose_given, read};
