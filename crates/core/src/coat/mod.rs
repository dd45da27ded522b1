//! The coat station: area, coverage, mix, drops.
//!
//! From the picture's size to what is counted into the cup: [`Sheet`] gives the coated area, a [`Tool`] the coverage
//! as poured, [`Mix`] the volumes, [`rounding`] the whole drops. [`Plan`] reads all of it from what was typed.

pub mod agent;
mod area;
mod ask;
mod bottles;
mod contrast;
mod coverage;
mod dangers;
mod drawing;
mod drops;
mod edition;
mod knee;
mod learned;
mod loss;
mod mix;
mod money;
pub mod page;
mod parts;
mod plan;
mod preset;
mod ready;
mod recipe;
mod recipes;
mod shelved;
mod show;
mod view;

pub use area::{STRIP, Sheet};
pub use ask::Ask;
pub use bottles::{Shelf, Standing, way};
pub(crate) use bottles::{density, drops_per_ml, since, strength};
pub use coverage::{Start, Tool};
pub use drawing::draw;
pub use drops::{Better, Part, better_total, off, rounding, whole};
pub use edition::{Attempts, CONFIDENCE, LEAST_YIELD, MOST, attempts};
pub use knee::{Knee, KneeError, MISSING, PAPER, READING, Strip, knee};
pub use loss::{BALANCE, Loss, loss};
pub use mix::{CONTENTS, Content, Mix};
pub use page::Coat;
pub use plan::Plan;
pub use preset::{
    AGENT, AgentStripRow, IRON, MARGIN, PALLADIUM, PLATINUM, PartAsk, Preset, SURFACTANT, StripRow,
};
pub use ready::{READY, Ready, ReadyPart, share_out};
pub use recipe::Recipe;
pub use view::View;

#[cfg(test)]
mod recipe_tests;
#[cfg(test)]
mod store_tests;
#[cfg(test)]
mod tests;
