//! The workroom station: the screen with the running lane.

mod deeds;
pub mod page;
mod words;

pub use page::{Ask, Faults, Strip, View, Workroom};
