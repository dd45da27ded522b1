//! The plan of our own tone chart and of the ink ramp: which ink code stands where, in mm on the print.
//!
//! A tone chart is a shuffled field of patches on an even ground, four corner marks, a mark for the way up, a row of dark
//! and light squares that says which chart it is, and two spots. Everything is described as the *print* shows it, from
//! the upper left corner of the coat; the film is its mirror image, and mirroring happens where rows are written.

pub mod identity;
pub mod layout;
pub mod order;
pub mod patches;
pub mod ramp;

pub use identity::Identity;
pub use layout::{Area, ChartError, ChartPlan, ChartSpec, Patch};
pub use patches::Patches;
pub use ramp::{RampPlan, RampStep};
