//! The stores station: bottles, papers, film stocks, inks and lamps, with what is left and what it cost.

mod levels;
pub mod page;
mod rows;

pub use levels::levels;
pub use page::{Ask, LevelRow, Stores, View};
pub use rows::{BottleRow, InkRow, LampRow, PaperRow, StockRow};

#[cfg(test)]
mod tests;
