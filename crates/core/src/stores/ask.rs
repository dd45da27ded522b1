//! What is typed at the stores: one row an object of the book.

use super::{BottleRow, InkRow, LampRow, PaperRow, PowderRow, StockRow};
use crate::entry::Range;
use crate::fields;

/// What a price may be, in whatever money.
pub(super) const PRICE: Range = Range { low: 0.0, high: 10_000_000.0 };

/// What was typed: one row an object of the book.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ask {
    /// Bottles.
    pub bottles: Vec<BottleRow>,
    /// Powders.
    pub powders: Vec<PowderRow>,
    /// Papers.
    pub papers: Vec<PaperRow>,
    /// Film stocks.
    pub stocks: Vec<StockRow>,
    /// Inks.
    pub inks: Vec<InkRow>,
    /// Lamps.
    pub lamps: Vec<LampRow>,
}

fields!(Ask: bottles, powders, papers, stocks, inks, lamps);
