//! Lamps: what they do over distance, through a cover sheet, while they warm up; doses; evenness.

pub mod distance;
pub mod dose;
pub mod evenness;
pub mod geometry;
pub mod law;
pub mod lie;
pub mod map;
pub mod sheet;
pub mod smooth;
pub mod warm_up;

pub use distance::{LampKind, NoRule};
