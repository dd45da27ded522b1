//! The chemistry behind a mix: weights, formulas, strengths, amounts, ratios.
//!
//! `%` is grams of the stated solid made up to 100 mL of solution (% w/v), as the trade and the pharmacopoeia use
//! it, wherever nothing else is said.

mod amount;
pub mod concentration;
pub mod density;
pub mod drop;
mod element;
mod formula;
pub mod hazard;
pub mod iron;
pub mod lab;
pub mod making;
pub mod old_units;
mod salt;
pub mod solubility;
pub mod stoichiometry;
mod strength;
pub mod together;

pub use amount::{Amount, MolarMass};
pub use element::Element;
pub use formula::{Formula, FormulaError, FormulaFault};
pub use salt::{Salt, Solid, ferric_oxalate_range};
pub use strength::{Molarity, Strength};
