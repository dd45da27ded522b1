//! The workroom station and its mathematics.

pub mod page;

pub use page::{Ask, View};
