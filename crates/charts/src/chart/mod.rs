//! Tone chart and ink ramp as films: the plans of `sorrel_core::tone::chart_plan`, drawn.

pub mod ask;
mod draw;
pub mod sheet;

pub use draw::{chart, ramp};
pub use sheet::Sheet;
