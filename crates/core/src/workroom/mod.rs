//! The workroom station: the screen with the running lane.

mod ask;
mod deeds;
mod hand;
pub mod page;
mod words;

pub use ask::{Ask, Faults, Strip};
pub use page::{View, Workroom};
