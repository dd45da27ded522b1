//! The light station and its mathematics.

pub mod page;

pub use page::{Ask, Preset, View};
