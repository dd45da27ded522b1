//! The stores station: bottles, papers, film stocks, inks and lamps, with what is left and what it cost.

mod ask;
pub mod keeping;
mod level;
mod levels;
pub mod page;
mod powder;
mod rows;
mod shelf;
mod view;

pub use ask::Ask;
pub use levels::levels;
pub use page::Stores;
pub(crate) use powder::draw;
pub use rows::{BottleRow, InkRow, LampRow, PaperRow, PowderRow, StockRow};
pub use shelf::{Taken, take};
pub use view::{IronRow, LevelRow, View};

#[cfg(test)]
mod tests;
