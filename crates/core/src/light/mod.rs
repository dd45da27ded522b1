//! The light station and its mathematics: exposure time, its changes, strips, and what light does to eyes.

mod change;
mod duration;
pub mod judgement;
pub mod page;
pub mod paper_curve;
pub mod strip;
pub mod uv;

pub use change::{Change, time_for_black};
pub use duration::{
    Bare, Duration, entered as entered_duration, optional as optional_duration, parse as parse_duration,
};
pub use judgement::{Black, Judgement, Looks, judge};
pub use page::{Ask, Exposure, Light, Preset, View, exposure};
pub use paper_curve::PaperCurve;
