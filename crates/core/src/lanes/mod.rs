//! Lanes: running prints and their clocks.

mod lane;

pub use lane::{Lane, LaneStep, Mark, MarkKind};
