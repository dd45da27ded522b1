//! The step print: from readings of a printed step tablet to the paper's curve, its points and the time for black.

pub mod curve;
pub mod eyes;
pub mod found;
pub mod points;
pub mod reach;
pub mod repeats;
mod shape;
pub mod values;

pub use curve::PrintCurve;
pub use found::{CLOSENESSES, Found, Print, PrintError};
pub use points::Points;
pub use reach::Short;
