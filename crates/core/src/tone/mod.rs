//! The tone station and its mathematics.

pub mod page;

pub use page::{Ask, Solved, View, solve};
