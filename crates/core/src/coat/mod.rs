//! The coat station: area, coverage, mix, drops.
//!
//! From the picture's size to what is counted into the cup: [`Sheet`] gives the coated area, a [`Tool`] the coverage
//! as poured, [`Mix`] the volumes, [`rounding`] the whole drops. [`Plan`] reads all of it from what was typed.

mod area;
mod bottles;
mod coverage;
mod drawing;
mod drops;
mod mix;
pub mod page;
mod plan;
mod preset;
mod recipe;
mod show;

pub use area::{STRIP, Sheet};
pub use bottles::chosen;
pub use coverage::{Start, Tool};
pub use drawing::draw;
pub use drops::{Better, Part, better_total, off, rounding, whole};
pub use mix::{Content, Mix};
pub use page::{Ask, Coat, View};
pub use plan::Plan;
pub use preset::{AGENT, IRON, MARGIN, PALLADIUM, PLATINUM, Preset, SURFACTANT};
pub use recipe::Recipe;

#[cfg(test)]
mod tests;
