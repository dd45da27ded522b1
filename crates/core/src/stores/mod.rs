//! The stores station: bottles, papers, film stocks, inks and lamps, with what is left and what it cost.

pub mod keeping;
mod level;
mod levels;
pub mod page;
mod powder;
mod rows;
mod shelf;

pub use levels::levels;
pub use page::{Ask, IronRow, LevelRow, Stores, View};
pub(crate) use powder::draw;
pub use rows::{BottleRow, InkRow, LampRow, PaperRow, PowderRow, StockRow};
pub use shelf::{Taken, take};

#[cfg(test)]
mod tests;
