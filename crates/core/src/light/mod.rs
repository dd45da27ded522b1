//! The light station and its mathematics: exposure time, its changes, strips, and what light does to eyes.

mod ask;
pub mod burn;
mod change;
mod duration;
mod effects;
pub mod evening;
mod exposure;
pub mod ink;
pub mod judgement;
pub mod lamp;
pub mod learned;
mod learnt;
pub mod page;
pub mod paper;
pub mod paper_curve;
pub mod steps;
pub mod strip;
pub mod uv;
mod view;

pub use ask::{Ask, Known, Preset};
pub use change::{Change, time_for_black};
pub use duration::{
    Bare, Duration, entered as entered_duration, optional as optional_duration, parse as parse_duration,
};
pub use effects::Effects;
pub use exposure::{Exposure, exposure, level, strip_plan};
pub use judgement::{Black, Judgement, Looks, judge};
pub use learnt::{Learnt, Rests, learn};
pub use page::Light;
pub use paper_curve::PaperCurve;
pub use view::{MoveRow, StripRow, ToneRow, View};
