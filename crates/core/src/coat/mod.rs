//! The coat station: area, coverage, mix, drops.

pub mod page;
mod recipe;

pub use page::{Ask, Preset, View};
pub use recipe::Recipe;
